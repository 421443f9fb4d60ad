"""The drawing at full size: front and profile on one sheet of any size, heights shared, in mm.

`lay_full_size` lays the whole figure out at 1:1, `lay_head` its head at the scale it is sculpted
at. Either is then drawn whole on one long page, or cut into tiles (builds/drawings/tiled.py).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils.safestring import SafeString, mark_safe

from builds.drawings.figure_outline import (
    FigureOutline,
    OutlinePoint,
    Pen,
    draw_front,
    draw_picture,
    draw_profile,
    point_labels,
    point_words,
)
from builds.drawings.outline_labels import draw_labels
from builds.drawings.outline_marks import fine, mark_floor, stroke
from company import drawing as d
from company.lettering import measure

FONT = "'Sheet Sans','Sheet Sans Ext'"
HEAD = "head"
_EDGE_MM = 6.0  # between the drawing and its own edge
_ABOVE_MM = 22.0  # for the words over the views
_BELOW_MM = 16.0  # for the floor and the bob
_RULER_MM = 16.0  # for the line of the whole height
_BETWEEN_MM = 22.0
_PHOTO_ROOM_MM = 30.0  # of a photo beside the outermost point
_LABEL_MM = 3.6


@dataclass(frozen=True, slots=True)
class FullSize:
    """A figure laid out on paper: its size in mm, and the pens of both views."""

    figure: FigureOutline
    title: str
    width_mm: float
    height_mm: float
    front: Pen
    profile: Pen
    low_mm: float = 0.0  # the lowest height of the figure that is shown

    @property
    def factor(self) -> float:
        """How many mm on paper a mm of the figure takes: 1, or more for a head to be sculpted."""
        return self.profile.scale

    def photo_box(self, pen: Pen) -> tuple[float, float, float, float]:
        """Where a photo may be seen under a view: beside the other view's half of the sheet."""
        middle = (self.front.x + self.profile.x) / 2
        if pen is self.front:
            return (_EDGE_MM, _EDGE_MM, middle, self.height_mm - _EDGE_MM)
        return (middle, _EDGE_MM, self.width_mm - _EDGE_MM, self.height_mm - _EDGE_MM)


def lay_full_size(figure: FigureOutline) -> FullSize:
    """The whole figure at 1:1."""
    return _lay(figure, 1.0, 0.0, "Full size, 1:1")


def lay_head(figure: FigureOutline, factor: float, because: str = "") -> FullSize | None:
    """The head as large as it is sculpted, so that its casting comes out as drawn.

    A casting that shrinks by s is sculpted at 1 / (1 - s): ten per cent means a `factor` of 1.111.
    `because` is said beside it. None where neither a head nor a neck joint says how far it reaches
    down. Raises ValueError for a factor outside 0.5 to 2.
    """
    if not 0.5 <= factor <= 2:
        raise ValueError(f"factor is {factor}, outside 0.5 to 2")
    heads = tuple(part for part in figure.parts if part.kind == HEAD)
    necks = [p.y_mm for p in figure.points if p.name == "neck" and not p.is_hole]
    lows = [y for part in heads for _, y in part.profile] + necks
    if not lows or min(lows) >= figure.height_mm:
        return None
    low = min(lows)
    tall = figure.height_mm - low
    head = replace(
        figure,
        parts=heads,
        points=tuple(p for p in figure.points if p.y_mm >= low - 1 and _is_of_head(p)),
    )
    title = f"Head as it is sculpted, 1:{factor:.3f}"
    words = f"{tall:.0f} mm becomes {tall * factor:.0f} mm"
    return _lay(head, factor, low, f"{title}, {words}" + (f" ({because})" if because else ""))


def _is_of_head(point: OutlinePoint) -> bool:
    return point.part == HEAD if point.is_hole else point.name == "neck"


def _lay(figure: FigureOutline, factor: float, low_mm: float, title: str) -> FullSize:
    tall = (figure.height_mm - low_mm) * factor
    front_reach = _reach(figure, "front", low_mm)
    profile_reach = _reach(figure, "profile", low_mm)
    pen = Pen(
        floor=_EDGE_MM + _ABOVE_MM + figure.height_mm * factor,
        scale=factor,
        faces_left=figure.faces_left,
        size=_LABEL_MM,
    )
    front = replace(pen, x=_EDGE_MM + _RULER_MM + front_reach[0] * factor)
    profile = replace(pen, x=front.x + (front_reach[1] + profile_reach[0]) * factor + _BETWEEN_MM)
    edge = profile.x + profile_reach[1] * factor
    words = [point_words(point, with_height=True) for point in figure.points] or ["line of balance"]
    column = 8 + max(measure(text, _LABEL_MM) for text in words)
    width = max(edge + column, _EDGE_MM + measure(title, 5.5)) + _EDGE_MM
    height = _EDGE_MM + _ABOVE_MM + tall + _BELOW_MM + _EDGE_MM
    return FullSize(figure, title, width, height, front, profile, low_mm)


