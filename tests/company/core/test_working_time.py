"""Working time against a minute-by-minute reading of the wall clock, and known jumps of it."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core.working_time import (
    UNIX_EPOCH,
    Block,
    Calendar,
    Clock,
    Stretch,
    WeekPattern,
    capped_working_time,
    first_minutes,
    join,
    subtract,
    total_min,
    working_days,
    working_time,
)

ZONES = (
    "UTC",
    "Europe/London",
    "America/New_York",
    "Australia/Lord_Howe",  # jumps by half an hour
    "Asia/Kathmandu",  # 5:45 ahead
    "Pacific/Auckland",
    "Pacific/Apia",
    "America/Sao_Paulo",  # jumped at midnight: the day began at 01:00
)
START, END = date(2025, 1, 1), date(2026, 12, 31)

quarters = st.integers(0, 95).map(lambda n: n * 15)
days = st.dates(START, END)


@st.composite
def spans(draw: st.DrawFn) -> tuple[int, int]:
    a = draw(quarters)
    return a, draw(st.integers(a // 15 + 1, 96)) * 15


@st.composite
def patterns(draw: st.DrawFn) -> tuple[WeekPattern, ...]:
    begins = draw(st.lists(st.one_of(st.none(), days), max_size=3, unique=True))
    return tuple(
        WeekPattern(
            begin,
            tuple(
                Stretch(draw(st.integers(0, 6)), *draw(spans()))
                for _ in range(draw(st.integers(0, 8)))
            ),
        )
        for begin in begins
    )


@st.composite
def blocks(draw: st.DrawFn) -> Block:
    first = draw(days)
    last = first + timedelta(days=draw(st.integers(0, 20)))
    return Block(first, last, *(draw(st.one_of(st.just((None, None)), spans()))))


calendars = st.builds(
    Calendar,
    patterns=patterns(),
    away=st.lists(blocks(), max_size=5).map(tuple),
    here_from=st.one_of(st.none(), days),
    here_until=st.one_of(st.none(), days),
)


def is_worked(calendar: Calendar, wall: datetime) -> bool:
    """The rule read off for one minute of the wall clock, as a person would."""
    day, minute = wall.date(), wall.hour * 60 + wall.minute
    if calendar.here_from is not None and day < calendar.here_from:
        return False
    if calendar.here_until is not None and day > calendar.here_until:
        return False
    in_force = None
    for pattern in calendar.patterns:
        begin = pattern.from_date or date.min
        if begin <= day and (in_force is None or begin >= (in_force.from_date or date.min)):
            in_force = pattern
    if in_force is None or not any(
        s.weekday == day.weekday() and s.start_min <= minute < s.end_min for s in in_force.stretches
    ):
        return False
    return not any(
        b.first <= day <= b.last
        and (b.start_min is None or b.end_min is None or b.start_min <= minute < b.end_min)
        for b in calendar.away
    )


def minutes_worked(calendar: Calendar, zone: ZoneInfo, first: date, last: date) -> list[int]:
    """Every worked minute, found by looking at the wall at each of them."""
    begin = datetime(first.year, first.month, first.day, tzinfo=UTC) - timedelta(hours=30)
    end = datetime(last.year, last.month, last.day, tzinfo=UTC) + timedelta(hours=54)
    out = []
    at = begin
    while at < end:
        wall = at.astimezone(zone)
        if first <= wall.date() <= last and is_worked(calendar, wall):
            out.append((at - UNIX_EPOCH) // timedelta(minutes=1))
        at += timedelta(minutes=1)
    return out


def minutes_in(intervals: tuple[tuple[int, int], ...]) -> list[int]:
    return [m for a, b in intervals for m in range(a, b)]


@given(calendars, st.sampled_from(ZONES), days, st.integers(0, 3))
def test_working_time_is_what_the_wall_shows(
    calendar: Calendar, name: str, first: date, length: int
) -> None:
    zone, last = ZoneInfo(name), first + timedelta(days=length)
    found = working_time(calendar, Clock(zone, first, last), first, last)
    assert minutes_in(found) == minutes_worked(calendar, zone, first, last)


JUMPS = (
    ("Europe/London", date(2026, 3, 29)),
    ("Europe/London", date(2026, 10, 25)),
    ("America/New_York", date(2026, 3, 8)),
    ("America/New_York", date(2026, 11, 1)),
    ("Australia/Lord_Howe", date(2026, 4, 5)),
    ("Australia/Lord_Howe", date(2026, 10, 4)),
    ("America/Sao_Paulo", date(2018, 11, 4)),
    ("America/Sao_Paulo", date(2018, 2, 17)),
    ("Pacific/Apia", date(2011, 12, 30)),
)


@pytest.mark.parametrize(("name", "day"), JUMPS)
@given(span=spans())
def test_working_time_on_days_the_clock_jumps(name: str, day: date, span: tuple[int, int]) -> None:
    zone = ZoneInfo(name)
    every_day = WeekPattern(None, tuple(Stretch(weekday, *span) for weekday in range(7)))
    calendar = Calendar((every_day,))
    first, last = day - timedelta(days=1), day + timedelta(days=1)
    found = working_time(calendar, Clock(zone, first, last), first, last)
    assert minutes_in(found) == minutes_worked(calendar, zone, first, last)


@given(calendars, st.sampled_from(ZONES), days, st.integers(0, 30))
def test_working_time_is_sorted_disjoint_and_in_range(
    calendar: Calendar, name: str, first: date, length: int
) -> None:
    last = first + timedelta(days=length)
    found = working_time(calendar, Clock(ZoneInfo(name), first, last), first, last)
    assert all(a < b for a, b in found)
    assert all(b < c for (_, b), (c, _) in itertools.pairwise(found))


@given(calendars, blocks(), days, st.integers(0, 30))
def test_another_block_never_adds_time(
    calendar: Calendar, block: Block, first: date, length: int
) -> None:
    last = first + timedelta(days=length)
    clock = Clock(ZoneInfo("Europe/London"), first, last)
    busier = Calendar(
        calendar.patterns, (*calendar.away, block), calendar.here_from, calendar.here_until
    )
    before = set(minutes_in(working_time(calendar, clock, first, last)))
    assert set(minutes_in(working_time(busier, clock, first, last))) <= before


@given(calendars, days, st.integers(0, 20), st.integers(0, 600))
def test_cap_takes_the_first_minutes_of_each_day(
    calendar: Calendar, first: date, length: int, cap_min: int
) -> None:
    last = first + timedelta(days=length)
    zone = ZoneInfo("America/New_York")
    clock = Clock(zone, first, last)
    whole = minutes_in(working_time(calendar, clock, first, last))
    by_day: dict[date, list[int]] = {}
    for minute in whole:
        wall = (UNIX_EPOCH + timedelta(minutes=minute)).astimezone(zone)
        by_day.setdefault(wall.date(), []).append(minute)
    wanted = [m for minutes in by_day.values() for m in minutes[:cap_min]]
    assert minutes_in(capped_working_time(calendar, clock, first, last, cap_min)) == wanted


@given(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), max_size=8))
def test_join_and_subtract_agree_with_sets(pairs: list[tuple[int, int]]) -> None:
    some, rest = pairs[::2], pairs[1::2]
    one = {m for a, b in some for m in range(a, b)}
    other = {m for a, b in rest for m in range(a, b)}
    assert minutes_in(join(some)) == sorted(one)
    assert minutes_in(subtract(some, rest)) == sorted(one - other)
    assert total_min(join(some)) == len(one)


def test_working_time_when_the_clock_jumps_ahead_loses_the_hour_it_never_shows() -> None:
    """IANA tz database, zone Europe/London: 29 March 2026, 01:00 UTC, from 01:00 to 02:00."""
    day = date(2026, 3, 29)
    calendar = Calendar((WeekPattern(None, (Stretch(6, 30, 150),)),))
    clock = Clock(ZoneInfo("Europe/London"), day, day, datetime(2026, 3, 29, tzinfo=UTC))
    assert working_time(calendar, clock, day, day) == ((30, 90),)


def test_working_time_when_the_clock_goes_back_works_the_hour_it_shows_twice() -> None:
    """IANA tz database, zone Europe/London: 25 October 2026, 01:00 UTC, from 02:00 to 01:00."""
    day = date(2026, 10, 25)
    calendar = Calendar((WeekPattern(None, (Stretch(6, 30, 150),)),))
    clock = Clock(ZoneInfo("Europe/London"), day, day, datetime(2026, 10, 24, 23, tzinfo=UTC))
    assert working_time(calendar, clock, day, day) == ((30, 210),)


def test_daytime_hours_keep_the_wall_across_the_jump() -> None:
    """Ten o'clock stays ten o'clock: 23 h between two mornings, not 24."""
    first, last = date(2026, 3, 28), date(2026, 3, 29)
    calendar = Calendar((WeekPattern(None, (Stretch(5, 600, 660), Stretch(6, 600, 660))),))
    clock = Clock(ZoneInfo("Europe/London"), first, last)
    (a, _), (b, _) = working_time(calendar, clock, first, last)
    assert b - a == 23 * 60


def test_day_that_a_zone_left_out_has_no_hours() -> None:
    """IANA tz database, zone Pacific/Apia: Friday 30 December 2011 was skipped."""
    day = date(2011, 12, 30)
    calendar = Calendar((WeekPattern(None, (Stretch(4, 0, 1440),)),))
    clock = Clock(ZoneInfo("Pacific/Apia"), day, day)
    assert working_time(calendar, clock, day, day) == ()


def test_new_pattern_leaves_the_weeks_before_it_as_they_were() -> None:
    old = WeekPattern(None, (Stretch(1, 600, 960),))
    new = WeekPattern(date(2026, 6, 1), (Stretch(2, 600, 720),))
    calendar = Calendar((new, old))
    assert calendar.day(date(2026, 5, 26)) == ((600, 960),)
    assert calendar.day(date(2026, 6, 2)) == ()
    assert calendar.day(date(2026, 6, 3)) == ((600, 720),)


def test_working_days_names_only_days_with_time() -> None:
    calendar = Calendar((WeekPattern(None, (Stretch(1, 600, 960),)),))
    first, last = date(2026, 3, 2), date(2026, 3, 15)
    found = working_days(calendar, Clock(ZoneInfo("UTC"), first, last), first, last)
    assert [day for day, _ in found] == [date(2026, 3, 3), date(2026, 3, 10)]


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Stretch(7, 0, 60), "weekday is 7"),
        (lambda: Stretch(0, 60, 60), "60 to 60 min"),
        (lambda: Stretch(0, 60, 1441), "60 to 1441 min"),
        (lambda: Block(date(2026, 3, 2), date(2026, 3, 1)), "comes before first day"),
        (lambda: Block(date(2026, 3, 2), date(2026, 3, 2), 60), "both times or none"),
        (lambda: Block(date(2026, 3, 2), date(2026, 3, 2), 90, 60), "90 to 60 min"),
        (lambda: first_minutes([], -1), "cap_min is -1 min"),
        (
            lambda: Clock(ZoneInfo("UTC"), START, END, datetime(2026, 1, 1)),  # noqa: DTZ001
            "says its zone",
        ),
        (
            lambda: Clock(ZoneInfo("UTC"), START, END, datetime(2026, 1, 1, 0, 0, 1, tzinfo=UTC)),
            "whole minute",
        ),
    ],
)
def test_wrong_arguments_are_named(make: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()  # type: ignore[operator]
