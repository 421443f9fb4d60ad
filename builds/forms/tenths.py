"""A field for millimetres, or points of a picture, to a tenth."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from company.forms.fields import ReadField

_NUMBER = re.compile(r"([+-]?)(?:([0-9]{0,7})(?:[.,]([0-9]{0,9}))?)\s*(mm|cm|m|%)?")
_PER_UNIT = {"": 1, "mm": 1, "cm": 10, "m": 1000, "%": 1}
_MINUS = dict.fromkeys(map(ord, "\u2212\u2012\u2013"), "-")


def read_tenths(text: str) -> Decimal:
    """A number to a tenth, comma or point: '42', '-3,5', '12 cm'.

    >>> read_tenths("42"), read_tenths("-3,55"), read_tenths("12 cm")
    (Decimal('42.0'), Decimal('-3.6'), Decimal('120.0'))
    """
    match = _NUMBER.fullmatch(text.strip().translate(_MINUS))
    if match is None or not (match[2] or match[3]):
        raise ValueError(f"'{text.strip()[:20]}' is not a number: write 42 or 42.5")
    value = Decimal(f"{match[1]}{match[2] or 0}.{match[3] or 0}") * _PER_UNIT[match[4] or ""]
    value = value.quantize(Decimal("0.1"), "ROUND_HALF_UP")
    if abs(value) >= 100_000:
        raise ValueError(f"'{text.strip()[:20]}' is out of reach: at most 99 999")
    return value


class TenthsField(ReadField):
    """Millimetres, or points of a picture, to a tenth."""

    def __init__(self, **more: Any) -> None:
        more.setdefault("required", False)
        super().__init__(length=20, **more)
        self.widget.attrs.update({"inputmode": "decimal", "class": "tenths"})

    def read(self, text: str) -> Decimal:
        return read_tenths(text)

    def write(self, value: Decimal | int | float) -> str:
        return f"{float(value):.1f}".removesuffix(".0")
