"""The marks that a figure's drawing is made of: outlines, grain, holes, joints, lines, heights.

Each has a class for the screen and its look on paper beside it, as attributes.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.safestring import SafeString

from builds.drawings.outline_values import OutlinePoint, Pen, Place
from company import drawing as d


def fine(value: float) -> str:
    """A place in the units of the picture, to a hundredth.

    >>> fine(12.3456), fine(3.0), fine(-0.001)
    ('12.35', '3', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path_data(places: Iterable[Place], *, is_closed: bool = True) -> str:
    """A line through places as SVG path data."""
    drawn = "L".join(f"{fine(x)} {fine(y)}" for x, y in places)
    return f"M{drawn}{'Z' if is_closed else ''}"


def stroke(
    places: Iterable[Place], css: str, width: float, *, dashes: str = "", is_closed: bool = False
) -> SafeString:
    """A line whose look on paper stands beside its class."""
    return d.path(
        path_data(places, is_closed=is_closed),
        css,
        fill="none",
        stroke="#000",
        stroke_width=fine(width),
        stroke_dasharray=dashes or None,
    )


def mark_outline(places: list[Place], kind: str, pen: Pen) -> SafeString:
    return d.path(
        path_data(places),
        f"outline-part part-{kind.replace(' ', '-')}",
        fill="none",
        stroke="#000",
        stroke_width=fine(pen.line),
        stroke_linejoin="round",
    )


def mark_grain(one: Place, other: Place, pen: Pen) -> SafeString:
    """The direction of the grain: a line with an arrow head at both ends."""
    (x1, y1), (x2, y2) = one, other
    length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-9)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    barb = pen.dot * 0.9

    def head(x: float, y: float, sign: int) -> str:
        back = [
            (x - sign * barb * (ux * 1.6) + side * barb * 0.7 * -uy,
             y - sign * barb * (uy * 1.6) + side * barb * 0.7 * ux)
            for side in (1, -1)
        ]  # fmt: skip
        return path_data([back[0], (x, y), back[1]], is_closed=False)

    shaft = path_data([one, other], is_closed=False)
    return d.path(
        shaft + head(x1, y1, -1) + head(x2, y2, 1),
        "outline-grain",
        fill="none",
        stroke="#000",
        stroke_width=fine(pen.hair),
    )


def mark_point(at: Place, point: OutlinePoint, pen: Pen) -> SafeString:
    """A joint is a ring, a string hole a smaller double one; the cross marks the very place."""
    x, y = at
    r = pen.dot * (0.62 if point.is_hole else 1.0)
    arm = pen.dot * 1.9
    css = f"outline-{'hole' if point.is_hole else 'joint'}{' outline-key' if point.is_key else ''}"
    rings = [r, r * 0.45] if point.is_hole else [r]
    circles = [
        d.tag("circle", css="outline-ring", cx=fine(x), cy=fine(y), r=fine(ring), fill="none",
              stroke="#000", stroke_width=fine(pen.line))
        for ring in rings
    ]  # fmt: skip
    cross = d.path(
        f"M{fine(x - arm)} {fine(y)}H{fine(x + arm)}M{fine(x)} {fine(y - arm)}V{fine(y + arm)}",
        "outline-cross",
        stroke="#000",
        fill="none",
        stroke_width=fine(pen.hair),
    )
    return d.group(*circles, cross, css=css, title=point.name)


def mark_line_of_balance(height_mm: float, pen: Pen) -> SafeString:
    """The plumb line, from above the crown to its bob below the floor."""
    top, foot = pen.floor - height_mm * pen.scale - 4 * pen.dot, pen.floor + pen.dot
    bob = [
        (pen.x - pen.dot * 0.8, foot),
        (pen.x + pen.dot * 0.8, foot),
        (pen.x + pen.dot * 0.7, foot + pen.dot * 1.4),
        (pen.x, foot + pen.dot * 3),
        (pen.x - pen.dot * 0.7, foot + pen.dot * 1.4),
    ]
    return d.group(
        stroke([(pen.x, top), (pen.x, foot)], "outline-plumb", pen.line),
        d.path(path_data(bob), "outline-bob", fill="#000"),
        title="line of balance",
    )


def mark_middle_line(height_mm: float, pen: Pen) -> SafeString:
    top = pen.floor - height_mm * pen.scale - 2 * pen.dot
    dashes = (
        f"{fine(pen.dot * 2)} {fine(pen.dot * 0.8)} {fine(pen.dot * 0.3)} {fine(pen.dot * 0.8)}"
    )
    return stroke([(pen.x, top), (pen.x, pen.floor)], "outline-hair", pen.hair, dashes=dashes)


def mark_floor(left: float, right: float, pen: Pen) -> SafeString:
    dashes = f"{fine(pen.dot)} {fine(pen.dot * 0.7)}"
    places = [(left, pen.floor), (right, pen.floor)]
    return stroke(places, "outline-floor", pen.hair * 1.2, dashes=dashes)


def mark_measure(height_mm: float, pen: Pen, x: float) -> SafeString:
    """The dimension line of the whole height, with its number along it."""
    top = pen.floor - height_mm * pen.scale
    line = stroke([(x, top), (x, pen.floor)], "outline-hair", pen.hair)
    ends = [stroke([(x - 5, y), (x + 5, y)], "outline-hair", pen.hair) for y in (top, pen.floor)]
    middle = (top + pen.floor) / 2
    words = d.tag(
        "text",
        f"{height_mm:g} mm",
        x=fine(x - 7),
        y=fine(middle),
        font_size=fine(pen.size),
        text_anchor="middle",
        transform=f"rotate(-90 {fine(x - 7)} {fine(middle)})",
    )
    return d.group(line, *ends, words)
