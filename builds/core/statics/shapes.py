"""Volume and centre of the shapes that parts are drawn as: solid, or as a shell with a wall."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builds.core.statics.values import Point


@dataclass(frozen=True, slots=True)
class Body:
    """A volume in cubic millimetres, and how far its centre lies along the axis from the top."""

    volume_mm3: float
    centre_mm: float


def _above(**sizes: float) -> None:
    for name, size in sizes.items():
        if not (math.isfinite(size) and size > 0):
            raise ValueError(f"{name} is {size} mm, not more than nought")


def ellipsoid(
    length_mm: float, width_mm: float, depth_mm: float, wall_mm: float | None = None
) -> Body:
    """An egg of three diameters; with `wall_mm` only its shell.

    Volume pi / 6 times the three diameters (textbook geometry).

    >>> round(ellipsoid(100, 100, 100).volume_mm3)
    523599
    >>> round(ellipsoid(100, 100, 100, wall_mm=50).volume_mm3)
    523599
    """
    _above(length_mm=length_mm, width_mm=width_mm, depth_mm=depth_mm)
    sizes = (length_mm, width_mm, depth_mm)
    volume = math.pi / 6 * math.prod(sizes)
    if wall_mm is not None:
        _above(wall_mm=wall_mm)
        inner = [size - 2 * wall_mm for size in sizes]
        if min(inner) > 0:
            volume -= math.pi / 6 * math.prod(inner)
    return Body(volume, length_mm / 2)


def taper(
    length_mm: float,
    top: tuple[float, float],
    low: tuple[float, float],
    wall_mm: float | None = None,
) -> Body:
    """A cylinder that tapers, oval across: `top` and `low` are width and depth at its ends.

    The section is pi/4 w d with both sizes linear along the axis, integrated exactly; a cone has
    a third of its cylinder and its centre at a quarter (textbook geometry). `low` may be nought.

    >>> cone = taper(120, (60, 60), (0, 0))
    >>> round(cone.volume_mm3 / (math.pi * 30**2 * 120), 6), round(cone.centre_mm, 6)
    (0.333333, 30.0)
    >>> rod = taper(200, (20, 20), (20, 20))
    >>> round(rod.volume_mm3), rod.centre_mm
    (62832, 100.0)
    """
    _above(length_mm=length_mm, width_mm=top[0], depth_mm=top[1])
    if min(low) < 0:
        raise ValueError(f"the lower end is {low} mm, not nought or more")
    volume, moment = _taper_sums(length_mm, top, low)
    if wall_mm is not None:
        _above(wall_mm=wall_mm)
        inner_length = length_mm - 2 * wall_mm
        ends = [
            tuple(
                start + (end - start) * at / length_mm - 2 * wall_mm
                for start, end in zip(top, low, strict=True)
            )
            for at in (wall_mm, length_mm - wall_mm)
        ]
        if inner_length > 0 and min(ends[0] + ends[1]) > 0:
            hole, hole_moment = _taper_sums(
                inner_length, (ends[0][0], ends[0][1]), (ends[1][0], ends[1][1])
            )
            volume, moment = volume - hole, moment - hole_moment - hole * wall_mm
    return Body(volume, moment / volume)


def _taper_sums(
    length: float, top: tuple[float, float], low: tuple[float, float]
) -> tuple[float, float]:
    """Volume, and volume times the way of its centre from the top."""
    (w0, d0), (w1, d1) = top, low
    a, b, c = w0 * d0, w0 * (d1 - d0) + d0 * (w1 - w0), (w1 - w0) * (d1 - d0)
    quarter = math.pi / 4
    return (
        quarter * length * (a + b / 2 + c / 3),
        quarter * length**2 * (a / 2 + b / 3 + c / 4),
    )


def outline(
    points: Sequence[Point], width_mm: float, fullness: float = 1.0, wall_mm: float | None = None
) -> tuple[float, Point]:
    """Volume and centre of an outline of so much width, rounded off to `fullness` of its block.

    Area and centre after the surveyor's formula (Meister 1769, Gauss 1795; textbook geometry).
    With a wall: the wall times the faces and the rim, never more than the solid; good to a few
    per cent while the wall is thin.

    >>> outline([(0, 0), (100, 0), (100, 40), (0, 40)], 10)
    (40000.0, (50.0, 20.0))
    """
    _above(width_mm=width_mm)
    if not 0 < fullness <= 1:
        raise ValueError(f"fullness is {fullness}, not above 0 and at most 1")
    area, centre = polygon(points)
    solid = area * width_mm * fullness
    if wall_mm is None:
        return solid, centre
    _above(wall_mm=wall_mm)
    sides = [
        (math.dist(a, b), ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
        for a, b in zip(points, [*points[1:], points[0]], strict=True)
    ]
    around = sum(side for side, _ in sides)
    faces, rim = 2 * area * fullness * wall_mm, around * width_mm * fullness * wall_mm
    if faces + rim >= solid:
        return solid, centre
    on_rim = [sum(side * middle[axis] for side, middle in sides) / around for axis in (0, 1)]
    mixed = [
        (faces * middle + rim * edge) / (faces + rim)
        for middle, edge in zip(centre, on_rim, strict=True)
    ]
    return faces + rim, (mixed[0], mixed[1])


def polygon(points: Sequence[Point]) -> tuple[float, Point]:
    """Area and centre of a closed outline, whichever way round it was drawn.

    >>> polygon([(0, 0), (0, 3), (3, 0)])
    (4.5, (1.0, 1.0))
    """
    if len(points) < 3:
        raise ValueError(f"an outline has 3 points or more, not {len(points)}")
    twice = x_sum = y_sum = 0.0
    # Reckoned from the first point: far-off outlines then lose no digits.
    x0, y0 = points[0]
    moved = [(x - x0, y - y0) for x, y in points]
    for (ax, ay), (bx, by) in zip(moved, [*moved[1:], moved[0]], strict=True):
        cross = ax * by - bx * ay
        twice += cross
        x_sum += (ax + bx) * cross
        y_sum += (ay + by) * cross
    if abs(twice) < 1e-9:
        raise ValueError("the outline encloses nothing")
    return abs(twice) / 2, (x0 + x_sum / (3 * twice), y0 + y_sum / (3 * twice))


def on_axis(top: Point, low: Point, from_top_mm: float) -> Point:
    """The point so many millimetres down the axis from its top.

    >>> on_axis((0, 100), (0, 0), 25)
    (0.0, 75.0)
    """
    length = math.dist(top, low)
    _above(length_mm=length)
    share = from_top_mm / length
    return top[0] + (low[0] - top[0]) * share, top[1] + (low[1] - top[1]) * share
