"""Plaster and water by weight for a volume of slurry, from the published consistency table.

'Consistency' is parts of water by weight to 100 of dry plaster.
"""

from __future__ import annotations

from dataclasses import dataclass

LEAST_WATER, MOST_WATER = 18, 120
# The volume that 1 kg of dry plaster takes up in the mix, in litres: fits all wet densities of
# the table below within 2.5 %, eight of the nine within 0.8 %. The widely copied cubic for
# 'pounds of plaster per cubic foot' gives the dry set density instead and orders a fifth too much.
PLASTER_L_PER_KG = 0.372


@dataclass(frozen=True, slots=True)
class Consistency:
    """A class of plaster by its maker's table; wet density in pounds per cubic foot."""

    name: str
    water: float
    wet_lb_per_ft3: float
    source: str


# plaster.com/mixing and sheffield-pottery.com (makers' tables); the first from an older sheet,
# sculpt.com catalog_98.
CONSISTENCIES = (
    Consistency("pottery plaster, older sheet", 74, 97.6, "sculpt.com catalog_98"),
    Consistency("pottery, moulding or casting plaster", 70, 99.0, "plaster.com/mixing"),
    Consistency("hobby plaster", 65, 100.0, "plaster.com/mixing"),
    Consistency("white gypsum cement", 45, 110.6, "plaster.com/mixing"),
    Consistency("low-expansion tooling gypsum", 38, 115.0, "plaster.com/mixing"),
    Consistency("hard gypsum cement", 32, 119.4, "plaster.com/mixing"),
    Consistency("very hard gypsum cement", 22, 129.0, "plaster.com/mixing"),
    Consistency("very hard gypsum cement, stiffest", 20, 130.0, "plaster.com/mixing"),
)
DEFAULT_WATER = 70


@dataclass(frozen=True, slots=True)
class Slurry:
    """Dry plaster and water, in g, that make a volume of slurry in ml."""

    plaster_g: float
    water_g: float
    volume_ml: float

    @property
    def wet_density(self) -> float:
        """Of the mix, in g per ml."""
        return (self.plaster_g + self.water_g) / self.volume_ml


def slurry_for(volume_ml: float, water: float = DEFAULT_WATER) -> Slurry:
    """Plaster and water for so much slurry: V [l] = m [kg] x (0.372 + c / 100).

    `water` is the consistency c, 18 to 120. ValueError outside, or where the volume is not above
    nought. The factor was fitted to the makers' wet densities (plaster.com/mixing).

    >>> mix = slurry_for(5000)
    >>> round(mix.plaster_g), round(mix.water_g)
    (4664, 3265)
    """
    if not volume_ml > 0:
        raise ValueError(f"volume_ml is {volume_ml}: it must be above nought")
    if not LEAST_WATER <= water <= MOST_WATER:
        raise ValueError(f"water is {water} to 100 of plaster: from {LEAST_WATER} to {MOST_WATER}")
    plaster_g = volume_ml / (PLASTER_L_PER_KG + water / 100)
    return Slurry(plaster_g, plaster_g * water / 100, volume_ml)


def water_lost_in_drying(water: float = DEFAULT_WATER) -> float:
    """The share of its weight that a fresh mould loses until it is dry.

    18.6 g of water to 100 g of plaster stay bound: CaSO4.1/2 H2O (145.15 g/mol) takes up another
    1 1/2 H2O (27.02 g/mol).

    >>> round(water_lost_in_drying(70), 2)
    0.3
    """
    if not LEAST_WATER <= water <= MOST_WATER:
        raise ValueError(f"water is {water} to 100 of plaster: from {LEAST_WATER} to {MOST_WATER}")
    bound = 100 * 1.5 * 18.015 / 145.15
    return max(0.0, water - bound) / (100 + water)
