"""Tests of how many castings to pour, judged by scipy.stats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, binom

from builds.core.casting.yields import (
    GUESS_WORTH,
    castings_to_pour,
    chance_of_enough,
    expected_yield,
)

SHARES = st.integers(40, 99).map(lambda percent: percent / 100)
SURE = st.integers(50, 98).map(lambda percent: percent / 100)
COUNTS = st.integers(0, 30)


def smallest(wanted: int, chance: object, sure: float) -> int:
    """The definition, tried one by one."""
    cast = wanted
    while chance(cast) < sure - 1e-9:  # type: ignore[operator]
        cast += 1
    return cast


@pytest.mark.parametrize(
    ("share", "sure", "counts"),
    [
        # The definition worked out with exact fractions, in the shape in which it is printed for
        # batch planning; each row is P(Binomial(m, share) >= k) >= sure for k = 1, 2, 4, 6, 10.
        (0.95, 0.90, (1, 2, 5, 7, 12)),
        (0.90, 0.95, (2, 3, 6, 8, 13)),
        (0.85, 0.95, (2, 4, 6, 9, 14)),
        (0.80, 0.90, (2, 4, 6, 9, 15)),
        (0.70, 0.95, (3, 5, 9, 12, 19)),
    ],
)
def test_numbers_worked_out_by_hand(share: float, sure: float, counts: tuple[int, ...]) -> None:
    found = tuple(castings_to_pour(k, share, sure) for k in (1, 2, 4, 6, 10))
    assert found == counts


@pytest.mark.parametrize(("share", "sure"), [(0.9, 0.9), (0.95, 0.95), (0.8, 0.8)])
def test_a_chance_that_equals_what_is_asked_is_enough(share: float, sure: float) -> None:
    assert castings_to_pour(1, share, sure) == 1


@given(st.integers(1, 25), SHARES, SURE)
def test_without_a_record_it_is_the_binomial_of_scipy(
    wanted: int, share: float, sure: float
) -> None:
    expected = smallest(wanted, lambda m: binom.sf(wanted - 1, m, share), sure)
    assert castings_to_pour(wanted, share, sure) == expected


@given(st.integers(1, 20), SHARES, SURE, COUNTS, COUNTS)
def test_with_a_record_it_is_the_beta_binomial_of_scipy(
    wanted: int, share: float, sure: float, good: int, bad: int
) -> None:
    if not good + bad:
        good = 1
    prior = min(share, 0.999) if bad else share
    a, b = prior * GUESS_WORTH + good, (1 - prior) * GUESS_WORTH + bad
    expected = smallest(wanted, lambda m: betabinom.sf(wanted - 1, m, a, b), sure)
    assert castings_to_pour(wanted, share, sure, good, bad) == expected
    chance = chance_of_enough(expected, wanted, share, good, bad)
    assert chance == pytest.approx(betabinom.sf(wanted - 1, expected, a, b), abs=1e-9)


@given(st.integers(1, 15), SHARES, SURE, COUNTS, COUNTS)
def test_a_bad_casting_never_asks_for_fewer_and_more_certainty_never_either(
    wanted: int, share: float, sure: float, good: int, bad: int
) -> None:
    good += 1
    here = castings_to_pour(wanted, share, sure, good, bad)
    assert castings_to_pour(wanted, share, sure, good, bad + 1) >= here
    assert castings_to_pour(wanted, share, min(0.99, sure + 0.01), good, bad) >= here
    assert castings_to_pour(wanted + 1, share, sure, good, bad) > here


def test_the_record_outweighs_the_first_guess_in_the_end() -> None:
    assert expected_yield(0.9, 0, 0) == pytest.approx(0.9)
    assert expected_yield(0.9, 300, 300) == pytest.approx(309 / 610)
    assert expected_yield(1.0, 0, 1) < 1


def test_always_good_needs_none_in_case() -> None:
    assert castings_to_pour(7, 1.0, 0.99) == 7
    assert castings_to_pour(0, 0.5, 0.9) == 0


@pytest.mark.parametrize(
    ("given_", "words"),
    [
        ((-1, 0.9, 0.9), "wanted must be 0 or more castings"),
        ((1, 0.0, 0.9), "yield_share must lie above 0"),
        ((1, 1.1, 0.9), "at most 1, got 1.1"),
        ((1, 0.9, 1.0), "sure must lie above 0 and below 1"),
        ((1, 0.9, 0.9, -1), "good must be 0 or more"),
        ((5000, 0.01, 0.99), "more than 10000 castings"),
    ],
)
def test_what_makes_no_sense_is_refused(given_: tuple[float, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        castings_to_pour(*given_)  # type: ignore[arg-type]
