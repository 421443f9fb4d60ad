"""What cannot be, or looks wrong, among the places of a drawing: sentences by field.

Faults are refused. Remarks are said and left to the maker: parts and joints are moved in turn,
and what is odd today may be meant.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from builds.core.full_size.part_outlines import Points

BEYOND = 0.2  # of the height: how far a place may lie below the floor or above the crown
LOOSE_MM = 3.0  # a joint this far outside a part still lies in it: the drawing is no better
OFF_LINE_MM = 1.0

# The parts that each joint holds together, upper and lower.
JOINED: Mapping[str, tuple[str, str]] = {
    "neck": ("torso", "head"),
    "shoulder": ("torso", "upper arm"),
    "elbow": ("upper arm", "fore arm"),
    "wrist": ("fore arm", "hand"),
    "hip": ("torso", "thigh"),
    "knee": ("thigh", "shank"),
    "ankle": ("shank", "foot"),
}


@dataclass(frozen=True, slots=True)
class PlacedPoint:
    """A hole or joint as somebody placed it, and the field that its sentences belong to."""

    field: str
    name: str
    x_mm: float
    y_mm: float
    z_mm: float = 0.0


def find_point_faults(height_mm: float, points: Iterable[PlacedPoint]) -> list[tuple[str, str]]:
    """Places that no figure `height_mm` tall has, all at once: fields with sentences.

    >>> find_point_faults(600, [PlacedPoint("knee-y", "knee", 0, 900)])
    [('knee-y', 'The knee lies 300 mm above the crown of a figure 600 mm tall.')]
    """
    faults = []
    for point in points:
        values = (point.x_mm, point.y_mm, point.z_mm)
        if not all(math.isfinite(value) for value in values):
            faults.append((point.field, f"The place of the {point.name} is not a number."))
            continue
        if point.y_mm > (1 + BEYOND) * height_mm:
            faults.append(
                (
                    point.field,
                    f"The {point.name} lies {point.y_mm - height_mm:.0f} mm above the crown of a "
                    f"figure {height_mm:g} mm tall.",
                )
            )
        elif point.y_mm < -BEYOND * height_mm:
            faults.append(
                (point.field, f"The {point.name} lies {-point.y_mm:.0f} mm below the floor.")
            )
        if abs(point.x_mm) > height_mm:
            faults.append(
                (
                    point.field,
                    f"The {point.name} lies {abs(point.x_mm):.0f} mm from the line of balance, "
                    "more than the figure is tall.",
                )
            )
        if not 0 <= point.z_mm <= height_mm:
            faults.append(
                (
                    point.field,
                    f"The {point.name} lies from nought to {height_mm:g} mm from the middle: "
                    "the same on both sides.",
                )
            )
    return faults


def find_loose_joints(
    joints: Iterable[PlacedPoint], parts: Mapping[str, Points]
) -> list[tuple[str, str]]:
    """Joints that lie outside a part they hold, in profile: fields with sentences.

    `parts` are outlines by kind; a part that is not drawn yet says nothing.

    >>> thigh = ((-20, 300), (20, 300), (20, 160), (-20, 160))
    >>> find_loose_joints([PlacedPoint("knee", "knee", 60, 170)], {"thigh": thigh})
    [('knee', 'The knee lies 40 mm outside the thigh: move it, or draw the part there.')]
    """
    remarks = []
    for joint in joints:
        for kind in JOINED.get(joint.name, ()):
            outline = parts.get(kind, ())
            away = distance_outside((joint.x_mm, joint.y_mm), outline) if outline else 0.0
            if away > LOOSE_MM:
                remarks.append(
                    (
                        joint.field,
                        f"The {joint.name} lies {away:.0f} mm outside the "
                        f"{'lower leg' if kind == 'shank' else kind}: move it, or draw the part "
                        "there.",
                    )
                )
    return remarks


def find_off_line(points: Iterable[PlacedPoint]) -> list[tuple[str, float]]:
    """What is expected on the line of balance and is not: names with mm forward of it.

    >>> find_off_line([PlacedPoint("", "hip", 14, 300), PlacedPoint("", "ankle", 0.4, 20)])
    [('hip', 14)]
    """
    return [(point.name, point.x_mm) for point in points if abs(point.x_mm) > OFF_LINE_MM]


def distance_outside(at: tuple[float, float], outline: Sequence[tuple[float, float]]) -> float:
    """How far a place lies outside a closed outline, 0 inside it.

    >>> square = ((0, 0), (10, 0), (10, 10), (0, 10))
    >>> distance_outside((5, 5), square), distance_outside((13, 14), square)
    (0.0, 5.0)
    """
    x, y = at
    is_inside = False
    nearest = math.inf
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            is_inside = not is_inside
        along = (x2 - x1) ** 2 + (y2 - y1) ** 2
        share = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / along if along else 0.0
        share = min(1.0, max(0.0, share))
        foot = (x1 + share * (x2 - x1), y1 + share * (y2 - y1))
        nearest = min(nearest, math.dist(at, foot))
    return 0.0 if is_inside else nearest
