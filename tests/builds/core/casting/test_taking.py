"""Tests of what comes out of which lot: nothing below nought, nothing lost, in their order."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.casting.taking import Left, convert, take_out

LOTS = st.lists(st.integers(0, 5000).map(lambda n: Left(n, "ml")), max_size=5)


@given(st.integers(0, 10_000), LOTS)
def test_what_is_asked_is_taken_or_missing_and_no_lot_falls_below_nought(
    asked: int, lots: list[Left]
) -> None:
    out = take_out(asked, "ml", lots)
    assert sum(out.amounts) + out.missing == asked
    assert all(0 <= taken <= lot.amount for taken, lot in zip(out.amounts, lots, strict=True))


@given(st.integers(0, 10_000), LOTS)
def test_a_later_lot_gives_only_once_those_before_it_are_empty(
    asked: int, lots: list[Left]
) -> None:
    amounts = take_out(asked, "ml", lots).amounts
    for n, taken in enumerate(amounts):
        if taken:
            assert all(amounts[k] == lots[k].amount for k in range(n))


@given(st.integers(1, 5000), st.floats(0.5, 3), LOTS)
def test_in_the_other_unit_nothing_is_lost_but_by_rounding(
    asked_g: int, density: float, lots: list[Left]
) -> None:
    out = take_out(asked_g, "g", lots, density)
    taken_g = sum(out.amounts) * density
    # Whole millilitres: each lot is out by at most half of one, the missing by half a gram.
    assert abs(taken_g + out.missing - asked_g) <= 0.5 * density * max(1, len(lots)) + 0.5


def test_a_worked_pour_by_hand() -> None:
    # 900 g of a resin of 1.05 g per ml: 500 g from a tin by weight, 400 / 1.05 = 381 ml by volume.
    out = take_out(900, "g", [Left(500, "g"), Left(2000, "ml")], 1.05)
    assert out.amounts == (500, 381)
    assert out.missing == 0


def test_units_are_those_of_an_outside_library() -> None:
    unit = pint.UnitRegistry()
    density = 1.6 * unit.gram / unit.milliliter
    for ml in (1, 215, 3785):
        want = (ml * unit.milliliter * density).to(unit.gram).magnitude
        assert convert(ml, "ml", "g", 1.6) == pytest.approx(want)
        assert convert(want, "g", "ml", 1.6) == pytest.approx(ml)


def test_wrong_arguments_are_named() -> None:
    with pytest.raises(ValueError, match=r"asked is -1 ml"):
        take_out(-1, "ml", [])
    with pytest.raises(ValueError, match=r"a lot has -3 g"):
        take_out(1, "g", [Left(-3, "g")])
    with pytest.raises(ValueError, match=r"density_g_per_ml is None: needed from ml to g"):
        take_out(1, "ml", [Left(3, "g")])
    with pytest.raises(ValueError, match=r"unit is 'oz'"):
        convert(1, "oz", "g", 1)
