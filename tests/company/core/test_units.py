"""Units: what people write for minutes, hours and clock times, and what they get back."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core import units


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("4", 240),
        (" 4 ", 240),
        ("4.5", 270),
        ("4,5", 270),
        ("4:30", 270),
        ("0:05", 5),
        (".5", 30),
        ("0", 0),
        ("004", 240),
        ("75", 4500),
        ("1.3333", 80),  # a third of a minute, as JSON or a spreadsheet writes it
        ("0.008", 0),  # less than half a second
        ("0.0084", 1),  # more than half a second
        ("0.333333333333333333333", 20),
        ("1440", 86400),
    ],
)
def test_minutes_are_read_to_whole_seconds(text: str, seconds: int) -> None:
    assert units.parse_minutes(text) == seconds


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "minutes are missing"),
        ("  ", "minutes are missing"),
        ("four", "'four' is not a number of minutes"),
        ("4:5", "two digits of seconds"),
        ("4:60", "more than 59 seconds"),
        ("4:30:10", "is not a number of minutes"),
        ("1e3", "is not a number of minutes"),
        ("nan", "is not a number of minutes"),
        ("4.", "is not a number of minutes"),
        ("1.000,5", "is not a number of minutes"),
        ("\u0664", "is not a number of minutes"),  # a digit, but not one a keyboard here types
        ("-1", "is negative"),
        ("\u22121", "is negative"),
        ("1441", "more than a day"),
        ("9" * 5000, "more than a day"),
        ("x" * 5000, "\u2026' is not a number of minutes"),
    ],
)
def test_wrong_minutes_say_what_is_wrong(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)) as caught:
        units.parse_minutes(text)
    assert len(str(caught.value)) < 120


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("-0:30", -30), ("-1.5", -90), ("\u22122", -120), ("-0", 0), ("\u20130:10", -10)],
)
def test_an_entrance_may_lie_before_its_scene(text: str, seconds: int) -> None:
    assert units.parse_minutes(text, may_be_negative=True) == seconds


@given(st.integers(min_value=-86400, max_value=86400))
def test_minutes_written_are_read_back(seconds: int) -> None:
    for written in (units.format_minutes(seconds), units.format_time(seconds)):
        assert units.parse_minutes(written, may_be_negative=True) == seconds


@given(st.integers(min_value=0, max_value=86400))
def test_json_minutes_are_read_back(seconds: int) -> None:
    number = units.minutes_number(seconds)
    assert isinstance(number, int) is (seconds % 60 == 0)
    assert units.parse_minutes(repr(number)) == seconds


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("16", 960),
        ("16 h", 960),
        ("1.5", 90),
        ("1,5 h", 90),
        ("1\u00bd h", 90),
        ("1 \u00bd", 90),
        ("\u00be h", 45),
        ("2 h 15", 135),
        ("2h5", 125),
        ("2:15", 135),
        ("2 h 15 min", 135),
        ("45 min", 45),
        ("0.001", 1),
        ("0", 0),
        ("0,75", 45),
    ],
)
def test_hours_are_read_to_whole_minutes(text: str, minutes: int) -> None:
    assert units.parse_hours(text) == minutes


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "hours are missing"),
        ("h", "is not a time in hours"),
        ("two", "is not a time in hours"),
        ("2 h 60", "more than 59 minutes"),
        ("1.5\u00bd", "mixes a decimal and a fraction"),
        ("-2", "is not a time in hours"),
        ("2001", "more than 2000 hours"),
    ],
)
def test_wrong_hours_say_what_is_wrong(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)):
        units.parse_hours(text)


@given(st.integers(min_value=0, max_value=2000 * 60))
def test_hours_written_are_read_back(minutes: int) -> None:
    assert units.parse_hours(units.format_hours(minutes)) == minutes


def test_hours_read_at_a_glance() -> None:
    shown = [units.format_hours(minutes) for minutes in (0, 15, 30, 60, 65, 90, 2400, -90)]
    expected = ["0 h", "15 min", "\u00bd h", "1 h", "1 h 05", "1\u00bd h", "40 h", "-1\u00bd h"]
    assert shown == expected


@pytest.mark.parametrize(
    ("minutes", "rounded"),
    [(0, 0), (1, 15), (15, 15), (15.0000000001, 15), (15.01, 30), (Fraction(61, 2), 45), (-1, 0)],
)
def test_hours_round_up_to_the_quarter(minutes: float, rounded: int) -> None:
    assert units.round_up_to_quarter(minutes) == rounded


def test_rounding_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="not a number to round"):
        units.round_up_to_quarter(float("nan"))


@given(st.integers(min_value=0, max_value=1440))
def test_clock_times_are_read_back(minute: int) -> None:
    assert units.parse_clock(units.format_clock(minute), may_be_midnight_end=True) == minute


@pytest.mark.parametrize("text", ["9", "9:00", "09:00", "09.00", "9h00"])
def test_nine_in_the_morning_is_written_many_ways(text: str) -> None:
    assert units.parse_clock(text) == 540


@pytest.mark.parametrize("text", ["", "25", "24:00", "9:60", "9:5", "noon", "24:01"])
def test_wrong_clock_times_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"time of day|on the clock|end of the day"):
        units.parse_clock(text)


def test_a_minute_outside_the_day_is_refused() -> None:
    with pytest.raises(ValueError, match="outside the day"):
        units.format_clock(1441)
