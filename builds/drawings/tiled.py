"""The full-size drawing on sheets of paper: each tile, one long page, and the key to the tiles.

Every page is a picture of its own, as large as its paper, in mm from its upper left corner.
"""

from __future__ import annotations

from django.utils.safestring import SafeString, mark_safe

from builds.core.full_size.tiles import CHECK_MM, LONGEST_PAGE_MM, STRIP_MM, Tile, Tiling
from builds.drawings.full_size import FONT, FullSize, draw_full_size, lettering
from builds.drawings.outline_marks import fine, stroke
from company import drawing as d
from company.lettering import clip

CHECK_WORDS = f"This line is {CHECK_MM:.0f} mm long. If it is not, print at 100 %, not fitted."
LONG_EDGE_MM = 10.0
_CROSS_MM = 4.0


def draw_tile(full: FullSize, tiling: Tiling, tile: Tile, words: str, ident: str) -> SafeString:
    """One sheet: its window of the drawing at 1:1, the joins in it, and the strip below."""
    edge = tiling.margin_mm
    window = d.tag(
        "rect",
        x=fine(edge),
        y=fine(edge),
        width=fine(tiling.window_width_mm),
        height=fine(tiling.window_height_mm),
    )
    move = f"translate({edge - tile.left_mm:.4f} {edge - tile.top_mm:.4f})"
    content = d.group(draw_full_size(full, ident), *_joins(tiling, tile), transform=move)
    clip = d.tag("clipPath", window, id=f"{ident}-window")
    inner = [
        clip,
        d.group(content, clip_path=f"url(#{ident}-window)"),
        *_corners(tiling),
        *_strip(tiling, tile, words),
    ]
    return _page(tiling.page_width_mm, tiling.page_height_mm, *inner)


def draw_long_page(full: FullSize, words: str, ident: str) -> SafeString:
    """All of it on one page as large as it has to be, with its check line."""
    width, height = long_page_size(full)
    foot = height - LONG_EDGE_MM
    content = d.group(
        draw_full_size(full, ident), transform=f"translate({LONG_EDGE_MM:g} {LONG_EDGE_MM:g})"
    )
    return _page(
        width,
        height,
        content,
        *check_line(LONG_EDGE_MM, foot - 4),
        lettering(LONG_EDGE_MM, foot, f"{CHECK_WORDS} {words}", 2.8),
    )


def long_page_size(full: FullSize) -> tuple[float, float]:
    """Width and height of the one long page, in mm."""
    return (
        max(full.width_mm, CHECK_MM) + 2 * LONG_EDGE_MM,
        full.height_mm + 2 * LONG_EDGE_MM + STRIP_MM,
    )


def fits_long_page(full: FullSize) -> bool:
    """Whether one page can be so long."""
    return max(long_page_size(full)) <= LONGEST_PAGE_MM


def draw_key(
    full: FullSize, tiling: Tiling, room_mm: tuple[float, float], ident: str
) -> SafeString:
    """The whole drawing small, with the tiles on it and their numbers."""
    width = max(tiling.lefts[-1] + tiling.window_width_mm, full.width_mm)
    height = max(tiling.tops[-1] + tiling.window_height_mm, full.height_mm)
    scale = min(room_mm[0] / width, room_mm[1] / height)
    boxes: list[str] = []
    for tile in tiling.tiles:
        corners = [
            (tile.left_mm, tile.top_mm),
            (tile.left_mm + tiling.window_width_mm, tile.top_mm),
            (tile.left_mm + tiling.window_width_mm, tile.top_mm + tiling.window_height_mm),
            (tile.left_mm, tile.top_mm + tiling.window_height_mm),
        ]
        boxes.append(stroke(corners, "outline-hair", 0.25 / scale, is_closed=True))
        boxes.append(
            lettering(
                tile.left_mm + tiling.overlap_mm + 2 / scale,
                tile.top_mm + tiling.overlap_mm + 8 / scale,
                str(tile.number),
                8 / scale,
                font_weight="700",
            )
        )
    inner = d.group(
        draw_full_size(full, ident), *boxes, transform=f"scale({scale:.6f})", font_family=FONT
    )
    return _page(width * scale + 1, height * scale + 1, inner)


