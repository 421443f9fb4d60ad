"""The few SVG primitives, and the knots, that pictures on screen and on paper share.

Everything returns markup that is safe to put in a page: text is escaped, numbers are rounded to a
tenth, looks come from classes (static/company/css/drawings.css), never from a style attribute.
Lettering carries its size as an attribute, so that what was measured is what is drawn. A printed
picture brings its own plain black and white style along, because a page's sheet does not reach
into pictures on paper.

    picture(300, 60, thread(6, 20, 290), knot(Knot.TIED, 40, 20), ident="j4", title="J4, half done")
"""

from __future__ import annotations

from enum import Enum

from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe

from company.lettering import clip, measure

Attribute = str | int | float | None
Box = tuple[float, float, float, float]  # left, top, right, bottom


class Knot(Enum):
    """How far a piece of work is, as a knot and as a word."""

    LOOSE = "not begun"
    HALF = "under way"
    TIED = "done"
    STRUCK = "thrown out"


def num(value: float) -> str:
    """A coordinate to a tenth, without needless digits.

    >>> num(3.0), num(2.449), num(-0.04)
    ('3', '2.4', '0')
    """
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def tag(name: str, *inner: str, css: str = "", **attributes: Attribute) -> SafeString:
    """An element. Plain strings inside are escaped; `stroke_width=2` becomes stroke-width="2"."""
    said = [f' class="{escape(css)}"'] if css else []
    for key, value in attributes.items():
        if value is not None:
            shown = num(value) if isinstance(value, int | float) else escape(value)
            said.append(f' {key.rstrip("_").replace("_", "-")}="{shown}"')
    head = f"<{name}{''.join(said)}"
    if not inner:
        return mark_safe(f"{head}/>")
    return mark_safe(f"{head}>{''.join(conditional_escape(part) for part in inner)}</{name}>")


def group(*inner: str, css: str = "", title: str = "", **attributes: Attribute) -> SafeString:
    """Parts that belong together; `title` shows when pointed at."""
    head = (tag("title", title),) if title else ()
    return tag("g", *head, *inner, css=css, **attributes)


def path(d: str, css: str = "", **attributes: Attribute) -> SafeString:
    """A drawn line or shape from SVG path data."""
    return tag("path", d=d, css=css, **attributes)