def _reach(figure: FigureOutline, view: str, low_mm: float) -> tuple[float, float]:
    """How far a view takes room to the left and the right, in mm of the figure."""
    left, right = figure.reach(view)
    if figure.parts or low_mm:
        left, right = max(left, 15.0), max(right, 15.0)
    photo = figure.picture_of(view)
    if photo is None:
        return (left, right)
    a, _, c, _, e, _ = photo.matrix
    corners = [a * x + c * y + e for x in (0, photo.width_px) for y in (0, photo.height_px)]
    return (
        max(left, min(-min(corners), left + _PHOTO_ROOM_MM)),
        max(right, min(max(corners), right + _PHOTO_ROOM_MM)),
    )


def draw_full_size(full: FullSize, ident: str) -> SafeString:
    """All of it in mm from its upper left corner, photos undermost."""
    figure = full.figure
    column = full.profile.x + _reach(figure, "profile", full.low_mm)[1] * full.factor + 8
    names = point_labels(
        figure,
        full.profile,
        column,
        with_heights=True,
        low=_EDGE_MM + _ABOVE_MM - 4,
        high=full.height_mm - _EDGE_MM,
    )
    inner = [
        draw_picture(figure, "front", full.front, full.photo_box(full.front), ident),
        draw_picture(figure, "profile", full.profile, full.photo_box(full.profile), ident),
        *_heights(full, column - 5),
        draw_front(figure, full.front),
        draw_profile(figure, full.profile),
        *_whole_height(full),
        draw_labels(names, _LABEL_MM, 0.15),
        *_words(full),
    ]
    box = d.tag("rect", x="0", y="0", width=fine(full.width_mm), height=fine(full.height_mm))
    clip = d.tag("clipPath", box, id=f"{ident}-sheet")
    return mark_safe(clip + d.group(*inner, clip_path=f"url(#{ident}-sheet)", font_family=FONT))


def _heights(full: FullSize, right: float) -> list[SafeString]:
    """Thin lines on which front and profile share the height of every hole and joint."""
    heights = sorted({point.y_mm for point in full.figure.points})
    left = full.front.x - _reach(full.figure, "front", full.low_mm)[0] * full.factor
    return [
        stroke([(left, y), (right, y)], "outline-hair", 0.1, dashes="1 2")
        for y in (full.front.floor - height * full.factor for height in heights)
    ]


def _whole_height(full: FullSize) -> list[SafeString]:
    """The measure at the left; of a head only its own height, as it is sculpted."""
    x = _EDGE_MM + 10
    top = full.front.floor - full.figure.height_mm * full.factor
    foot = full.front.floor - full.low_mm * full.factor
    tall = (full.figure.height_mm - full.low_mm) * full.factor
    middle = (top + foot) / 2
    return [
        stroke([(x, top), (x, foot)], "outline-hair", 0.2),
        *(stroke([(x - 3, y), (x + 3, y)], "outline-hair", 0.2) for y in (top, foot)),
        *([] if full.low_mm else [mark_floor(_EDGE_MM, full.width_mm - _EDGE_MM, full.front)]),
        lettering(
            x - 2,
            middle,
            f"{tall:.1f}".removesuffix(".0") + " mm",
            4.2,
            text_anchor="middle",
            transform=f"rotate(-90 {fine(x - 2)} {fine(middle)})",
        ),
    ]


def _words(full: FullSize) -> list[SafeString]:
    """The title and the names of the views."""
    y = _EDGE_MM + 6
    below = y + 8
    return [
        lettering(_EDGE_MM + _RULER_MM, y, full.title, 5.5, font_weight="700"),
        lettering(full.front.x, below, "front", 4.2, text_anchor="middle"),
        lettering(full.profile.x + 3, below, "profile, line of balance", 4.2),
    ]


def lettering(x: float, y: float, text: str, size: float, **more: str) -> SafeString:
    """Words on paper, `size` mm high; `y` is their foot."""
    return d.tag("text", text, x=fine(x), y=fine(y), font_size=fine(size), **more)
