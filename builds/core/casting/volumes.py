"""The volume of a part, three ways: water displaced, weight and density, or from its size.

Volumes are in ml (cm3), masses in g, lengths in mm.
"""

from __future__ import annotations

import math

LARGEST_ML = 500_000  # half a cubic metre: no mould of a puppet is larger


def volume_of_water(before_ml: float, after_ml: float) -> float:
    """The volume of a part put under water: what the level rose by. Archimedes' way.

    >>> volume_of_water(2000, 2860)
    860
    """
    _refuse("before_ml", before_ml, may_be_nought=True)
    _refuse("after_ml", after_ml)
    if after_ml <= before_ml:
        raise ValueError(
            f"after_ml is {after_ml} and before_ml {before_ml}: the water must have risen"
        )
    return after_ml - before_ml


def volume_of_mass(mass_g: float, density_g_per_ml: float) -> float:
    """The volume of a part that was weighed: mass through density.

    >>> volume_of_mass(1600, 1.6)
    1000.0
    """
    _refuse("mass_g", mass_g)
    if not 0.01 <= density_g_per_ml <= 25:
        raise ValueError(
            f"density_g_per_ml is {density_g_per_ml}: from 0.01 (foam) to 25 g per ml (metal)"
        )
    return mass_g / density_g_per_ml


def volume_of_box(length_mm: float, width_mm: float, height_mm: float) -> float:
    """A block: length times width times height.

    >>> volume_of_box(200, 150, 100)
    3000.0
    """
    for name, value in (("length", length_mm), ("width", width_mm), ("height", height_mm)):
        _refuse(f"{name}_mm", value)
    return _not_too_large(length_mm * width_mm * height_mm / 1000)


def volume_of_head(length_mm: float, width_mm: float, height_mm: float) -> float:
    """A head taken for an egg: pi / 6 of the block around it (the volume of an ellipsoid).

    >>> round(volume_of_head(100, 100, 100), 1)
    523.6
    """
    return volume_of_box(length_mm, width_mm, height_mm) * math.pi / 6


def head_from_height(head_mm: float) -> float:
    """A first guess where only the height of a head is known.

    A head is about two thirds as wide and four fifths as deep as it is high: common practice, no
    source. Weigh or displace water where the amount matters.

    >>> round(head_from_height(100))
    279
    """
    return volume_of_head(head_mm * 4 / 5, head_mm * 2 / 3, head_mm)


def volume_of_shell(volume_ml: float, wall_mm: float) -> float:
    """The material in a hollow casting, taken for a ball of this volume with an even wall.

    A ball has the least surface of its volume, so a face with a nose takes somewhat more: that is
    what the waste is for. By the volume of a sphere, 4/3 pi r^3; a wall thicker than the ball is
    the whole of it.

    >>> round(volume_of_shell(1000, 3))
    138
    """
    _refuse("volume_ml", volume_ml)
    _refuse("wall_mm", wall_mm)
    radius_mm = math.cbrt(volume_ml * 1000 * 3 / (4 * math.pi))
    inner_mm = max(0.0, radius_mm - wall_mm)
    return volume_ml - 4 / 3 * math.pi * inner_mm**3 / 1000


def volume_of_block(length_mm: float, width_mm: float, height_mm: float, model_ml: float) -> float:
    """What goes round a model into a mould box: the box less the model.

    >>> volume_of_block(200, 150, 100, 500)
    2500.0
    """
    box = volume_of_box(length_mm, width_mm, height_mm)
    _refuse("model_ml", model_ml, may_be_nought=True)
    if model_ml >= box:
        raise ValueError(
            f"model_ml is {model_ml:g} in a box of {box:g} ml: the model must fit into the box"
        )
    return box - model_ml


def _refuse(name: str, value: float, *, may_be_nought: bool = False) -> None:
    if not math.isfinite(value) or value < 0 or (value == 0 and not may_be_nought):
        raise ValueError(f"{name} is {value}: it must be above nought")


def _not_too_large(volume_ml: float) -> float:
    if volume_ml > LARGEST_ML:
        raise ValueError(f"volume is {volume_ml:g} ml: at most {LARGEST_ML:g} ml")
    return volume_ml
