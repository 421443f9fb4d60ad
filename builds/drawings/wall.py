"""The wall plan: weeks down, days across, slips pinned on days, the red thread round its pins.

    hung = hang_plan(WallPlan(weeks=(WallWeek("10 May", days), ...)))
    {% include "parts/wall_plan.html" with hung=hung %}

The slips are plain page markup, so that they wrap, link and read like text; only the thread is
drawn. It runs along the upper edges of slips and in the gutters between days, never over words,
through the slips that set the date (`Slip.sets_date`: 1 for the first, 2 for the next, ...).
On a phone the same markup reads as a list of days.

All heights are in rem and fixed by static/company/css/wall.css: keep SLIP_REM, GAP_REM, HEAD_REM
and PIN_REM in step with it. Across, places are shares of the week's width.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from django.utils.safestring import SafeString

from company import drawing as d

SLIP_REM = 4.6
GAP_REM = 0.85
HEAD_REM = 2.15
PIN_REM = 0.0  # pins stand on a slip's upper edge
PASS_REM = 1.7  # where the thread passes over a day: under its date, above its slips


@dataclass(frozen=True)
class Slip:
    """What one person does on one day, as pinned on the wall.

    `sets_date` is the slip's place on the thread, or None where it can move without moving the
    day that all is ready. Other work (writing, touring) is shaded and has `work_min` None.
    """

    maker: str
    words: str
    work_min: int | None = None
    url: str = ""
    sets_date: int | None = None
    is_other_work: bool = False
    late: str = ""  # 'H1 late', of the figures whose date has passed by then
    second: str = ""
    is_done: bool = False
    full_words: str = ""  # for pointing at, where `words` is short


@dataclass(frozen=True)
class WallDay:
    """A day of the wall with its slips; `off` names a holiday."""

    day: date
    slips: tuple[Slip, ...] = ()
    is_today: bool = False
    off: str = ""
    mark: str = ""  # 'opening', 'first rehearsal'


@dataclass(frozen=True)
class WallWeek:
    """A week of the wall; every week of a plan has the same weekdays."""

    words: str
    days: tuple[WallDay, ...]


@dataclass(frozen=True)
class WallPlan:
    """The weeks in order."""

    weeks: tuple[WallWeek, ...]


@dataclass(frozen=True)
class HungWeek:
    """A week with the thread that runs through it, ready for the page."""

    words: str
    days: tuple[WallDay, ...]
    thread: SafeString | str


@dataclass(frozen=True)
class HungPlan:
    """The plan ready for parts/wall_plan.html."""

    weeks: tuple[HungWeek, ...]
    weekdays: tuple[date, ...]
    columns: int


@dataclass(frozen=True)
class Pin:
    """A pin on the thread: week, column, slot counted from 0, and its place on the thread."""

    week: int
    column: int
    slot: int
    order: int


@dataclass(frozen=True)
class Run:
    """A straight piece of thread: across in columns from the week's left edge, down in rem."""

    x1: float
    y1: float
    x2: float
    y2: float


def hang_plan(plan: WallPlan) -> HungPlan:
    """The plan with its thread drawn week by week."""
    columns = max((len(week.days) for week in plan.weeks), default=0)
    runs = run_thread(plan)
    weeks = tuple(
        HungWeek(week.words, week.days, _draw_runs(runs[at], columns) if runs[at] else "")
        for at, week in enumerate(plan.weeks)
    )
    weekdays = tuple(day.day for day in plan.weeks[0].days) if plan.weeks else ()
    return HungPlan(weeks, weekdays, columns)


def find_pins(plan: WallPlan) -> list[Pin]:
    """The pins of the thread in its order; slips of one place follow each other on the wall."""
    pins = [
        Pin(week_at, day_at, slot, slip.sets_date)
        for week_at, week in enumerate(plan.weeks)
        for day_at, day in enumerate(week.days)
        for slot, slip in enumerate(day.slips)
        if slip.sets_date is not None
    ]
    return sorted(pins, key=lambda pin: (pin.week, pin.column, pin.order, pin.slot))


def pin_height(slot: int) -> float:
    """How far down from the top of its week a slot's pin stands, in rem."""
    return HEAD_REM + slot * (SLIP_REM + GAP_REM) + PIN_REM


def run_thread(plan: WallPlan) -> list[list[Run]]:
    """The straight pieces of thread in each week, in order; together they pass every pin.

    From a pin the thread runs along its slip's upper edge to a gutter, down or up in it, and along
    to the next pin. Over days in between, whose slips it does not run through, it passes above
    them all. Two pins of a day go round by the gutter after it. From week to week it leaves at
    the right edge and comes back at the left.
    """
    runs: list[list[Run]] = [[] for _ in plan.weeks]
    columns = max((len(week.days) for week in plan.weeks), default=0)
    pins = find_pins(plan)
    for here, there in pairwise(pins):
        start = (here.column + 0.5, pin_height(here.slot))
        goal = (there.column + 0.5, pin_height(there.slot))
        if here.week == there.week:
            first = float(here.column + 1)
            last = float(there.column) if there.column > here.column else first
            runs[here.week] += _join(start, _way(first, last), goal)
            continue
        out = _way(float(here.column + 1), float(columns))
        edge = (float(columns), out[-1][1] if out else start[1])
        runs[here.week] += _join(start, out[:-1], edge)
        for week in range(here.week + 1, there.week):
            runs[week].append(Run(0, PASS_REM, columns, PASS_REM))
        back = _way(0.0, float(there.column))
        edge = (0.0, back[0][1] if back else goal[1])
        runs[there.week] += _join(edge, back[1:], goal)
    return runs


Point = tuple[float, float]


def _way(first: float, last: float) -> list[Point]:
    """Above the days between two gutters; nothing where it is one gutter."""
    return [(first, PASS_REM), (last, PASS_REM)] if last > first else []


def _join(start: Point, way: list[Point], goal: Point) -> list[Run]:
    """Straight pieces from one point to another, bending in gutters alone."""
    points = [start]
    for x, y in [*way, goal]:
        before_x, before_y = points[-1]
        if before_y != y:
            # Only where both stand in the middle of a day is the gutter not one of the two.
            gutter = x if x == int(x) else before_x
            if gutter != int(gutter):
                gutter = float(int(x)) if x > before_x else float(int(before_x) + 1)
            points += [(gutter, before_y), (gutter, y)]
        points.append((x, y))
    return [Run(*one, *other) for one, other in pairwise(points) if one != other]


def _draw_runs(runs: list[Run], columns: int) -> SafeString:
    """The thread of one week as an ornament: what it says, the slips say in words."""
    lines = [
        d.tag(
            "line",
            x1=_share(run.x1, columns),
            y1=_rem(run.y1),
            x2=_share(run.x2, columns),
            y2=_rem(run.y2),
        )
        for run in runs
    ]
    return d.tag("svg", *lines, css="wall-thread", aria_hidden="true", focusable="false")


def _share(column: float, columns: int) -> str:
    return f"{100 * column / columns:.4g}%"


def _rem(height: float) -> str:
    return f"{height:.4g}rem"
