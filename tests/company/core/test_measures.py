"""Lengths and weights as people write them, against the exact factors of the standard."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core.measures import format_length, format_mass, parse_length, parse_mass


def test_factors_are_those_of_the_standard():
    """NIST Special Publication 811 (2008), appendix B.8: inch 25.4 mm, foot 0.3048 m, pound
    0.453 592 37 kg, ounce 28.349 523 125 g, all exact."""
    assert parse_length("10 in") == 254
    assert parse_length("5 ft") == round(Fraction("0.3048") * 1000 * 5)
    assert parse_mass("10 lb") == 4536
    assert parse_mass("100 oz") == 2835


@pytest.mark.parametrize(
    ("written", "is_metric", "length_mm"),
    [
        ("600", True, 600),
        (" 60 cm ", True, 600),
        ("60,5cm", True, 605),
        ("0.6 m", True, 600),
        ("1.5 M", True, 1500),
        ("24", False, 610),
        ("23 5/8", False, 600),
        ("5/8", False, 16),
        ('24"', True, 610),
        ("24″", True, 610),
        ("600 mm", False, 600),
        ("0", True, 0),
    ],
)
def test_length_is_read(written, is_metric, length_mm):
    assert parse_length(written, is_metric=is_metric) == length_mm


REFUSED = (
    *("", "  ", "tall", "6oo", "60 furlong", "-60", "1/0", "60 60", "6.0.0", "1e3"),
    *("60 cm tall", "٦٠", "99999999999999999999", "20001", "\x00", "½"),
)


@pytest.mark.parametrize("written", REFUSED)
def test_length_refuses_with_a_sentence(written):
    with pytest.raises(ValueError, match=r"missing|not a|more than|divides") as refused:
        parse_length(written)

    assert len(str(refused.value)) < 120


@pytest.mark.parametrize(
    ("written", "is_metric", "mass_g"),
    [("180", True, 180), ("1.2 kg", True, 1200), ("6 1/2", False, 184), ("1 lb", True, 454)],
)
def test_mass_is_read(written, is_metric, mass_g):
    assert parse_mass(written, is_metric=is_metric) == mass_g


def test_mass_speaks_of_weight():
    with pytest.raises(ValueError, match="'heavy' is not a weight: write 180 or 1.2 kg"):
        parse_mass("heavy")


@given(st.integers(0, 20_000), st.booleans())
def test_length_written_and_read_back_is_the_same(length_mm, is_metric):
    written = format_length(length_mm, is_metric=is_metric)

    assert parse_length(written, is_metric=is_metric) == length_mm


@given(st.integers(0, 100_000), st.booleans())
def test_mass_written_and_read_back_is_the_same(mass_g, is_metric):
    assert parse_mass(format_mass(mass_g, is_metric=is_metric), is_metric=is_metric) == mass_g


@given(st.text(max_size=30))
def test_odd_text_is_read_or_refused_never_broken(text):
    for parse in (parse_length, parse_mass):
        try:
            read = parse(text)
        except ValueError:
            continue
        assert read >= 0
