"""A figure as it is drawn: front and profile, parts, string holes, joints, the line of balance.

Takes plain values in drawing mm (x forward of the line of balance, y up from the floor, z from
the middle). A `Pen` says where and how large: at a scale of 1 the units of the picture are mm, and
the same code then draws the full-size sheets; smaller it draws the pictures on pages.

    figure = FigureOutline(height_mm=600, parts=(...), points=(OutlinePoint("hip", 0, 300, 40),))
    draw_thumbnail(figure, ident="drawing", title="Jory at sixty as he is drawn")

Another picture is laid over the profile by the same places: `Pen.profile(x_mm, y_mm)`.
"""

from __future__ import annotations

from dataclasses import replace

from django.utils.safestring import SafeString, mark_safe

from builds.drawings.outline_labels import Label, draw_labels, spread_labels
from builds.drawings.outline_marks import (
    fine,
    mark_floor,
    mark_grain,
    mark_line_of_balance,
    mark_measure,
    mark_middle_line,
    mark_outline,
    mark_point,
)
from builds.drawings.outline_values import (
    FigureOutline,
    OutlinePart,
    OutlinePicture,
    OutlinePoint,
    Pen,
)
from company import drawing as d
from company.lettering import measure

__all__ = [
    "FigureOutline",
    "OutlinePart",
    "OutlinePicture",
    "OutlinePoint",
    "Pen",
    "draw_front",
    "draw_picture",
    "draw_profile",
    "draw_thumbnail",
    "point_labels",
    "thumbnail_pen",
]

# What lies behind is drawn first.
_ORDER = ("torso", "thigh", "shank", "foot", "head", "upper arm", "fore arm", "hand")


def draw_profile(figure: FigureOutline, pen: Pen, *, with_parts: bool = True) -> SafeString:
    """The profile: outlines, grain, line of balance, joints and holes, without words."""
    pen = replace(pen, faces_left=figure.faces_left)
    parts = [(p, p.profile) for p in _in_order(figure.parts)] if with_parts else []
    inner = [mark_outline([pen.profile(*at) for at in points], p.kind, pen) for p, points in parts]
    inner += [
        mark_grain(pen.profile(*p.grain[0]), pen.profile(*p.grain[1]), pen)
        for p, _ in parts
        if p.grain is not None
    ]
    inner.append(mark_line_of_balance(figure.height_mm, pen))
    inner += [mark_point(pen.profile(p.x_mm, p.y_mm), p, pen) for p in figure.points]
    return d.group(*inner, css="outline-profile")


def draw_front(figure: FigureOutline, pen: Pen, *, with_parts: bool = True) -> SafeString:
    """The front view, both sides of every pair."""
    inner = []
    for part in _in_order(figure.parts) if with_parts else ():
        for sign in (1, -1) if part.is_pair else (1,):
            if part.front:
                places = [pen.front(sign * z, y) for z, y in part.front]
                inner.append(mark_outline(places, part.kind, pen))
    inner.append(mark_middle_line(figure.height_mm, pen))
    for point in figure.points:
        inner += [mark_point(pen.front(z, point.y_mm), point, pen) for z in point.front_places()]
    return d.group(*inner, css="outline-front")


def draw_picture(
    figure: FigureOutline, view: str, pen: Pen, clip: tuple[float, float, float, float], ident: str
) -> SafeString:
    """The photo of a view under it at true scale, kept inside a box (left, top, right, bottom)."""
    photo = figure.picture_of(view)
    if photo is None:
        return mark_safe("")
    left, top, right, bottom = clip
    a, b, c, e, x, y = photo.matrix
    k = pen.scale
    moved = (a * k, b * k, c * k, e * k, x * k + pen.x, y * k + pen.floor)
    box = {"x": fine(left), "y": fine(top), "width": fine(right - left),
           "height": fine(bottom - top)}  # fmt: skip
    image = d.tag(
        "image",
        href=photo.href,
        width=str(photo.width_px),
        height=str(photo.height_px),
        preserveAspectRatio="none",
        transform=f"matrix({' '.join(f'{value:.8g}' for value in moved)})",
    )
    # A veil and no opacity: a transparency group is cut off at the page it is moved out of.
    veil = d.tag("rect", **box, fill="#fff", fill_opacity="0.4")
    clip = d.tag("clipPath", d.tag("rect", **box), id=f"{ident}-{view}-clip")
    return mark_safe(clip + d.group(image, veil, clip_path=f"url(#{ident}-{view}-clip)"))


