"""A part as it is drawn and made, and the piece that it weighs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.core.statics import shapes
from builds.core.statics.values import HEAD, TORSO, Piece, Point
from builds.core.statics.woods import density_of

ELLIPSOID, TAPER, OUTLINE = "ellipsoid", "taper", "outline"


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """Shape, sizes in mm, material and wall of a part; `outline` in drawing millimetres.

    The axis runs from `top` to `low` (a foot's from heel to toe). `density_kg_m3` overrides the
    table's. `hardware_g` is fixed in it, at its centre.
    """

    kind: str
    shape: str
    top: Point
    low: Point
    width_mm: float
    depth_mm: float
    width_low_mm: float | None = None
    depth_low_mm: float | None = None
    outline: tuple[Point, ...] = ()
    fullness: float = 0.8
    material: str = "lime"
    density_kg_m3: float | None = None
    wall_mm: float | None = None
    hardware_g: float = 0.0

    @property
    def length_mm(self) -> float:
        """From end to end of its axis."""
        return math.dist(self.top, self.low)

    @property
    def count(self) -> int:
        """How many of it a figure has."""
        return 1 if self.kind in (TORSO, HEAD) else 2


def weigh_part(part: DrawnPart) -> Piece:
    """The piece that a part makes: volume x density + hardware, and where its centre lies.

    >>> arm = DrawnPart("fore arm", "taper", (0, 200), (0, 100), 20, 20, 20, 20, material="lime")
    >>> round(weigh_part(arm).mass_g, 1), weigh_part(arm).y_mm
    (16.8, 150.0)
    """
    volume, centre = part_volume(part)
    density = density_of(part.material) if part.density_kg_m3 is None else part.density_kg_m3
    if not density > 0:
        raise ValueError(f"density of the {part.kind} is {density} kg/m3, not above nought")
    if part.hardware_g < 0:
        raise ValueError(f"hardware_g of the {part.kind} is {part.hardware_g} g, below nought")
    mass = volume * density / 1e6 + part.hardware_g
    return Piece(part.kind, mass, *centre, count=part.count)


def part_volume(part: DrawnPart) -> tuple[float, Point]:
    """Cubic millimetres of material, and the centre in the drawing."""
    if part.shape == OUTLINE:
        return shapes.outline(part.outline, part.width_mm, part.fullness, part.wall_mm)
    if part.shape == ELLIPSOID:
        body = shapes.ellipsoid(part.length_mm, part.width_mm, part.depth_mm, part.wall_mm)
    elif part.shape == TAPER:
        low = (
            part.width_mm if part.width_low_mm is None else part.width_low_mm,
            part.depth_mm if part.depth_low_mm is None else part.depth_low_mm,
        )
        top = (part.width_mm, part.depth_mm)
        body = shapes.taper(part.length_mm, top, low, part.wall_mm)
    else:
        raise ValueError(f"shape is {part.shape!r}, not {ELLIPSOID}, {TAPER} or {OUTLINE}")
    return body.volume_mm3, shapes.on_axis(part.top, part.low, body.centre_mm)


def profile_of(part: DrawnPart, steps: int = 24) -> tuple[Point, ...]:
    """The part's outline in profile, as drawn: its own, or that of its shape.

    >>> rod = DrawnPart("shank", "taper", (0, 100), (0, 0), 20, 20, 10, 10)
    >>> profile_of(rod)
    ((10.0, 100.0), (5.0, 0.0), (-5.0, 0.0), (-10.0, 100.0))
    """
    if part.shape == OUTLINE and part.outline:
        return part.outline
    length = part.length_mm or 1.0
    ux, uy = (part.low[0] - part.top[0]) / length, (part.low[1] - part.top[1]) / length
    nx, ny = -uy, ux
    if part.shape == ELLIPSOID:
        middle = ((part.top[0] + part.low[0]) / 2, (part.top[1] + part.low[1]) / 2)
        turns = [2 * math.pi * n / steps for n in range(steps)]
        return tuple(
            (
                middle[0] + math.cos(t) * nx * part.depth_mm / 2 + math.sin(t) * ux * length / 2,
                middle[1] + math.cos(t) * ny * part.depth_mm / 2 + math.sin(t) * uy * length / 2,
            )
            for t in turns
        )
    half, half_low = part.depth_mm / 2, (part.depth_low_mm or part.depth_mm) / 2
    (tx, ty), (lx, ly) = part.top, part.low
    return (
        (tx + nx * half, ty + ny * half),
        (lx + nx * half_low, ly + ny * half_low),
        (lx - nx * half_low, ly - ny * half_low),
        (tx - nx * half, ty - ny * half),
    )


def soles_of(part: DrawnPart) -> tuple[Point, ...]:
    """The points of the lowest leg part that may meet the floor: its two lowest corners.

    >>> soles_of(DrawnPart("foot", "taper", (-20, 10), (60, 10), 30, 20, 30, 20))
    ((-20.0, 0.0), (60.0, 0.0))
    """
    points = profile_of(part)
    xs = [x for x, _ in points]
    middle = (min(xs) + max(xs)) / 2
    behind = [point for point in points if point[0] <= middle]
    before = [point for point in points if point[0] > middle]
    lowest = [min(side, key=lambda point: (point[1], abs(point[0]))) for side in (behind, before)]
    return tuple((float(x), float(y)) for x, y in sorted(lowest))


def is_within(part: DrawnPart, point: Point, margin_mm: float) -> bool:
    """Whether a point lies in the part's profile, or so near to it.

    >>> rod = DrawnPart("shank", "taper", (0, 100), (0, 0), 20, 20)
    >>> is_within(rod, (12, 50), 5), is_within(rod, (40, 50), 5)
    (True, False)
    """
    points = profile_of(part)
    sides = list(zip(points, [*points[1:], points[0]], strict=True))
    inside = False
    x, y = point
    for (ax, ay), (bx, by) in sides:
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            inside = not inside
    return inside or min(_distance(point, a, b) for a, b in sides) <= margin_mm


def _distance(point: Point, a: Point, b: Point) -> float:
    """From a point to the line between two."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = dx * dx + dy * dy
    if not long:
        return math.dist(point, a)
    share = max(0.0, min(1.0, ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / long))
    return math.dist(point, (a[0] + share * dx, a[1] + share * dy))
