"""Calendars against counting minute by minute."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.planning.calendars import Calendar, cap_days, intersect, subtract, tidy

intervals = st.lists(
    st.tuples(st.integers(0, 60), st.integers(0, 12)).map(lambda pair: (pair[0], sum(pair))),
    max_size=6,
).map(tidy)


def minutes(row: tuple[tuple[int, int], ...]) -> list[int]:
    return [minute for a, b in row for minute in range(a, b)]


@given(intervals, intervals)
def test_sets_of_minutes(
    one: tuple[tuple[int, int], ...], other: tuple[tuple[int, int], ...]
) -> None:
    assert minutes(intersect(one, other)) == sorted({*minutes(one)} & {*minutes(other)})
    assert minutes(subtract(one, other)) == sorted({*minutes(one)} - {*minutes(other)})
    assert minutes(tidy(one + other)) == sorted({*minutes(one)} | {*minutes(other)})


@given(intervals, st.integers(0, 80), st.integers(1, 30))
def test_searches_agree_with_counting(
    row: tuple[tuple[int, int], ...], at: int, length: int
) -> None:
    calendar, worked = Calendar(row), minutes(row)
    later, earlier = [m for m in worked if m >= at], [m for m in worked if m < at]
    assert calendar.total == len(worked)
    assert calendar.worked_before(at) == len(earlier)
    assert calendar.is_working(at) == (at in worked)
    assert calendar.next_minute(at) == (later[0] if later else None)
    assert calendar.finish_of(at, length) == (
        later[length - 1] + 1 if len(later) >= length else None
    )
    assert calendar.start_for(at, length) == (earlier[-length] if len(earlier) >= length else None)


@given(intervals, st.integers(0, 80), st.integers(1, 8))
def test_stretches_without_a_break(row: tuple[tuple[int, int], ...], at: int, length: int) -> None:
    calendar, worked = Calendar(row), {*minutes(row)}
    fits = [m for m in range(-10, 90) if all(x in worked for x in range(m, m + length))]
    assert calendar.earliest_go(at, length) == min((m for m in fits if m >= at), default=None)
    assert calendar.latest_go(at, length) == max(
        (m for m in fits if m + length <= at), default=None
    )
    longest = max((b - max(a, at) for a, b in row if b > at), default=0)
    assert calendar.longest_go(at) == longest


@given(intervals, st.integers(1, 10))
def test_cap_keeps_the_first_minutes_of_each_day(
    row: tuple[tuple[int, int], ...], cap: int
) -> None:
    capped = minutes(cap_days(row, cap, day_starts=(0, 20, 43)))
    for first, last in ((0, 20), (20, 43), (43, 1000)):
        day = [m for m in minutes(row) if first <= m < last]
        assert [m for m in capped if first <= m < last] == day[:cap]


def test_cap_below_a_minute_is_refused() -> None:
    with pytest.raises(ValueError, match="cap_min is 0 min"):
        cap_days(((0, 60),), 0)
