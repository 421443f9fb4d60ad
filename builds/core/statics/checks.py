"""What is wrong with a drawing as it was written: every fault at once, each at its field.

`faults` forbid saving; `doubts` are shown beside the numbers, because joints and parts are not
written at the same hour.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from builds.core.statics.parts import OUTLINE, TAPER, DrawnPart, is_within
from builds.core.statics.shapes import polygon
from builds.core.statics.values import JOINT_OF, PARENT, PIECE_OF_JOINT, Point
from builds.core.statics.woods import MATERIALS

NEAR_MM = 6.0
MOST_MM = 3000.0
MOST_PART_G = 20_000.0
Fault = tuple[str, str]


def part_faults(part: DrawnPart) -> list[Fault]:
    """All that forbids a part, as (field, sentence).

    >>> flat = DrawnPart("head", "ellipsoid", (0, 500), (0, 500), -3, 0, material="glass")
    >>> [field for field, _ in part_faults(flat)]
    ['bottom_y_mm', 'width_mm', 'depth_mm', 'material']
    """
    faults: list[Fault] = []
    if part.shape == OUTLINE:
        faults += _outline_faults(part.outline)
    elif part.length_mm <= 0:
        faults.append(("bottom_y_mm", f"Both ends of the {part.kind} lie on one point."))
    sizes = {"width_mm": part.width_mm, "depth_mm": part.depth_mm}
    if part.shape == TAPER:
        sizes |= {"width_low_mm": part.width_low_mm or 1, "depth_low_mm": part.depth_low_mm or 1}
    for field, size in sizes.items():
        if not 0 < size <= MOST_MM:
            faults.append((field, f"More than nought and at most {MOST_MM:.0f} mm, not {size:g}."))
    if part.wall_mm is not None and not part.wall_mm > 0:
        faults.append(("wall_mm", "A wall is thicker than nought; leave it blank for solid."))
    elif part.wall_mm is not None and 2 * part.wall_mm >= min(part.width_mm, part.depth_mm) > 0:
        faults.append(
            ("wall_mm", f"Two walls of {part.wall_mm:g} mm leave no hollow: blank is solid.")
        )
    if part.material not in MATERIALS and part.density_kg_m3 is None:
        faults.append(("material", "Choose a material of the table, or write a density."))
    if part.density_kg_m3 is not None and not 20 <= part.density_kg_m3 <= 20_000:
        faults.append(("density_kg_m3", "From 20 (foam) to 20 000 kilograms per cubic metre."))
    if not 0 < part.fullness <= 1:
        faults.append(("fullness_pct", "From 1 to 100 per cent of the block is left."))
    if not 0 <= part.hardware_g <= MOST_PART_G:
        faults.append(("hardware_g", "What is fixed in it weighs nought or more, at most 20 kg."))
    return faults


def _outline_faults(outline: tuple[Point, ...]) -> list[Fault]:
    try:
        polygon(outline)
    except ValueError as wrong:
        return [("outline", f"{wrong!s}.".capitalize())]
    return []


def stop_faults(back_deg: float | None, forward_deg: float | None, name: str) -> list[Fault]:
    """Stops that forbid the pose that is drawn.

    >>> stop_faults(5, 90, "knee")[0][1]
    'The knee would be stopped 5° forward of the drawn pose: nought or less.'
    """
    faults: list[Fault] = []
    if back_deg is not None and back_deg > 0:
        said = f"The {name} would be stopped {back_deg:g}° forward of the drawn pose"
        faults.append(("stop_back_deg", f"{said}: nought or less."))
    if forward_deg is not None and forward_deg < 0:
        said = f"The {name} would be stopped {-forward_deg:g}° behind the drawn pose"
        faults.append(("stop_forward_deg", f"{said}: nought or more."))
    if any(abs(stop or 0) > 180 for stop in (back_deg, forward_deg)):
        faults.append(("stop_back_deg", f"No {name} turns more than 180°."))
    return faults


def point_faults(x_mm: float, y_mm: float, height_mm: float, name: str) -> list[Fault]:
    """A point that cannot belong to a figure of this height.

    >>> point_faults(0, 900, 600, "neck")[0][0]
    'y_mm'
    """
    faults: list[Fault] = []
    for field, value in (("x_mm", x_mm), ("y_mm", y_mm)):
        if not math.isfinite(value):
            faults.append((field, f"The {name} needs a number here."))
    if not -0.2 * height_mm <= y_mm <= 1.2 * height_mm:
        said = f"The {name} is {y_mm:g} mm above the floor, the figure {height_mm:g} mm high"
        faults.append(("y_mm", f"{said}."))
    if abs(x_mm) > height_mm:
        said = f"The {name} is {abs(x_mm):g} mm off the line of balance"
        faults.append(("x_mm", f"{said}, more than the figure is high."))
    return faults


def find_doubts(
    parts: Mapping[str, DrawnPart],
    joints: Mapping[str, Point],
    hole: Point | None,
) -> list[str]:
    """Sentences about what does not fit together: joints outside their parts, what is missing."""
    doubts = []
    for kind, point in joints.items():
        piece = PIECE_OF_JOINT.get(kind, "")
        for name in (piece, _above(piece, parts)):
            part = parts.get(name)
            if part is not None and not is_within(part, point, NEAR_MM):
                doubts.append(f"The {kind} joint lies outside the {name}.")
    for kind in parts:
        joint, above = JOINT_OF[kind], _above(kind, parts)
        if joint and above and joint not in joints:
            doubts.append(
                f"No {joint} is placed: the {kind} is reckoned as rigid with the {above}."
            )
    if hole is None:
        doubts.append("No string hole is marked as the one it hangs from.")
    elif "torso" in parts and not is_within(parts["torso"], hole, NEAR_MM):
        doubts.append("The string hole it hangs from lies outside the torso.")
    if "torso" not in parts:
        doubts.append("The torso has no size yet: without it nothing can be reckoned.")
    return doubts


def _above(kind: str, parts: Iterable[str]) -> str:
    there = set(parts)
    above = PARENT.get(kind, "")
    while above and above not in there:
        above = PARENT[above]
    return above
