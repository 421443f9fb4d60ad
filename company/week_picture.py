"""The picture of a week: who is in on which day from when to when, drawn to one scale of hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from company.core.units import format_clock
from company.core.working_time import total_min
from company.models import Maker
from company.queries import DayOfMaker, WeekOfMaker

SCALE = 1000  # units across one day of the picture
LEAST_SPAN_MIN = 6 * 60


@dataclass(frozen=True)
class Bar:
    """A stretch in the picture, in units from the left; `is_taken` where other work has it."""

    x: int
    width: int
    is_taken: bool = False


@dataclass(frozen=True)
class DayCell:
    """One day of one maker in the picture."""

    day: DayOfMaker
    bars: tuple[Bar, ...]
    times: str

    @property
    def is_away(self) -> bool:
        """Whether they would usually come and do not."""
        return bool(self.day.usual) and not self.day.spans


@dataclass(frozen=True)
class WeekRow:
    """One maker in the picture."""

    maker: Maker
    cells: tuple[DayCell, ...]
    minutes: int


@dataclass(frozen=True)
class WeekPicture:
    """The week of a company."""

    first: date
    days: tuple[date, ...]
    rows: tuple[WeekRow, ...]
    from_min: int
    to_min: int
    today: date

    @property
    def last(self) -> date:
        """Its last day."""
        return self.days[-1]

    @property
    def minutes(self) -> int:
        """Minutes at the bench of everybody together."""
        return sum(row.minutes for row in self.rows)

    @property
    def from_clock(self) -> str:
        """The left edge of each day."""
        return format_clock(self.from_min)

    @property
    def to_clock(self) -> str:
        """The right edge of each day."""
        return format_clock(self.to_min)


def draw_week(weeks: Sequence[WeekOfMaker], first: date, today: date) -> WeekPicture:
    """The picture of the same week of several makers, on whole hours that hold all of them."""
    edges = [edge for w in weeks for day in w.days for span in day.usual for edge in span]
    low = min(edges, default=9 * 60) // 60 * 60
    high = max(-(-max(edges, default=17 * 60) // 60) * 60, low + LEAST_SPAN_MIN)
    high = min(high, 24 * 60)
    days = weeks[0].days if weeks else ()
    return WeekPicture(
        first=first,
        days=tuple(day.day for day in days),
        rows=tuple(
            WeekRow(w.maker, tuple(_cell(day, low, high) for day in w.days), w.minutes)
            for w in weeks
        ),
        from_min=low,
        to_min=high,
        today=today,
    )


def say_times(spans: Sequence[tuple[int, int]]) -> str:
    """'10:00–13:00, 14:00–17:30'"""
    return ", ".join(f"{format_clock(a)}–{format_clock(b)}" for a, b in spans)


def _cell(day: DayOfMaker, low: int, high: int) -> DayCell:
    def place(a: int, b: int, is_taken: bool) -> Bar:
        x = (a - low) * SCALE // (high - low)
        return Bar(x, (b - low) * SCALE // (high - low) - x, is_taken)

    bars = [place(a, b, True) for a, b in day.usual if total_min(day.spans) < total_min(day.usual)]
    bars += [place(a, b, False) for a, b in day.spans]
    return DayCell(day, tuple(bars), say_times(day.spans))
