"""Working time: weekly hours, other work and days off become intervals on one running clock.

The days of a maker are written by the clock on the wall; planning counts minutes from an epoch.
What is worked are the instants at which the clock of the company's time zone shows a minute of
somebody's hours. So on the day on which the clock jumps ahead an hour that it never shows is not
worked, and on the day on which it goes back an hour that it shows twice is worked twice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

DAY_MIN = 24 * 60
UNIX_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)
_PROBE_STEP = timedelta(hours=6)  # no zone changes its clock twice within six hours

Interval = tuple[int, int]
Intervals = tuple[Interval, ...]


@dataclass(frozen=True)
class Stretch:
    """One stretch of a weekday (0 is Monday), in minutes after midnight, 0 to 1440."""

    weekday: int
    start_min: int
    end_min: int

    def __post_init__(self) -> None:
        if not 0 <= self.weekday <= 6:
            raise ValueError(f"weekday is {self.weekday}: 0 is Monday, 6 is Sunday")
        _check_clock(self.start_min, self.end_min)


@dataclass(frozen=True)
class WeekPattern:
    """The stretches of a usual week, in force from a day on (None: always) until the next one."""

    from_date: date | None
    stretches: tuple[Stretch, ...] = ()


@dataclass(frozen=True)
class Block:
    """Days `first` to `last`, both included, on which something else is done.

    Whole days where the times are None, else `start_min` to `end_min` on each of the days.
    """

    first: date
    last: date
    start_min: int | None = None
    end_min: int | None = None

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(f"last day {self.last} comes before first day {self.first}")
        if (self.start_min is None) != (self.end_min is None):
            raise ValueError("a block has both times or none")
        if self.start_min is not None and self.end_min is not None:
            _check_clock(self.start_min, self.end_min)

    def minutes_of(self, day: date) -> Interval | None:
        """What it takes of a day, in minutes after midnight, or None where it takes nothing."""
        if not self.first <= day <= self.last:
            return None
        if self.start_min is None or self.end_min is None:
            return (0, DAY_MIN)
        return (self.start_min, self.end_min)


@dataclass(frozen=True)
class Calendar:
    """Everything that says when one person works; days off and holidays are blocks as well."""

    patterns: tuple[WeekPattern, ...] = ()
    away: tuple[Block, ...] = ()
    here_from: date | None = None
    here_until: date | None = None

    def pattern_of(self, day: date) -> WeekPattern | None:
        """The pattern in force on a day: the one that began last."""
        begun = [p for p in self.patterns if p.from_date is None or p.from_date <= day]
        return max(begun, key=lambda p: (p.from_date is not None, p.from_date), default=None)

    def usual_day(self, day: date) -> Intervals:
        """The hours of the day by the weekly pattern alone, in minutes after midnight."""
        if (self.here_from and day < self.here_from) or (self.here_until and day > self.here_until):
            return ()
        pattern = self.pattern_of(day)
        stretches = pattern.stretches if pattern else ()
        return join((s.start_min, s.end_min) for s in stretches if s.weekday == day.weekday())

    def day(self, day: date) -> Intervals:
        """The hours of the day that remain, in minutes after midnight, sorted and disjoint.

        >>> monday = WeekPattern(None, (Stretch(0, 540, 780), Stretch(0, 840, 1080)))
        >>> writing = Block(date(2026, 3, 2), date(2026, 3, 2), 720, 900)
        >>> Calendar((monday,), (writing,)).day(date(2026, 3, 2))
        ((540, 720), (900, 1080))
        """
        usual = self.usual_day(day)
        if not usual:
            return ()
        return subtract(usual, (taken for b in self.away if (taken := b.minutes_of(day))))


def join(intervals: Iterable[Interval]) -> Intervals:
    """Sort intervals, drop empty ones, join those that touch or overlap.

    >>> join([(60, 120), (0, 60), (200, 200)])
    ((0, 120),)
    """
    out: list[Interval] = []
    for start, end in sorted(intervals):
        if end <= start:
            continue
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return tuple(out)


def subtract(intervals: Iterable[Interval], taken: Iterable[Interval]) -> Intervals:
    """What remains of the first intervals once the second are taken out.

    >>> subtract([(0, 100)], [(20, 30), (90, 120)])
    ((0, 20), (30, 90))
    """
    left = join(intervals)
    for start, end in join(taken):
        left = tuple(
            piece
            for a, b in left
            for piece in ((a, min(b, start)), (max(a, end), b))
            if piece[0] < piece[1]
        )
    return left


def meet(one: Iterable[Interval], other: Iterable[Interval]) -> Intervals:
    """Minutes that are in both.

    >>> meet([(0, 60), (90, 150)], [(30, 100)])
    ((30, 60), (90, 100))
    """
    left, right = join(one), join(other)
    out: list[Interval] = []
    i = j = 0
    while i < len(left) and j < len(right):
        start, end = max(left[i][0], right[j][0]), min(left[i][1], right[j][1])
        if start < end:
            out.append((start, end))
        if left[i][1] < right[j][1]:
            i += 1
        else:
            j += 1
    return tuple(out)


def first_minutes(intervals: Iterable[Interval], cap_min: int) -> Intervals:
    """The first `cap_min` minutes of the intervals. ValueError for a cap below nought.

    >>> first_minutes([(0, 60), (90, 150)], 80)
    ((0, 60), (90, 110))
    """
    if cap_min < 0:
        raise ValueError(f"cap_min is {cap_min} min: a daily cap is nought or more")
    out: list[Interval] = []
    left = cap_min
    for start, end in join(intervals):
        if left <= 0:
            break
        out.append((start, min(end, start + left)))
        left -= out[-1][1] - start
    return tuple(out)


def total_min(intervals: Iterable[Interval]) -> int:
    """Minutes in all of the intervals together."""
    return sum(end - start for start, end in intervals)


class Clock:
    """The clock of a time zone over a range of days, as spans in which it runs evenly.

    `first` and `last` are the days it must know, both included; `epoch` is an instant on a whole
    minute, with its zone. Making one costs a few hundred readings of the zone a year.
    """

    def __init__(
        self, zone: ZoneInfo, first: date, last: date, epoch: datetime = UNIX_EPOCH
    ) -> None:
        if epoch.tzinfo is None or epoch.second or epoch.microsecond:
            raise ValueError(f"epoch is {epoch}: it is a whole minute and says its zone")
        self.zone = zone
        self.epoch = epoch
        # A day by the wall may begin 14 h before or end 12 h after the same day in UTC.
        begin = datetime(first.year, first.month, first.day, tzinfo=UTC) - timedelta(days=1)
        end = datetime(last.year, last.month, last.day, tzinfo=UTC) + timedelta(days=2)
        self._starts: list[int] = []
        self._ahead: list[int] = []
        self._end = self._minute(end)
        self._mark(begin)
        at = begin
        while at < end:
            next_at = min(at + _PROBE_STEP, end)
            if self._offset(next_at) != self._offset(at):
                self._mark(self._jump_between(at, next_at))
            at = next_at

    def day(self, day: date, minutes: Iterable[Interval]) -> Intervals:
        """Minutes after midnight of a day, as intervals of minutes from the epoch."""
        # Minutes from the epoch to midnight as if the wall ran on UTC; a span adds its offset.
        midnight = self._minute(datetime(day.year, day.month, day.day, tzinfo=UTC))
        wanted = join(minutes)
        if not wanted:
            return ()
        # Spans that can show the day at all: no zone is more than a day from UTC.
        low = max(0, bisect_right(self._starts, midnight - DAY_MIN) - 1)
        out: list[Interval] = []
        for i in range(low, len(self._starts)):
            begins, ahead = self._starts[i], self._ahead[i]
            ends = self._starts[i + 1] if i + 1 < len(self._starts) else self._end
            if begins > midnight + 2 * DAY_MIN:
                break
            for start, end in wanted:
                a = max(begins, midnight + start - ahead)
                b = min(ends, midnight + end - ahead)
                if a < b:
                    out.append((a, b))
        return join(out)

    def _mark(self, at: datetime) -> None:
        self._starts.append(self._minute(at))
        self._ahead.append(self._offset(at))

    def _minute(self, at: datetime) -> int:
        return (at - self.epoch) // _MINUTE

    def _offset(self, at: datetime) -> int:
        """Whole minutes by which the wall is ahead of UTC at an instant."""
        return (at.astimezone(self.zone).utcoffset() or timedelta()) // _MINUTE

    def _jump_between(self, low: datetime, high: datetime) -> datetime:
        """The first whole minute after `low` at which the clock runs as it does at `high`."""
        after = self._offset(high)
        while high - low > _MINUTE:
            middle = low + ((high - low) // _MINUTE // 2) * _MINUTE
            if self._offset(middle) == after:
                high = middle
            else:
                low = middle
        return high


def working_days(
    calendar: Calendar, clock: Clock, first: date, last: date
) -> tuple[tuple[date, Intervals], ...]:
    """The days from `first` to `last` on which somebody works, each with its intervals."""
    out = []
    day = first
    while day <= last:
        if intervals := clock.day(day, calendar.day(day)):
            out.append((day, intervals))
        day += timedelta(days=1)
    return tuple(out)


def working_time(calendar: Calendar, clock: Clock, first: date, last: date) -> Intervals:
    """All working time from the day `first` to the day `last`, both included.

    Sorted, disjoint [start, end) in whole minutes from the clock's epoch. Cost: days x stretches.

    >>> london = ZoneInfo("Europe/London")
    >>> sunday = Calendar((WeekPattern(None, (Stretch(6, 0, 180),)),))
    >>> jump = date(2026, 3, 29)  # 01:00 becomes 02:00
    >>> clock = Clock(london, jump, jump, datetime(2026, 3, 29, tzinfo=UTC))
    >>> working_time(sunday, clock, jump, jump)
    ((0, 120),)
    """
    return join(i for _, found in working_days(calendar, clock, first, last) for i in found)


def capped_working_time(
    calendar: Calendar, clock: Clock, first: date, last: date, cap_min: int
) -> Intervals:
    """Working time with at most the first `cap_min` minutes of each day by the wall."""
    days: Sequence[tuple[date, Intervals]] = working_days(calendar, clock, first, last)
    return join(i for _, found in days for i in first_minutes(found, cap_min))


def _check_clock(start_min: int, end_min: int) -> None:
    if not 0 <= start_min < end_min <= DAY_MIN:
        raise ValueError(
            f"{start_min} to {end_min} min is no stretch of a day: 0 <= start < end <= {DAY_MIN}"
        )
