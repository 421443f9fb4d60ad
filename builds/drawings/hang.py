"""How a figure hangs, over how it is drawn: the profile in pencil, the rest pose in ink over it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from builds.drawings.figure_outline import draw_profile, point_labels
from builds.drawings.outline_labels import Label, draw_labels, spread_labels
from builds.drawings.outline_marks import fine, mark_floor, path_data
from builds.drawings.outline_values import FigureOutline, OutlinePoint, Pen, Place
from company import drawing as d
from company.lettering import measure

_NAMED = ("shoulder", "hip", "knee", "ankle", "neck")
_TOP, _FOOT, _SIDE = 34.0, 26.0, 26.0


@dataclass(frozen=True, slots=True)
class HungPart:
    """A part where it comes to rest: its outline in drawing millimetres."""

    kind: str
    profile: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class HangData:
    """The drawing, the parts at rest, where the weight sits, and where ballast is proposed."""

    drawn: FigureOutline
    rest: tuple[HungPart, ...]
    weight: Place | None = None
    weight_words: str = ""
    ballast: Place | None = None
    ballast_words: str = ""


def draw_hang(
    data: HangData,
    *,
    ident: str,
    title: str,
    desc: str = "",
    height: float = 560,
    printed: bool = False,
) -> SafeString:
    """The picture: drawn pose pale, rest pose in firm line, line of balance, weight and ballast."""
    pen, width, labels_x = _room(data, height)
    figure = replace(data.drawn, points=tuple(p for p in data.drawn.points if _is_named(p)))
    labels = point_labels(figure, pen, labels_x)
    marks, extra = [], []
    if data.weight is not None:
        seat = pen.profile(*data.weight)
        marks.append(_weight_mark(seat, pen))
        extra.append(Label(data.weight_words, *seat, labels_x, css="hang-weight-words"))
    if data.ballast is not None:
        at = pen.profile(*data.ballast)
        marks.append(_ballast_mark(at, pen))
        extra.append(Label(data.ballast_words, *at, labels_x))
    labels = spread_labels(
        [*labels, *extra], pen.size * 1.25, low=pen.size, high=pen.floor + pen.size
    )
    width = max([width, *(label.x + measure(label.text, pen.size) + 14 for label in labels)])
    rest = d.group(
        *(
            d.path(
                path_data(pen.profile(*at) for at in part.profile),
                "hang-part",
                fill="none",
                stroke="#000",
                stroke_width=fine(pen.line * 1.2),
                stroke_linejoin="round",
            )
            for part in data.rest
        ),
        css="hang-rest",
        title="as it hangs",
    )
    base = d.group(draw_profile(figure, pen), css="hang-drawn", opacity="0.55" if printed else None)
    return d.picture(
        width,
        height,
        d.rect(0, 0, width, height, "kraft-paper"),
        mark_floor(12, width - 12, pen),
        base,
        rest,
        *marks,
        draw_labels(labels, pen.size, pen.hair),
        ident=ident,
        title=title,
        desc=desc,
        css="drawing-outline drawing-hang",
        printed=printed,
    )


def draw_over(data: HangData, pen: Pen) -> SafeString:
    """The rest pose and where the weight sits, to lie over another picture of the profile."""
    pen = replace(pen, faces_left=data.drawn.faces_left)
    lines = [
        d.path(
            path_data(pen.profile(*at) for at in part.profile),
            "hang-over",
            fill="none",
            stroke="#000",
            stroke_width=fine(pen.line),
            stroke_dasharray="5 3",
        )
        for part in data.rest
    ]
    weight = [_weight_mark(pen.profile(*data.weight), pen)] if data.weight is not None else []
    return d.group(*lines, *weight, css="hang-rest", title="as it hangs")


def _is_named(point: OutlinePoint) -> bool:
    return (point.is_hole and point.is_key) or (not point.is_hole and point.name in _NAMED)


def _room(data: HangData, height: float) -> tuple[Pen, float, float]:
    """Pen, width and where the names begin, so that drawn and hung pose both fit."""
    drawn = data.drawn
    sign = -1 if drawn.faces_left else 1
    seen = [sign * x for part in data.rest for x, _ in part.profile]
    lows = [y for part in data.rest for _, y in part.profile]
    left, right = drawn.reach("profile")
    left, right = max(left, -min(seen, default=0.0)), max(right, *seen, 0.0)
    below = max(0.0, -min(lows, default=0.0))
    above = max(0.0, max([y for part in data.rest for _, y in part.profile], default=0.0)
                - drawn.height_mm)  # fmt: skip
    scale = (height - _TOP - _FOOT) / (drawn.height_mm + below + above)
    pen = Pen(
        x=_SIDE + left * scale,
        floor=height - _FOOT - below * scale,
        scale=scale,
        faces_left=drawn.faces_left,
        hair=0.8,
        line=1.6,
        dot=5,
        size=13,
    )
    edge = pen.x + right * scale
    return pen, edge + _SIDE, edge + 18


def _weight_mark(at: Place, pen: Pen) -> SafeString:
    """Where the weight sits: a quartered circle."""
    x, y = at
    r = pen.dot * 1.5
    cross = f"M{fine(x - r)} {fine(y)}H{fine(x + r)}M{fine(x)} {fine(y - r)}V{fine(y + r)}"
    ring = d.tag("circle", cx=fine(x), cy=fine(y), r=fine(r), fill="none", stroke="#000",
                 stroke_width=fine(pen.line))  # fmt: skip
    line = d.path(cross, fill="none", stroke="#000", stroke_width=fine(pen.line))
    return d.group(ring, line, css="hang-weight", title="where its weight sits")


def _ballast_mark(at: Place, pen: Pen) -> SafeString:
    x, y = at
    r = pen.dot * 0.9
    return d.group(
        d.tag("rect", x=fine(x - r), y=fine(y - r), width=fine(2 * r), height=fine(2 * r),
              css="hang-ballast", fill="#000"),
        title="where ballast is proposed",
    )  # fmt: skip