def draw_thumbnail(
    figure: FigureOutline,
    *,
    ident: str,
    title: str,
    desc: str = "",
    height: float = 520,
    over: str = "",
    printed: bool = False,
) -> SafeString:
    """Front and profile side by side with heights and names, as on the page of a figure.

    `over` is markup in the picture's own units, laid over the profile; its places come from
    `thumbnail_pen(figure, height)`.
    """
    front, profile = _pens(figure, height)
    _, right = figure.reach("profile")
    names = point_labels(figure, profile, profile.x + right * profile.scale + 14)
    width = max(
        [label.x + measure(label.text, profile.size) for label in names] or [profile.x + 60]
    )
    width = max(width, profile.x + right * profile.scale) + 14
    sheet = d.rect(0, 0, width, height, "kraft-paper")
    floor = mark_floor(12, width - 12, profile)
    return d.picture(
        width,
        height,
        sheet,
        floor,
        mark_measure(figure.height_mm, front, 26),
        draw_front(figure, front),
        draw_profile(figure, profile),
        mark_safe(over),
        draw_labels(names, profile.size, profile.hair),
        ident=ident,
        title=title,
        desc=desc,
        css="drawing-outline",
        printed=printed,
    )


def thumbnail_pen(figure: FigureOutline, height: float = 520) -> Pen:
    """The pen of the profile in `draw_thumbnail` at the same height: what lies over it uses it."""
    return _pens(figure, height)[1]


def _pens(figure: FigureOutline, height: float) -> tuple[Pen, Pen]:
    """The pens of front and profile in a picture of this height, which share the floor."""
    top, foot = 34.0, 26.0
    scale = (height - top - foot) / figure.height_mm
    pen = Pen(floor=height - foot, scale=scale, faces_left=figure.faces_left, hair=0.8, line=1.6,
              dot=5, size=13)  # fmt: skip
    front_left, front_right = (side * scale for side in figure.reach("front"))
    left, _ = (side * scale for side in figure.reach("profile"))
    front_x = 48 + front_left
    return replace(pen, x=front_x), replace(pen, x=front_x + front_right + 34 + left)


def _in_order(parts: tuple[OutlinePart, ...]) -> list[OutlinePart]:
    return sorted(parts, key=lambda p: _ORDER.index(p.kind) if p.kind in _ORDER else len(_ORDER))


def point_labels(
    figure: FigureOutline,
    pen: Pen,
    x: float,
    *,
    with_heights: bool = False,
    low: float | None = None,
    high: float | None = None,
) -> list[Label]:
    """The names of the points of the profile, in a column beside it, each with its leader."""
    pen = replace(pen, faces_left=figure.faces_left)
    asked = [
        Label(point_words(point, with_height=with_heights), *pen.profile(point.x_mm, point.y_mm), x)
        for point in figure.points
    ]
    return spread_labels(
        asked,
        pen.size * 1.25,
        low=pen.size if low is None else low,
        high=pen.floor + pen.size if high is None else high,
    )


def point_words(point: OutlinePoint, *, with_height: bool = False) -> str:
    """What stands beside a point.

    >>> point_words(OutlinePoint("back", -52, 380, is_hole=True), with_height=True)
    'back hole 380'
    """
    words = f"{point.name} hole" if point.is_hole else point.name
    return f"{words} {point.y_mm:g}" if with_height else words