def line(x1: float, y1: float, x2: float, y2: float, css: str = "") -> SafeString:
    """A straight line, written short."""
    if y1 == y2:
        return path(f"M{num(x1)} {num(y1)}H{num(x2)}", css)
    if x1 == x2:
        return path(f"M{num(x1)} {num(y1)}V{num(y2)}", css)
    return path(f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", css)


def rect(x: float, y: float, width: float, height: float, css: str = "") -> SafeString:
    """A rectangle."""
    return tag("rect", css=css, x=x, y=y, width=width, height=height)


def circle(x: float, y: float, r: float, css: str = "") -> SafeString:
    """A circle."""
    return tag("circle", css=css, cx=x, cy=y, r=r)


def words(
    x: float,
    y: float,
    text: str,
    *,
    size: float = 13,
    bold: bool = False,
    css: str = "",
    anchor: str = "start",
) -> SafeString:
    """A line of lettering; `y` is its foot. `anchor` is start, middle or end."""
    return tag(
        "text",
        text,
        css=css,
        x=x,
        y=y,
        font_size=size,
        font_weight="700" if bold else None,
        text_anchor=None if anchor == "start" else anchor,
    )


def clipped_words(
    x: float,
    y: float,
    text: str,
    room: float,
    size: float,
    *,
    bold: bool = False,
    css: str = "",
) -> SafeString:
    """Words cut to their room; cut ones show whole when pointed at."""
    shown = clip(text, size, room, bold=bold)
    drawn = words(x, y, shown, size=size, bold=bold, css=css)
    if not shown:
        return mark_safe("")
    return drawn if shown == text else group(drawn, title=text)


def words_box(
    x: float, y: float, text: str, *, size: float = 13, bold: bool = False, anchor: str = "start"
) -> Box:
    """The room the same call of `words` takes."""
    width = measure(text, size, bold=bold)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return (left, y - size * 0.76, left + width, y + size * 0.24)


def overlaps(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge.

    >>> overlaps((0, 0, 10, 10), (10, 0, 20, 10)), overlaps((0, 0, 10, 10), (9, 9, 20, 20))
    (False, True)
    """
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def thread_between(x1: float, x2: float, y: float, css: str = "thread-line") -> SafeString:
    """A thread that hangs a little, as a thread does: never more than 3 below a straight line."""
    sag = min(3.0, abs(x2 - x1) / 90)
    a, b = x1 + (x2 - x1) / 3, x1 + (x2 - x1) * 2 / 3
    curve = (
        f"M{num(x1)} {num(y)}C{num(a)} {num(y + sag)} {num(b)} {num(y + sag)} {num(x2)} {num(y)}"
    )
    return path(curve, css)


# The knots, drawn for a radius of 1 with the thread along y = 0 and up being negative.
_LOOP = ((-1.3, 0), (0.1, 0), (0.95, -0.6), (0.8, -1.3), (0.65, -1.95), (-0.65, -1.95))
_LOOP_ROUND = ((-0.8, -1.3), (-0.95, -0.6), (-0.1, 0), (1.3, 0))
_HITCH = ((-1.3, 0), (-0.2, 0.1), (0.8, -0.3), (0.7, -0.9), (0.6, -1.4), (-0.6, -1.4))
_HITCH_TAIL = ((-0.7, -0.9), (-0.8, -0.2), (0.2, 0.1), (0.95, 1.0))
_TIED = ((-1, 0), (-1, -0.75), (-0.4, -1), (0.1, -0.8), (0.6, -0.95), (1, -0.6), (1, 0))
_TIED_ROUND = ((1, 0.75), (0.4, 1), (-0.1, 0.8), (-0.6, 0.95), (-1, 0.6), (-1, 0))
_TIED_MARKS = (
    ((-0.55, 0.35), (-0.1, 0.3), (0.15, -0.1), (0.3, -0.5)),
    ((-0.1, 0.55), (0.3, 0.4), (0.5, 0.1), (0.62, -0.2)),
)
_SHAPES = {
    Knot.LOOSE: _LOOP + _LOOP_ROUND,
    Knot.HALF: _HITCH + _HITCH_TAIL,
    Knot.TIED: _TIED + _TIED_ROUND,
    Knot.STRUCK: _LOOP + _LOOP_ROUND,
}
_CSS = {
    Knot.LOOSE: "knot-loose",
    Knot.HALF: "knot-half",
    Knot.TIED: "knot-tied",
    Knot.STRUCK: "knot-struck",
}


def _curve(points: tuple[tuple[float, float], ...], x: float, y: float, r: float) -> str:
    placed = [f"{num(x + px * r)} {num(y + py * r)}" for px, py in points]
    return f"M{placed[0]}C{' '.join(placed[1:])}"


def knots(state: Knot, places: list[tuple[float, float]], r: float = 5) -> SafeString:
    """All knots of one state in one go: much less markup than one by one."""
    if not places:
        return mark_safe("")
    parts = [path("".join(_curve(_SHAPES[state], x, y, r) for x, y in places), _CSS[state])]
    if state is Knot.TIED:
        marks = "".join(_curve(mark, x, y, r) for x, y in places for mark in _TIED_MARKS)
        parts.append(path(marks, "knot-mark"))
    if state is Knot.STRUCK:
        drawn = (
            f"M{num(x - 1.1 * r)} {num(y + 0.7 * r)}L{num(x + 1.1 * r)} {num(y - 2.1 * r)}"
            for x, y in places
        )
        parts.append(path("".join(drawn), "knot-slash"))
    return mark_safe("".join(parts))


def knot(state: Knot, x: float, y: float, r: float = 5, title: str = "") -> SafeString:
    """One knot on a thread at (x, y); it reaches about 1.6 r up, 1 r down, 1.3 r to each side."""
    return group(knots(state, [(x, y)], r), title=title) if title else knots(state, [(x, y)], r)


def knot_box(x: float, y: float, r: float = 5) -> Box:
    """The room a knot takes, with a breath of air."""
    return (x - 1.4 * r, y - 1.75 * r, x + 1.4 * r, y + 1.15 * r)


def picture(
    width: float,
    height: float,
    *inner: str,
    ident: str,
    title: str,
    desc: str = "",
    css: str = "",
    printed: bool = False,
    role: str = "img",
) -> SafeString:
    """The whole picture, `width` by `height`, with its words for those who listen.

    `ident` begins every id inside and must be unique in the page. Without a title the picture is
    an ornament and hidden from screen readers. One with links inside has the role 'group'.
    """
    names = f"{ident}-title {ident}-desc" if desc else f"{ident}-title"
    said = []
    if title:
        said.append(tag("title", title, id=f"{ident}-title"))
    if desc:
        said.append(tag("desc", desc, id=f"{ident}-desc"))
    return tag(
        "svg",
        *said,
        *([print_style(ident)] if printed else []),
        *inner,
        css=f"drawing {css}".strip(),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}",
        width=width,
        height=height,
        role=role if title else None,
        aria_labelledby=names if title else None,
        aria_hidden=None if title else "true",
    )


# What tells six cloths apart on paper: hatchings, light enough to write over.
_CLOTH_LINES = (
    "M0 8L8 0",
    "M0 0L8 8",
    "M0 4H8",
    "M4 0V8",
    "M0 4H8M4 0V8",
    "M1 2h1M5 6h1",
)
_PRINT_RULES = (
    ".drawing text{fill:#000;font-family:'Sheet Sans','Sheet Sans Ext','Alegreya Sans',sans-serif}"
    ".drawing path{fill:none;stroke:#000;stroke-width:.8}"
    ".drawing rect{fill:none;stroke:#000;stroke-width:.6}"
    ".drawing .knot-loose,.drawing .knot-struck{fill:#fff;stroke-width:1}"
    ".drawing .knot-half{fill:#bbb;stroke-width:1}"
    ".drawing .knot-tied{fill:#000}"
    ".drawing .knot-mark{stroke:#fff;stroke-width:.9}"
    ".drawing .knot-slash{stroke-width:1.8}"
    ".drawing .solid{fill:#000;stroke:none}"
    ".drawing .label{fill:#fff}"
    ".drawing .hair,.drawing .role-line,.drawing .scene-line{stroke-width:.4;stroke:#777}"
    ".drawing .thread-ahead{stroke-dasharray:2 4}"
    ".drawing .thread-line{stroke-width:1.4}"
    ".drawing circle{stroke:#000;stroke-width:.8}"
    ".drawing .paper{fill:#fff;stroke:none}.drawing .hatch{stroke:#888;stroke-width:.5}"
    ".drawing .pause{fill:#eee;stroke:none}"
    ".drawing .cloth-piece{stroke-width:1.1}"
    ".drawing .person{fill:#fff}.drawing .person-short{fill:#000}"
    ".drawing .undecided{fill:#fff;stroke-dasharray:3 3}"
)


def print_style(ident: str) -> SafeString:
    """Black and white rules and hatchings for a picture on paper; never used on screen."""
    hatchings = [
        tag(
            "pattern",
            rect(0, 0, 8, 8, "paper"),
            path(lines, "hatch"),
            id=f"{ident}-cloth-{number}",
            width=8,
            height=8,
            patternUnits="userSpaceOnUse",
        )
        for number, lines in enumerate(_CLOTH_LINES, 1)
    ]
    cloths = "".join(
        f".drawing .cloth-{number}{{fill:url(#{escape(ident)}-cloth-{number})}}"
        for number in range(1, len(_CLOTH_LINES) + 1)
    )
    style = mark_safe(f"<style>{_PRINT_RULES}{cloths}</style>")
    return mark_safe(style + tag("defs", *hatchings))
