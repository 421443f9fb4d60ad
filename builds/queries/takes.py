"""What one pour, one mould and one sculpt take of which material on the shelf."""

from __future__ import annotations

from collections.abc import Iterable

from builds.core.casting.amounts import Amounts
from builds.core.casting.mixes import Measured
from builds.core.casting.shopping import Use
from builds.core.casting.values import Kind
from builds.models import Mould
from builds.queries.materials import Materials, Stock
from builds.queries.mould_amounts import fill_of

Takes = list[tuple[Stock, Use]]


def pour_takes(mould: Mould, amounts: Amounts, known: Materials) -> Takes:
    """One pour. Slip fills the mould, and only what stays in it is used."""
    cast = known.find(Kind.CAST, mould.casting_material)
    if cast is None:
        return []
    stock = known.stock_of(Kind.CAST, cast.key)
    if cast.is_slip or cast.measured_by == "volume":
        fill_ml, stays_ml = fill_of(mould, amounts)
        if fill_ml is None:
            return []
        used = stays_ml if stays_ml is not None else fill_ml
        return [(stock, Use("", "ml", float(used), float(fill_ml)))]
    return _mixed(stock, amounts.pour)


def mould_takes(mould: Mould, amounts: Amounts, known: Materials) -> Takes:
    """Making the mould."""
    return _mixed(known.stock_of(Kind.MOULD, mould.material), amounts.block)


def sculpt_takes(mould: Mould, amounts: Amounts, known: Materials) -> Takes:
    """The sculpts of all cavities."""
    sculpt = known.find(Kind.SCULPT, mould.sculpt_material)
    if sculpt is None or sculpt.density is None or amounts.part_ml is None:
        return []
    mass_g = amounts.part_ml * mould.cavities * sculpt.density.usual
    return [((Kind.SCULPT.value, sculpt.key), Use("", "g", mass_g, mass_g))]


def _mixed(stock: Stock, parts: Iterable[Measured]) -> Takes:
    """The parts of a mix as one material; the water of plaster is from the tap."""
    measured = [part for part in parts if part.name != "water"]
    if not measured:
        return []
    amount = sum(part.amount for part in measured)
    return [(stock, Use("", measured[0].unit, amount, amount))]
