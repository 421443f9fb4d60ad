"""The outlines of a figure's parts, in profile and from the front, as points in drawing mm.

Profile points are (x forward, y up); front points (z from the middle, y up), for the side where
the row of a pair stands; the other side is its mirror.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Points = tuple[tuple[float, float], ...]

AROUND = 96  # corners of an ellipse: of one 200 mm long they lie within 0.1 mm of the curve


@dataclass(frozen=True, slots=True)
class PartShape:
    """A part as it is drawn: 'ellipsoid', 'taper' or 'outline', its axis, and its sizes in mm.

    The axis runs from `top` to `low` in profile; `z_top` and `z_bottom` are where its ends lie
    from the middle. Widths are across the figure, depths across the axis in profile; the lower
    ones belong to a taper, and blank are like the upper ones.
    """

    shape: str
    top: tuple[float, float]
    low: tuple[float, float]
    width_mm: float
    depth_mm: float
    width_low_mm: float | None = None
    depth_low_mm: float | None = None
    z_top: float = 0.0
    z_bottom: float = 0.0
    outline: Points = ()
    front_outline: Points = ()


def profile_polygon(part: PartShape) -> Points:
    """The outline seen from the side.

    >>> profile_polygon(PartShape("taper", (0, 100), (0, 0), 40, 30, 20, 10))
    ((-15.0, 100.0), (15.0, 100.0), (5.0, 0.0), (-5.0, 0.0))
    """
    if part.shape == "outline" and part.outline:
        return part.outline
    low = part.depth_mm if part.depth_low_mm is None else part.depth_low_mm
    return _along(part.shape, part.top, part.low, part.depth_mm, low)


def front_polygon(part: PartShape) -> Points:
    """The outline seen from the front. A part that lies level, as a foot does, shows its end.

    >>> front_polygon(PartShape("taper", (0, 100), (0, 0), 40, 30, 20, 10, z_top=50, z_bottom=50))
    ((30.0, 100.0), (70.0, 100.0), (60.0, 0.0), (40.0, 0.0))
    """
    if part.shape == "outline" and part.front_outline:
        return part.front_outline
    low = part.width_mm if part.width_low_mm is None else part.width_low_mm
    top, bottom = (part.z_top, part.top[1]), (part.z_bottom, part.low[1])
    across, fall = part.top[0] - part.low[0], part.top[1] - part.low[1]
    if abs(across) <= abs(fall):
        return _along(part.shape, top, bottom, part.width_mm, low)
    # Seen end on: as high as the profile is there, as wide as the part.
    heights = [y for _, y in profile_polygon(part)]
    middle = (part.z_top + part.z_bottom) / 2
    return _along(
        part.shape, (middle, max(heights)), (middle, min(heights)), part.width_mm, part.width_mm
    )


def _along(
    shape: str,
    top: tuple[float, float],
    bottom: tuple[float, float],
    wide_top: float,
    wide_bottom: float,
) -> Points:
    """An ellipse or a taper about an axis."""
    along = (bottom[0] - top[0], bottom[1] - top[1])
    length = math.hypot(*along)
    if length == 0:
        return (top,)
    # Across the axis, to the left as one looks down it.
    across = (along[1] / length, -along[0] / length)

    def place(down: float, aside: float) -> tuple[float, float]:
        return (
            top[0] + along[0] * down + across[0] * aside + 0.0,
            top[1] + along[1] * down + across[1] * aside + 0.0,
        )

    if shape == "ellipsoid":
        turns = [2 * math.pi * n / AROUND for n in range(AROUND)]
        return tuple(
            place((1 - math.cos(turn)) / 2, wide_top / 2 * math.sin(turn)) for turn in turns
        )
    return (
        place(0, wide_top / 2),
        place(0, -wide_top / 2),
        place(1, -wide_bottom / 2),
        place(1, wide_bottom / 2),
    )