def check_line(left: float, y: float) -> list[SafeString]:
    """A line of 100 mm with a tick every ten, the ends longer."""
    ticks = [
        stroke([(left + at, y - (2.5 if at % 50 == 0 else 1.2)), (left + at, y)], "check", 0.2)
        for at in range(0, int(CHECK_MM) + 1, 10)
    ]
    return [stroke([(left, y), (left + CHECK_MM, y)], "check", 0.2), *ticks]


def _page(width: float, height: float, *inner: str) -> SafeString:
    return d.tag(
        "svg",
        *inner,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {fine(width)} {fine(height)}",
        width=f"{fine(width)}mm",
        height=f"{fine(height)}mm",
        font_family=FONT,
    )


def _joins(tiling: Tiling, tile: Tile) -> list[SafeString]:
    """The broken lines along which sheets meet, with a cross at both ends and in the middle."""
    drawn: list[SafeString] = []
    right = tile.left_mm + tiling.window_width_mm
    bottom = tile.top_mm + tiling.window_height_mm
    for join in tiling.joins:
        is_seen = (
            join.x2_mm > tile.left_mm
            and join.x1_mm < right
            and join.y2_mm > tile.top_mm
            and join.y1_mm < bottom
        )
        if not is_seen:
            continue
        places = [(join.x1_mm, join.y1_mm), (join.x2_mm, join.y2_mm)]
        drawn.append(stroke(places, "join", 0.2, dashes="4 2"))
        for part in (0.25, 0.75):
            x = join.x1_mm + (join.x2_mm - join.x1_mm) * part
            y = join.y1_mm + (join.y2_mm - join.y1_mm) * part
            drawn.append(_cross(x, y))
    return drawn


def _cross(x: float, y: float) -> SafeString:
    r = _CROSS_MM
    return mark_safe(
        d.path(
            f"M{fine(x - r)} {fine(y)}H{fine(x + r)}M{fine(x)} {fine(y - r)}V{fine(y + r)}",
            "cross",
            stroke="#000",
            fill="none",
            stroke_width="0.25",
        )
        + d.tag("circle", cx=fine(x), cy=fine(y), r=fine(r * 0.55), fill="none", stroke="#000",
                stroke_width="0.25")
    )  # fmt: skip


def _corners(tiling: Tiling) -> list[SafeString]:
    """Small angles at the corners of the window, where the printed part ends."""
    left, top = tiling.margin_mm, tiling.margin_mm
    right, bottom = left + tiling.window_width_mm, top + tiling.window_height_mm
    return [
        stroke([(x + dx, y), (x, y), (x, y + dy)], "corner", 0.2)
        for x, dx in ((left, 3), (right, -3))
        for y, dy in ((top, 3), (bottom, -3))
    ]


def _strip(tiling: Tiling, tile: Tile, words: str) -> list[SafeString]:
    """Number, check line and what the sheet belongs to, below the window."""
    left = tiling.margin_mm
    top = tiling.margin_mm + tiling.window_height_mm
    line = top + 5.5
    right = left + tiling.window_width_mm
    beside = left + 16 + CHECK_MM + 4
    place = f"row {tile.row + 1}, column {tile.column + 1} of {tiling.rows} by {tiling.columns}"
    return [
        lettering(left, top + 9.5, str(tile.number), 9, font_weight="700"),
        *check_line(left + 16, line),
        lettering(left + 16, top + 10, CHECK_WORDS, 2.9),
        lettering(beside, top + 5, place, 2.9),
        lettering(beside, top + 10, clip(words, 2.9, right - beside), 2.9),
    ]
