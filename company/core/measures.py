"""Lengths, weights and volumes that people write, in metric or in inches and ounces.

Inside the program a length is whole millimetres (`_mm`), a mass whole grams (`_g`) and a volume
whole millilitres (`_ml`). Rounding happens once, here at the edge. One inch is exactly 25.4 mm,
one ounce 28.349 523 125 g, one US fluid ounce 29.573 529 562 5 ml and one cubic inch
16.387 064 ml (NIST Special Publication 811, 2008 edition, appendix B.8).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction

MM_PER_INCH = Fraction(254, 10)
G_PER_OUNCE = Fraction(28_349_523_125, 1_000_000_000)
ML_PER_FLUID_OUNCE = Fraction(295_735_295_625, 10_000_000_000)
LONGEST_MM = 20_000
HEAVIEST_G = 100_000
LARGEST_ML = 500_000

_LENGTHS: Mapping[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_INCH,
    '"': MM_PER_INCH,
    "\u2033": MM_PER_INCH,
    "ft": MM_PER_INCH * 12,
}
_MASSES: Mapping[str, Fraction] = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": G_PER_OUNCE,
    "lb": G_PER_OUNCE * 16,
}
_VOLUMES: Mapping[str, Fraction] = {
    "ml": Fraction(1),
    "cl": Fraction(10),
    "l": Fraction(1000),
    "floz": ML_PER_FLUID_OUNCE,
    "pt": ML_PER_FLUID_OUNCE * 16,
    "qt": ML_PER_FLUID_OUNCE * 32,
    "gal": ML_PER_FLUID_OUNCE * 128,
    "cuin": MM_PER_INCH**3 / 1000,
}
_MORE_WAYS = {"fl oz": "floz", "fl. oz": "floz", "cm3": "ml", "cm³": "ml", "in3": "cuin"}
_MEASURE = re.compile(
    r"(?:(?P<number>[0-9]{1,9}(?:[.,][0-9]{1,9})?)(?![0-9/]))?"
    r"\s*(?:(?P<top>[0-9]{1,4})/(?P<bottom>[0-9]{1,4}))?"
    r"\s*(?P<unit>[a-z\"\u2033]*)"
)


def parse_length(text: str, *, is_metric: bool = True) -> int:
    """A length ('600', '60 cm', '0.6 m', '23 5/8 in') as millimetres, to the nearest.

    A bare number is millimetres, or inches where `is_metric` is False. Raises ValueError with a
    sentence that says what is wrong.

    >>> parse_length("600"), parse_length("60,5 cm"), parse_length("23 5/8 in")
    (600, 605, 600)
    >>> parse_length("24", is_metric=False)
    610
    """
    example = "600, 60 cm or 0.6 m" if is_metric else "24, 23 5/8 or 2 ft"
    length_mm = _parse(text, _LENGTHS, "mm" if is_metric else "in", "length", example)
    if length_mm > LONGEST_MM:
        raise ValueError(f"'{text.strip()[:20]}' is more than {LONGEST_MM // 1000} metres")
    return length_mm


def parse_mass(text: str, *, is_metric: bool = True) -> int:
    """A weight ('180', '1.2 kg', '6 1/2 oz') as grams, to the nearest.

    A bare number is grams, or ounces where `is_metric` is False.

    >>> parse_mass("180"), parse_mass("1.2 kg"), parse_mass("6 1/2", is_metric=False)
    (180, 1200, 184)
    """
    example = "180 or 1.2 kg" if is_metric else "6, 6 1/2 or 1 lb"
    mass_g = _parse(text, _MASSES, "g" if is_metric else "oz", "weight", example)
    if mass_g > HEAVIEST_G:
        raise ValueError(f"'{text.strip()[:20]}' is more than {HEAVIEST_G // 1000} kilograms")
    return mass_g


def parse_volume(text: str, *, is_metric: bool = True) -> int:
    """A volume ('860', '1.2 l', '29 fl oz', '1 1/2 qt', '100 in3') as millilitres, to the nearest.

    A bare number is millilitres, or US fluid ounces where `is_metric` is False.

    >>> parse_volume("860"), parse_volume("1.2 l"), parse_volume("1 qt"), parse_volume("2 fl oz")
    (860, 1200, 946, 59)
    """
    example = "860, 1.2 l or 900 cm3" if is_metric else "29, 1 1/2 qt or 100 in3"
    plain = text.casefold()
    for written, unit in _MORE_WAYS.items():
        plain = plain.replace(written, unit)
    volume_ml = _parse(plain, _VOLUMES, "ml" if is_metric else "floz", "volume", example)
    if volume_ml > LARGEST_ML:
        raise ValueError(f"'{text.strip()[:20]}' is more than {LARGEST_ML // 1000} litres")
    return volume_ml


def format_length(length_mm: int, *, is_metric: bool = True) -> str:
    """A length with its unit; read back, it gives the same millimetres.

    >>> format_length(600), format_length(600, is_metric=False)
    ('600 mm', '23.62 in')
    """
    return f"{length_mm} mm" if is_metric else f"{_decimals(length_mm, MM_PER_INCH)} in"


def format_mass(mass_g: int, *, is_metric: bool = True) -> str:
    """A weight with its unit; read back, it gives the same grams.

    >>> format_mass(180), format_mass(180, is_metric=False)
    ('180 g', '6.35 oz')
    """
    return f"{mass_g} g" if is_metric else f"{_decimals(mass_g, G_PER_OUNCE)} oz"


def format_volume(volume_ml: int, *, is_metric: bool = True) -> str:
    """A volume with its unit; read back, it gives the same millilitres.

    >>> format_volume(860), format_volume(860, is_metric=False)
    ('860 ml', '29.08 fl oz')
    """
    if is_metric:
        return f"{volume_ml} ml"
    return f"{_decimals(volume_ml, ML_PER_FLUID_OUNCE)} fl oz"


def _decimals(amount: int, per_unit: Fraction) -> str:
    """Two decimals, which are finer than a millimetre or a gram, without trailing noughts."""
    hundredths = math.floor(amount / per_unit * 100 + Fraction(1, 2))
    return f"{hundredths // 100}.{hundredths % 100:02d}".rstrip("0").rstrip(".")


def _parse(text: str, units: Mapping[str, Fraction], bare: str, noun: str, example: str) -> int:
    written = text.strip()
    if not written:
        raise ValueError(f"the {noun} is missing: write {example}")
    match = _MEASURE.fullmatch(written.casefold())
    unit = match["unit"] or bare if match else ""
    if match is None or not (match["number"] or match["top"]):
        raise ValueError(f"'{written[:20]}' is not a {noun}: write {example}")
    if unit not in units:
        raise ValueError(f"'{match['unit'][:20]}' is not a unit of {noun}: write {example}")
    amount = Fraction((match["number"] or "0").replace(",", "."))
    if match["top"]:
        if int(match["bottom"]) == 0:
            raise ValueError(f"'{written[:20]}' divides by nought")
        amount += Fraction(int(match["top"]), int(match["bottom"]))
    return math.floor(amount * units[unit] + Fraction(1, 2))
