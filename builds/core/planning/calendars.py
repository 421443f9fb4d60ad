"""Working hours as compressed slots: counting working minutes, and finding them again.

A calendar is a sorted row of disjoint intervals with the working minutes before each. A step that
pauses overnight is then a plain stretch of working minutes, and going from the clock to working
minutes and back is a search in a sorted row.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from builds.core.planning.problem import Interval, Intervals

DAY_MIN = 1440
MANY = 16  # intervals from which looking at all of them at once is quicker


def tidy(intervals: Iterable[Sequence[int]]) -> Intervals:
    """Sort intervals, drop empty ones, join those that touch or overlap.

    >>> tidy([(60, 120), (0, 60), (200, 200), (100, 130)])
    ((0, 130),)
    """
    rows = list(intervals)
    if len(rows) >= MANY:
        row: npt.NDArray[np.int64] = np.array(rows, dtype=np.int64)
        if np.all(row[:, 0] < row[:, 1]) and np.all(row[1:, 0] > row[:-1, 1]):
            return tuple(zip(row[:, 0].tolist(), row[:, 1].tolist(), strict=True))
    out: list[list[int]] = []
    for a, b in sorted((int(a), int(b)) for a, b in rows):
        if b <= a:
            continue
        if out and a <= out[-1][1]:
            out[-1][1] = max(out[-1][1], b)
        else:
            out.append([a, b])
    return tuple((a, b) for a, b in out)


def intersect(one: Sequence[Interval], other: Sequence[Interval]) -> Intervals:
    """Minutes in both of two tidy rows.

    >>> intersect(((0, 60), (90, 150)), ((30, 100),))
    ((30, 60), (90, 100))
    """
    if not one or not other:
        return ()
    a, b = np.array(one, dtype=np.int64), np.array(other, dtype=np.int64)
    first = np.searchsorted(b[:, 1], a[:, 0], side="right")
    count = np.searchsorted(b[:, 0], a[:, 1], side="left") - first
    i = np.repeat(np.arange(len(a)), count)
    j = np.arange(len(i)) + np.repeat(first - np.cumsum(count) + count, count)
    starts, ends = np.maximum(a[i, 0], b[j, 0]), np.minimum(a[i, 1], b[j, 1])
    return tuple(zip(starts.tolist(), ends.tolist(), strict=True))


def subtract(one: Sequence[Interval], other: Sequence[Interval]) -> Intervals:
    """Minutes in the first tidy row that are not in the second.

    >>> subtract(((0, 100),), ((20, 30), (90, 120)))
    ((0, 20), (30, 90))
    """
    if not one:
        return ()
    low, high = one[0][0], one[-1][1]
    edges = [low, *(edge for pair in other for edge in pair), high]
    gaps = tuple((a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)
    return intersect(one, gaps)


def cap_days(
    work: Sequence[Interval], cap_min: int, day_starts: Sequence[int] | None = None
) -> Intervals:
    """The first `cap_min` working minutes of each day: carving at most 5 h a day is 300.

    `day_starts` are the minutes at which days begin (summer time makes days of 23 and 25 h);
    without them a day is 1440 minutes from the epoch. ValueError for a cap below 1.

    >>> cap_days(((480, 720), (780, 1020), (1920, 2000)), 300)
    ((480, 720), (780, 840), (1920, 2000))
    """
    if cap_min < 1:
        raise ValueError(f"cap_min is {cap_min} min: a daily cap is at least 1 minute")
    out: list[Interval] = []
    used: dict[int, int] = {}
    for a, b in tidy(work):
        while a < b:
            day, ends = _day_of(a, day_starts)
            until = min(b, ends)
            left = cap_min - used.get(day, 0)
            if left > 0:
                out.append((a, min(until, a + left)))
                used[day] = used.get(day, 0) + min(until - a, left)
            a = until
    return tidy(out)


def _day_of(minute: int, day_starts: Sequence[int] | None) -> tuple[int, int]:
    """Number of the day that holds a minute, and the minute at which that day ends."""
    if day_starts is None:
        day = minute // DAY_MIN
        return day, (day + 1) * DAY_MIN
    day = bisect_right(day_starts, minute) - 1
    after = day_starts[day + 1] if day + 1 < len(day_starts) else None
    return day, after if after is not None else max(minute + 1, day_starts[-1] + DAY_MIN)


class Calendar:
    """Working minutes that can be counted and found. Every query is one bisection.

    >>> hours = Calendar(((0, 60), (100, 160)))
    >>> hours.total, hours.worked_before(110), hours.next_minute(60)
    (120, 70, 100)
    >>> hours.finish_of(30, 50), hours.start_for(120, 50)
    (120, 30)
    """

    __slots__ = ("_before", "_ends", "_longest", "_starts", "slots", "total")

    def __init__(self, slots: Iterable[Sequence[int]]) -> None:
        self.slots = tidy(slots)
        self._starts = [a for a, _ in self.slots]
        self._ends = [b for _, b in self.slots]
        lengths = [b - a for a, b in self.slots]
        self._longest = max(lengths, default=0)
        self._before = [0, *accumulate(lengths)]
        self.total = self._before.pop()

    def worked_before(self, minute: int) -> int:
        """Working minutes earlier than `minute`."""
        k = bisect_right(self._starts, minute) - 1
        return 0 if k < 0 else self._before[k] + min(minute, self._ends[k]) - self._starts[k]

    def is_working(self, minute: int) -> bool:
        """Whether this minute is worked."""
        k = bisect_right(self._starts, minute) - 1
        return k >= 0 and minute < self._ends[k]

    def next_minute(self, minute: int) -> int | None:
        """The first working minute at or after `minute`."""
        k = bisect_right(self._ends, minute)
        return None if k == len(self._ends) else max(minute, self._starts[k])

    def minute_at(self, worked: int) -> int | None:
        """The working minute with `worked` working minutes before it."""
        if not 0 <= worked < self.total:
            return None
        k = bisect_right(self._before, worked) - 1
        return self._starts[k] + worked - self._before[k]

    def finish_of(self, start: int, minutes: int) -> int | None:
        """When `minutes` of work that may begin at `start` are done; None past the last slot."""
        if minutes == 0:
            return start
        last = self.minute_at(self.worked_before(start) + minutes - 1)
        return None if last is None else last + 1

    def start_for(self, finish: int, minutes: int) -> int | None:
        """The latest working minute from which `minutes` of work are done by `finish`."""
        if minutes == 0:
            return finish
        return self.minute_at(self.worked_before(finish) - minutes)

    def earliest_go(self, start: int, minutes: int) -> int | None:
        """The first minute at or after `start` with `minutes` of work before any break."""
        if minutes > self._longest:
            return None
        for k in range(bisect_right(self._ends, start), len(self._ends)):
            begin = max(start, self._starts[k])
            if begin + minutes <= self._ends[k]:
                return begin
        return None

    def latest_go(self, finish: int, minutes: int) -> int | None:
        """The last minute from which `minutes` without a break are done by `finish`."""
        for k in range(bisect_left(self._starts, finish) - 1, -1, -1):
            begin = min(finish, self._ends[k]) - minutes
            if begin >= self._starts[k]:
                return begin
        return None

    def longest_go(self, start: int = 0) -> int:
        """Length in minutes of the longest stretch from `start` on."""
        return max((b - max(a, start) for a, b in self.slots if b > start), default=0)
