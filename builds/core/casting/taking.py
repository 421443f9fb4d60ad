"""What a pour takes off the shelf: out of the lots named, in their order, never below nought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

UNITS = ("g", "ml")


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a lot: whole g or ml, as the lot is measured."""

    amount: int
    unit: str


@dataclass(frozen=True, slots=True)
class TakenOut:
    """What comes out of each lot, in its own unit, and what is missing in the unit asked for."""

    amounts: tuple[int, ...]
    missing: int


def convert(amount: float, unit: str, to: str, density_g_per_ml: float | None) -> float:
    """An amount in g or ml as ml or g. ValueError where the density is asked for and not known.

    >>> convert(100, "ml", "g", 1.2), convert(120, "g", "ml", 1.2), convert(5, "g", "g", None)
    (120.0, 100.0, 5)
    """
    if unit not in UNITS or to not in UNITS:
        raise ValueError(f"unit is {unit!r}, to is {to!r}: each is 'g' or 'ml'")
    if unit == to:
        return amount
    if density_g_per_ml is None or not density_g_per_ml > 0:
        raise ValueError(f"density_g_per_ml is {density_g_per_ml}: needed from {unit} to {to}")
    return amount * density_g_per_ml if to == "g" else amount / density_g_per_ml


def take_out(
    asked: int, unit: str, lots: Sequence[Left], density_g_per_ml: float | None = None
) -> TakenOut:
    """Take `asked` g or ml out of the lots, the first until it is empty, then the next.

    A lot measured in the other unit gives by the density of the material, in g per ml.

    >>> take_out(215, "ml", [Left(100, "ml"), Left(500, "ml")])
    TakenOut(amounts=(100, 115), missing=0)
    >>> take_out(215, "ml", [Left(100, "ml")])
    TakenOut(amounts=(100,), missing=115)
    """
    if asked < 0:
        raise ValueError(f"asked is {asked} {unit}: nought or more")
    amounts, missing = [], float(asked)
    for lot in lots:
        if lot.amount < 0:
            raise ValueError(f"a lot has {lot.amount} {lot.unit}: nought or more")
        wanted = convert(missing, unit, lot.unit, density_g_per_ml)
        taken = min(round(wanted), lot.amount)
        amounts.append(taken)
        # Half a gram that rounding leaves over is nobody's shortage.
        is_all = taken >= round(wanted)
        missing = 0.0 if is_all else missing - convert(taken, lot.unit, unit, density_g_per_ml)
    return TakenOut(tuple(amounts), round(missing))
