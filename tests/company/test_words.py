"""Tests of the filters that write days, times and quantities the way a maker says them."""

from __future__ import annotations

from datetime import date

import pytest
from django.template import Context, Template

from company.templatetags import words as w

FIXED = "\u00a0"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(150, f"2½{FIXED}h"), (480, f"8{FIXED}h"), (45, "45 min"), (0, f"0{FIXED}h"), (None, "")],
)
def test_hours(minutes: int | None, said: str) -> None:
    assert w.hours(minutes) == said


@pytest.mark.parametrize(("minutes", "said"), [(600, "10:00"), (1440, "24:00"), (None, "")])
def test_clock_time(minutes: int | None, said: str) -> None:
    assert w.clock_time(minutes) == said


@pytest.mark.parametrize(("seconds", "said"), [(240, "4"), (270, "4:30"), (None, "")])
def test_stage_minutes(seconds: int | None, said: str) -> None:
    assert w.stage_minutes(seconds) == said


def test_days_are_written_short_and_long() -> None:
    tuesday = date(2027, 5, 11)

    assert w.day(tuesday) == "Tue 11 May"
    assert w.short_day(tuesday) == "11 May"
    assert w.long_day(tuesday) == "Tuesday 11 May"
    assert w.full_day(tuesday) == "11 May 2027"
    assert w.day(None) == ""


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2027, 5, 11), date(2027, 5, 11), "11 May"),
        (date(2027, 5, 11), None, "11 May"),
        (date(2027, 5, 11), date(2027, 5, 14), "11 to 14 May"),
        (date(2027, 5, 30), date(2027, 6, 2), "30 May to 2 June"),
        (date(2027, 12, 30), date(2028, 1, 2), "30 December 2027 to 2 January 2028"),
    ],
)
def test_day_span(first: date, last: date | None, said: str) -> None:
    assert w.day_span(first, last) == said


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (12, "12 days in hand"),
        (1, "1 day in hand"),
        (0, "none in hand"),
        (-1, "1 day late"),
        (-3, "3 days late"),
        (None, ""),
    ],
)
def test_in_hand(days: int | None, said: str) -> None:
    assert w.in_hand(days) == said


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (1995, "mm", f"1\u202f995{FIXED}mm"),
        (92, "mm", f"92{FIXED}mm"),
        (2.5, "g", f"2.5{FIXED}g"),
        (3.0, "", "3"),
        (None, "mm", ""),
    ],
)
def test_quantity(value: float | None, unit: str, said: str) -> None:
    assert w.quantity(value, unit) == said


def test_counts_with_their_nouns() -> None:
    assert w.counted(1, "figure") == f"1{FIXED}figure"
    assert w.counted(12, "figure") == f"12{FIXED}figures"
    assert w.counted(2, "box,boxes") == f"2{FIXED}boxes"
    assert (w.count_word(5), w.count_word(0), w.count_word(13)) == ("five", "none", "13")


def test_lists_end_with_and() -> None:
    assert w.and_list(["J3", "J4", "J5"]) == "J3, J4 and J5"
    assert w.and_list(["J3"]) == "J3"
    assert w.and_list([]) == ""


def test_filters_escape_what_they_pass_on() -> None:
    page = Template("{% load words %}{{ names|and_list }}").render(
        Context({"names": ["<b>", "J4"]})
    )

    assert page == "&lt;b&gt; and J4"
