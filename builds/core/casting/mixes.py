"""What to measure out: fillings of slip, mixes by parts, with waste, as one weighs."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.casting.values import Mix

MOST_WASTE = 1.0  # twice what is needed is somebody's slip of the hand


@dataclass(frozen=True, slots=True)
class Filling:
    """Slip for one pour, in ml: what is filled in, what stays, what is poured back."""

    fill_ml: float
    stays_ml: float

    @property
    def back_ml(self) -> float:
        """Poured back into the bucket, through a strainer."""
        return self.fill_ml - self.stays_ml


@dataclass(frozen=True, slots=True)
class Measured:
    """One part of a mix: its name and how much, in g or in ml."""

    name: str
    amount: float
    unit: str  # 'g' or 'ml'


def filling(cavity_ml: float, stays: float, *, waste: float = 0.0) -> Filling:
    """What goes into a mould once, and what of it stays.

    `stays` is a share of the cavity, 1 where all of it stays; `waste` a share on top, lost in jug
    and strainer. For slip about a quarter stays: a US gallon (3.79 l) makes four to five heads of
    30 inch figures, 'fill four times what stays' (puppetmuseum.com Workshop10).

    >>> filling(860, 0.25)
    Filling(fill_ml=860.0, stays_ml=215.0)
    """
    if not cavity_ml > 0:
        raise ValueError(f"cavity_ml is {cavity_ml}: it must be above nought")
    if not 0 < stays <= 1:
        raise ValueError(f"stays is {stays}: a share above 0, at most 1")
    return Filling(cavity_ml * (1 + _waste(waste)), cavity_ml * stays)


def measure_out(
    volume_ml: float, density_g_per_ml: float, mix: Mix | None, *, waste: float = 0.0
) -> tuple[Measured, ...]:
    """The parts of a mix for a volume, with waste; one part alone where there is no mix.

    By weight the volume becomes a mass by the density of the mix; by volume it is shared out as it
    is. A batch below the smallest sensible one is made as large as that.

    >>> rubber = Mix(("rubber", "catalyst"), (100, 5), "weight", "davidneat.wordpress.com")
    >>> [(part.name, round(part.amount)) for part in measure_out(1000, 1.05, rubber)]
    [('rubber', 1000), ('catalyst', 50)]
    """
    if not volume_ml > 0:
        raise ValueError(f"volume_ml is {volume_ml}: it must be above nought")
    if not density_g_per_ml > 0:
        raise ValueError(f"density_g_per_ml is {density_g_per_ml}: it must be above nought")
    wanted_ml = volume_ml * (1 + _waste(waste))
    mass_g = wanted_ml * density_g_per_ml
    if mix is None:
        return (Measured("", mass_g, "g"),)
    whole = sum(mix.amounts)
    total = wanted_ml if mix.by == "volume" else mass_g
    if mix.by == "weight":
        total = max(total, float(mix.least_g))
    unit = "ml" if mix.by == "volume" else "g"
    return tuple(
        Measured(name, total * amount / whole, unit)
        for name, amount in zip(mix.names, mix.amounts, strict=True)
    )


def is_small_batch(parts: tuple[Measured, ...], mix: Mix | None) -> bool:
    """Whether the smallest sensible batch set the amount.

    >>> resin = Mix(("A", "B"), (100, 90), "weight", "jgreer.com casting-resin", least_g=100)
    >>> is_small_batch(measure_out(20, 1.05, resin), resin)
    True
    """
    if mix is None or not mix.least_g:
        return False
    return sum(part.amount for part in parts) <= mix.least_g * (1 + 1e-9)


def _waste(waste: float) -> float:
    if not 0 <= waste <= MOST_WASTE:
        raise ValueError(f"waste is {waste}: a share from 0 to {MOST_WASTE:g}")
    return waste
