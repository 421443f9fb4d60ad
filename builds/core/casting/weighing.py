"""Amounts as one weighs and pours them out: rounded to what a scale or jug in a shop can show.

One ounce is 28.349 523 125 g, one US fluid ounce 29.573 529 562 5 ml and one cubic inch
16.387 064 ml (NIST Special Publication 811, 2008 edition, appendix B.8).
"""

from __future__ import annotations

import math

from builds.core.casting.mixes import Measured

G_PER_OUNCE = 28.349523125
ML_PER_FLUID_OUNCE = 29.5735295625
OUNCES_PER_POUND = 16
FLUID_OUNCES_PER_QUART = 32
# (below this amount, step): finer than a hundredth of the amount almost everywhere.
_METRIC_STEPS = ((10, 0.1), (200, 1), (1000, 5), (10_000, 10), (math.inf, 50))
_OUNCE_STEPS = ((4, 0.01), (16, 0.1), (16 * 4, 0.25), (math.inf, 1))
_NOISE = 1e-6


def round_as_weighed(amount: float, *, is_metric: bool = True) -> float:
    """An amount in g or ml (metric), in ounces or fluid ounces (US), up to the next step.

    Never less than asked for. Steps: 0.1 g below 10, 1 g below 200, 5 g below a kilogram, 10 g
    below ten, then 50 g; 0.01 oz below 4, 0.1 oz below a pound, a quarter below four, then 1.

    >>> round_as_weighed(4664), round_as_weighed(47.2), round_as_weighed(2.31)
    (4670, 48, 2.4)
    """
    if not (math.isfinite(amount) and amount >= 0):
        raise ValueError(f"amount is {amount}: it must be 0 or more")
    steps = _METRIC_STEPS if is_metric else _OUNCE_STEPS
    step = next(step for below, step in steps if amount < below)
    rounded = math.ceil(amount / step - _NOISE) * step
    return round(rounded, 2) if step < 1 else int(rounded)


def round_mix(parts: tuple[Measured, ...], *, is_metric: bool = True) -> tuple[Measured, ...]:
    """A whole mix as one weighs it: the largest part up, the others in proportion to it.

    So the ratio is held to the step of each part, however the first one was rounded. Amounts stay
    in g and ml.

    >>> plaster = (Measured("plaster", 4664, "g"), Measured("water", 3264.8, "g"))
    >>> [part.amount for part in round_mix(plaster)]
    [4670, 3270]
    """
    if not parts:
        return ()
    largest = max(parts, key=lambda part: part.amount)
    rounded = _rounded(largest, is_metric)
    grown = rounded / largest.amount if largest.amount else 1.0
    return tuple(
        Measured(
            part.name,
            rounded if part is largest else _nearest(part.amount * grown, part.unit, is_metric),
            part.unit,
        )
        for part in parts
    )


def format_mass(mass_g: float, *, is_metric: bool = True) -> str:
    """A mass that was rounded as weighed: '4.67 kg', '48 g'; '10 lb 5 oz', '1.7 oz'.

    >>> format_mass(4670), format_mass(48), format_mass(2.4)
    ('4.67 kg', '48 g', '2.4 g')
    >>> format_mass(4672.0, is_metric=False), format_mass(48.2, is_metric=False)
    ('10 lb 5 oz', '1.71 oz')
    """
    if is_metric:
        return f"{_plain(mass_g / 1000, 3)} kg" if mass_g >= 1000 else f"{_plain(mass_g, 1)} g"
    ounces = round_as_weighed(mass_g / G_PER_OUNCE, is_metric=False)
    if ounces < OUNCES_PER_POUND:
        return f"{_plain(ounces, 2)} oz"
    pounds, rest = divmod(ounces, OUNCES_PER_POUND)
    return f"{pounds:g} lb {_plain(rest, 2)} oz" if rest else f"{pounds:g} lb"


def format_volume(volume_ml: float, *, is_metric: bool = True) -> str:
    """A volume that was rounded as poured: '860 ml', '1.2 L'; '29.1 fl oz', '1 qt 4 fl oz'.

    A capital L, as the SI allows: beside figures a small one reads as 1.

    >>> format_volume(860), format_volume(1200)
    ('860 ml', '1.2 L')
    >>> format_volume(860, is_metric=False)
    '29.25 fl oz'
    """
    if is_metric:
        big = volume_ml >= 1000
        return f"{_plain(volume_ml / 1000, 3)} L" if big else f"{_plain(volume_ml, 1)} ml"
    ounces = round_as_weighed(volume_ml / ML_PER_FLUID_OUNCE, is_metric=False)
    if ounces < FLUID_OUNCES_PER_QUART:
        return f"{_plain(ounces, 2)} fl oz"
    quarts, rest = divmod(ounces, FLUID_OUNCES_PER_QUART)
    return f"{quarts:g} qt {_plain(rest, 2)} fl oz" if rest else f"{quarts:g} qt"


def format_amount(amount: float, unit: str, *, is_metric: bool = True) -> str:
    """A mass ('g') or a volume ('ml'), rounded as weighed or poured, with its unit.

    >>> format_amount(4663.9, "g"), format_amount(214, "ml")
    ('4.67 kg', '215 ml')
    """
    if unit not in ("g", "ml"):
        raise ValueError(f"unit is {unit!r}, not 'g' or 'ml'")
    rounded = round_as_weighed(amount) if is_metric else amount
    write = format_mass if unit == "g" else format_volume
    return write(rounded, is_metric=is_metric)


def _per_ounce(unit: str) -> float:
    return G_PER_OUNCE if unit == "g" else ML_PER_FLUID_OUNCE


def _rounded(part: Measured, is_metric: bool) -> float:
    if is_metric:
        return round_as_weighed(part.amount)
    per = _per_ounce(part.unit)
    return round_as_weighed(part.amount / per, is_metric=False) * per


def _nearest(amount: float, unit: str, is_metric: bool) -> float:
    """To the nearest step, never to nought."""
    per = 1.0 if is_metric else _per_ounce(unit)
    steps = _METRIC_STEPS if is_metric else _OUNCE_STEPS
    inside = amount / per
    step = next(step for below, step in steps if inside < below)
    count = max(1, math.floor(inside / step + 0.5)) if amount > 0 else 0
    return round(count * step * per, 6) if step < 1 or per != 1.0 else count * int(step)


def _plain(value: float, places: int) -> str:
    """Without trailing noughts."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
