"""Parts of usual sizes between the joints, to start from: common practice, no source.

Lengths come from the joints as drawn; widths and depths are shares of the height, about those of
the wooden figures of 45 to 75 cm that hang on strings.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from builds.core.statics.parts import ELLIPSOID, TAPER
from builds.core.statics.values import Point


@dataclass(frozen=True, slots=True)
class UsualPart:
    """A part to start from: the ends of its axis, and its sizes across."""

    shape: str
    top: Point
    low: Point
    width_mm: float
    depth_mm: float
    width_low_mm: float | None = None
    depth_low_mm: float | None = None


# Width and depth at the upper and the lower end, as shares of the height.
_LIMBS: Mapping[str, tuple[str, str, tuple[float, float, float, float]]] = {
    "upper arm": ("shoulder", "elbow", (0.048, 0.052, 0.040, 0.042)),
    "fore arm": ("elbow", "wrist", (0.042, 0.042, 0.030, 0.030)),
    "thigh": ("hip", "knee", (0.070, 0.080, 0.055, 0.060)),
    "shank": ("knee", "ankle", (0.055, 0.062, 0.036, 0.040)),
}
_HAND, _FOOT = 0.09, 0.15  # lengths as shares of the height


def usual_parts(
    joints: Mapping[str, Point], height_mm: float, hole: Point | None = None
) -> dict[str, UsualPart]:
    """A part for every kind whose joints are placed.

    >>> parts = usual_parts({"hip": (0, 300), "knee": (20, 165)}, 600)
    >>> list(parts), round(parts["thigh"].width_mm)
    (['thigh'], 42)
    """
    if not height_mm > 0:
        raise ValueError(f"height_mm is {height_mm} mm, not more than nought")
    h = height_mm
    parts: dict[str, UsualPart] = {}
    if "neck" in joints and "hip" in joints:
        neck, hip = joints["neck"], joints["hip"]
        top = (neck[0], max(neck[1] - 0.01 * h, hole[1] + 0.01 * h if hole else 0))
        low = (hip[0], hip[1] - 0.03 * h)
        parts["torso"] = UsualPart(TAPER, top, low, 0.21 * h, 0.12 * h, 0.17 * h, 0.13 * h)
    if "neck" in joints:
        neck = joints["neck"]
        crown = (neck[0] + 0.015 * h, h)
        chin = (neck[0] + 0.01 * h, min(neck[1] - 0.005 * h, h * 0.95))
        parts["head"] = UsualPart(ELLIPSOID, crown, chin, 0.115 * h, 0.14 * h)
    for kind, (upper, lower, across) in _LIMBS.items():
        if upper in joints and lower in joints:
            sizes = [share * h for share in across]
            parts[kind] = UsualPart(TAPER, joints[upper], joints[lower], *sizes)
    if "wrist" in joints and "elbow" in joints:
        low = _further(joints["elbow"], joints["wrist"], _HAND * h)
        parts["hand"] = UsualPart(ELLIPSOID, joints["wrist"], low, 0.03 * h, 0.045 * h)
    if "ankle" in joints:
        x, y = joints["ankle"]
        deep = max(0.9 * y, 0.02 * h)
        heel, toe = (x - 0.3 * _FOOT * h, deep / 2), (x + 0.7 * _FOOT * h, deep / 2)
        parts["foot"] = UsualPart(TAPER, heel, toe, 0.06 * h, deep, 0.06 * h, deep)
    return parts


def _further(start: Point, end: Point, length: float) -> Point:
    """So far beyond the end, in the line from start to end."""
    apart = math.dist(start, end) or 1.0
    return (
        end[0] + (end[0] - start[0]) / apart * length,
        end[1] + (end[1] - start[1]) / apart * length,
    )


# How far the lower part turns from the drawn pose, back and forward; a knee and an elbow are cut
# at the drawn bend. About 15 to 20 degrees toe down, less toe up. Common practice, no source.
USUAL_STOPS: Mapping[str, tuple[int | None, int | None]] = {
    "neck": (-30, 30),
    "shoulder": (None, None),
    "elbow": (0, 120),
    "wrist": (-60, 60),
    "hip": (-30, 90),
    "knee": (-100, 0),
    "ankle": (-20, 10),
}
