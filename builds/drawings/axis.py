"""A row of days as an axis: where a day stands across, and the lines of weeks or months."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from company import drawing as d
from company.lettering import measure

SIZE = 12.0
LEAST_PITCH = 44.0  # between two days written on the axis
MONDAY_ORDINAL = 1  # date(1, 1, 1) was a Monday


@dataclass(frozen=True, slots=True)
class Axis:
    """From the morning of `first` to the evening of `last`, between two places across."""

    first: date
    last: date
    left: float
    right: float

    @property
    def days(self) -> int:
        """Days on it."""
        return (self.last - self.first).days + 1

    def x(self, day: float) -> float:
        """Where a day (its ordinal, with the part of the day that is gone) stands.

        >>> Axis(date(2027, 5, 3), date(2027, 5, 4), 0, 100).x(date(2027, 5, 4).toordinal())
        50.0
        """
        part = (day - self.first.toordinal()) / self.days
        return self.left + min(1.0, max(0.0, part)) * (self.right - self.left)

    def ticks(self) -> Iterator[date]:
        """The days that are written: as many Mondays, or firsts of a month, as there is room."""
        pitch = (self.right - self.left) / self.days
        start = self.first + timedelta(days=-self.first.weekday() % 7)
        step = next((n for n in (1, 2, 4) if 7 * n * pitch >= LEAST_PITCH), None)
        if step is not None:
            at = start
            while at <= self.last:
                yield at
                at += timedelta(days=7 * step)
            return
        months = max(1, round(LEAST_PITCH / (30 * pitch) + 0.5))
        at, n = self.first.replace(day=1), 0
        while at <= self.last:
            if at >= self.first and n % months == 0:
                yield at
            n += 1
            at = (at.replace(day=1) + timedelta(days=32)).replace(day=1)


def place_of(instant: datetime, zone: ZoneInfo) -> float:
    """The instant as a day on the axis.

    >>> place_of(datetime(2027, 5, 3, 12, tzinfo=ZoneInfo("UTC")), ZoneInfo("UTC")) % 1
    0.5
    """
    here = instant.astimezone(zone)
    return here.date().toordinal() + (here.hour * 60 + here.minute) / 1440


def draw_days(axis: Axis, top: float, bottom: float) -> list[str]:
    """The lines of the weeks with their days above them."""
    parts: list[str] = []
    last_end = -1e9
    for day in axis.ticks():
        x = axis.x(day.toordinal())
        text = f"{day.day} {day:%b}"
        parts.append(d.line(x, top, x, bottom, "axis-line"))
        wide = measure(text, SIZE)
        if x - wide / 2 > last_end + 4 and x + wide / 2 <= axis.right + 6:
            parts.append(d.words(x, top - 5, text, size=SIZE, css="soft", anchor="middle"))
            last_end = x + wide / 2
    return parts


def draw_day(
    axis: Axis, day: date, words: str, top: float, bottom: float, css: str = "axis-day"
) -> list[str]:
    """A day that counts as a line with its words at the foot; nothing where it is not on it."""
    if not axis.first <= day <= axis.last:
        return []
    x = axis.x(day.toordinal())
    half = measure(words, SIZE) / 2
    at = min(max(x, axis.left + half), axis.right - half)
    return [
        d.line(x, top, x, bottom, css),
        d.words(at, bottom + 14, words, size=SIZE, bold=True, anchor="middle"),
    ]
