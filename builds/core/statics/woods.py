"""Densities of woods, casting materials and metals, in kilograms per cubic metre, with sources.

Woods of the Wood Handbook are specific gravity (oven-dry mass over volume at 12 per cent moisture)
x 1.12 x 1000. Boards of one wood differ by some ten per cent either way: weigh the blank.
"""

from __future__ import annotations

from dataclasses import dataclass

WOOD, CASTING = "wood", "casting"
_FPL = "Forest Products Laboratory, Wood Handbook (FPL-GTR-190, 2010), table 5-3b, SG {} x 1.12"
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Material:
    """A material, its density and where the number is from."""

    key: str
    name: str
    sort: str
    density_kg_m3: int
    source: str


def wood_density(specific_gravity: float, moisture: float = 0.12) -> float:
    """Density in kg/m3 from a Wood Handbook specific gravity (volume at that moisture).

    >>> round(wood_density(0.37))
    414
    """
    return specific_gravity * (1 + moisture) * 1000


def _wood(key: str, name: str, gravity: float) -> Material:
    return Material(key, name, WOOD, round(wood_density(gravity)), _FPL.format(gravity))


MATERIALS: dict[str, Material] = {
    row.key: row
    for row in (
        Material("lime", "lime (linden)", WOOD, 535, "timbex.net, linden timber"),
        _wood("basswood", "American basswood", 0.37),
        _wood("paper birch", "paper birch", 0.55),
        _wood("yellow birch", "yellow birch", 0.62),
        Material("birch", "birch, British", WOOD, 670, "simetric.co.uk, density of wood"),
        _wood("aspen", "quaking aspen", 0.38),
        _wood("cottonwood", "black cottonwood", 0.35),
        Material("poplar", "white poplar", WOOD, 493, "timberpolis.co.uk, SG 0.44 x 1.12"),
        Material("tulipwood", "tulipwood (yellow-poplar)", WOOD, 470, "Wood Handbook, from memory"),
        Material("white pine", "eastern white pine", WOOD, 392, "Wood Handbook, from memory"),
        _wood("butternut", "butternut", 0.38),
        Material("balsa", "balsa", WOOD, 170, "simetric.co.uk, density of wood"),
        Material("jelutong", "jelutong", WOOD, 430, "Wood Handbook, from memory: 400 to 465"),
        Material("spruce", "Sitka spruce", WOOD, 450, "simetric.co.uk, density of wood"),
        Material(
            "latex slip", "latex slip", CASTING, 960, "cameo.mfa.org, natural rubber 0.92 to 1.0"
        ),
        Material("neoprene slip", "neoprene slip", CASTING, 1300, f"{_PRACTICE}: 1.2 to 1.4"),
        Material("paper strips", "paper strips", CASTING, 650, f"{_PRACTICE}: 0.5 to 0.8"),
        Material("paper pulp", "paper pulp", CASTING, 550, f"{_PRACTICE}: 0.4 to 0.7"),
        Material("urethane resin", "urethane resin", CASTING, 1050, "a maker's data sheet: 1.05"),
        Material("epoxy resin", "epoxy resin", CASTING, 1150, _PRACTICE),
        Material(
            "plaster",
            "plaster, set",
            CASTING,
            1105,
            "a maker's data sheet: set and dry, 69 lb per cubic foot",
        ),
    )
}

# Metals: simetric.co.uk, density of metals; lead and bismuth also wermac.org; tungsten aegidius.ca.
METALS_KG_M3 = {"brass": 8500, "steel": 7850, "bismuth": 9750, "tungsten": 19300, "lead": 11340}


def density_of(key: str) -> int:
    """Density in kg/m3. Raises ValueError for a material that is not in the table.

    >>> density_of("lime")
    535
    """
    if key not in MATERIALS:
        raise ValueError(f"'{key}' is not in the table of materials")
    return MATERIALS[key].density_kg_m3


def metal_volume_cm3(mass_g: float, metal: str) -> float:
    """How much room ballast takes.

    >>> round(metal_volume_cm3(20, "brass"), 2)
    2.35
    """
    return mass_g / METALS_KG_M3[metal] * 1000
