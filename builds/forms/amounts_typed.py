"""An amount as somebody types it, by weight or by volume: '215', '1.2 l', '5 kg', '2 qt'."""

from __future__ import annotations

from builds.models import Lot
from company.core.measures import format_mass, format_volume, parse_mass, parse_volume

_VOLUME_WORDS = ("ml", "l", "cl", "oz.", "cm3", "cm³", "in3", "qt", "gal", "pt")


def unit_typed(text: str) -> str:
    """'g' or 'ml' as the unit says that was typed; '' where none was."""
    typed = text.strip().casefold().lstrip("0123456789.,/ ")
    if not typed:
        return ""
    is_volume = typed.startswith("fl") or typed in _VOLUME_WORDS
    return Lot.Unit.ML.value if is_volume else Lot.Unit.G.value


def read_amount(text: str, unit: str, *, is_metric: bool) -> int:
    """Whole g or ml. ValueError with a sentence that says what is wrong."""
    parse = parse_volume if unit == Lot.Unit.ML else parse_mass
    return parse(text, is_metric=is_metric)


def write_amount(amount: int, unit: str, *, is_metric: bool) -> str:
    """An amount with its unit; read back, it gives the same."""
    write = format_volume if unit == Lot.Unit.ML else format_mass
    return write(amount, is_metric=is_metric)
