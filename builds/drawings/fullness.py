"""How full people and crafts are, week by week: a bar in each week's box, dark where it is full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.safestring import SafeString

from builds.drawings.axis import Axis, draw_day, draw_days
from company import drawing as d

NAMES = 150.0
ROW = 46.0
TOP = 26.0
BAR = 34.0
APART = 26.0  # between people and crafts


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """A week: minutes planned, and minutes there are for it."""

    first: date
    planned_min: int
    room_min: int

    @property
    def share(self) -> float:
        """Part of the room that is taken, at most 1; 0 where there is none."""
        return min(1.0, self.planned_min / self.room_min) if self.room_min else 0.0

    @property
    def percent(self) -> int:
        """The share in hundredths, rounded down so that 100 means full."""
        return int(100 * self.share)

    @property
    def is_full(self) -> bool:
        """Less than a twentieth of the room is free."""
        return self.room_min > 0 and self.planned_min * 20 >= self.room_min * 19


@dataclass(frozen=True, slots=True)
class Load:
    """A person or a craft over the weeks."""

    name: str
    is_craft: bool
    weeks: tuple[WeekLoad, ...]


def draw_fullness(
    loads: Sequence[Load],
    *,
    ident: str,
    title: str,
    desc: str,
    opening: date | None = None,
    width: float = 1180,
    printed: bool = False,
) -> SafeString:
    """A row for each, a box for each week; the box's height is the week's room."""
    weeks = loads[0].weeks
    axis = Axis(weeks[0].first, weeks[-1].first + timedelta(days=6), NAMES, width - 8)
    apart = next((at for at, load in enumerate(loads) if load.is_craft), len(loads))
    bottom = TOP + ROW * len(loads) + (APART if 0 < apart < len(loads) else 0)
    parts = draw_days(axis, TOP, bottom)
    for number, load in enumerate(loads):
        foot = TOP + ROW * (number + 1) + (APART if number >= apart > 0 else 0)
        if number == apart > 0:
            parts.append(d.words(4, foot - ROW - 4, "crafts", size=13, css="soft"))
            parts.append(d.line(0, foot - ROW, width, foot - ROW, "axis-line"))
        parts.append(d.clipped_words(4, foot - 16, load.name, NAMES - 10, 15, bold=True))
        parts.append(d.line(0, foot, width, foot, "axis-line"))
        most = max((week.room_min for week in load.weeks), default=0)
        parts += [
            _draw_week(week, axis, foot, most) if week.room_min else _say_away(week, axis, foot)
            for week in load.weeks
            if week.room_min or not load.is_craft
        ]
    if opening:
        parts += draw_day(axis, opening, "opening", TOP, bottom)
    return d.picture(
        width, bottom + 22, *parts, ident=ident, title=title, desc=desc, css="drawing-fullness",
        printed=printed,
    )  # fmt: skip


def _say_away(week: WeekLoad, axis: Axis, foot: float) -> SafeString:
    middle = (axis.x(week.first.toordinal()) + axis.x(week.first.toordinal() + 7)) / 2
    return d.words(middle, foot - 6, "away", size=12, css="soft", anchor="middle")


def _draw_week(week: WeekLoad, axis: Axis, foot: float, most: int) -> SafeString:
    a, b = axis.x(week.first.toordinal()), axis.x(week.first.toordinal() + 7)
    room = BAR * week.room_min / most
    taken = room * week.share
    css = "load-full" if week.is_full else "load-part"
    return d.group(
        d.rect(a + 2, foot - room, b - a - 4, room, "load-room"),
        d.rect(a + 2, foot - taken, b - a - 4, taken, css) if taken else "",
        title=f"Week of {week.first.day} {week.first:%b}: {week.percent} of 100 taken",
    )
