"""What is supposed, as plain values with a short code: each changes a copy of a loaded problem.

Nothing of it is written to the workshop. A code stands in an address (`off:3:2027-05-10`), so that
a supposed plan can be looked at again; `read_suppose` gives None for one that means nothing here.
"""

from __future__ import annotations

import math
from calendar import day_name
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from builds.core.planning import supposing as core
from builds.core.planning.problem import Intervals, Person, Problem, Step
from builds.loading.instants import end_of_day, instant_of, minute_of
from builds.loading.problem import Loaded
from builds.loading.steps import is_closed, may_do, split_evenly
from builds.models import Figure, Mould
from builds.models import Step as StepRow
from builds.queries.needed import needed_by_dates
from company.core.stretches import Span, format_stretches
from company.core.working_time import (
    Block,
    Calendar,
    Clock,
    Stretch,
    WeekPattern,
    capped_working_time,
    working_time,
)
from company.models import Craft, Maker
from company.queries import Diary, holidays_of, makers_of
from company.templatetags.words import and_list, full_day
from company.templatetags.words import day as day_words
from scenes.models import Costume, Show

Week = tuple[tuple[int, ...], tuple[Span, ...]]  # weekdays (0 is Monday) and their stretches


def say_week(week: Week) -> str:
    """'Tuesday and Thursday, 10-13, 13:30-17'."""
    days, spans = week
    return f"{and_list(day_name[day] for day in days)}, {format_stretches(spans)}"


@dataclass(frozen=True)
class Suppose:
    """One thing that is otherwise. `code` stands in addresses, `words` on the page."""

    code: str
    words: str

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        """The problem with this changed."""
        raise NotImplementedError


@dataclass(frozen=True)
class MoreHelp(Suppose):
    """One helper more, with these crafts, from a day on."""

    show: Show
    crafts: tuple[Craft, ...]
    week: Week
    first: date

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        taken = {person.id for person in problem.people}
        names = ("one helper more", *(f"helper {n} more" for n in range(2, 20)))
        name = next(name for name in names if name not in taken)
        away = tuple(Block(row.first, row.last) for row in holidays_of(self.show.company))
        calendar = Calendar((pattern_of(None, self.week),), away, here_from=self.first)
        hours = _Hours(self.show, problem)
        person = Person(
            name,
            hours.work(calendar),
            frozenset(craft.name for craft in self.crafts),
            craft_work=hours.capped(calendar, self.crafts),
        )
        closed = {
            ident
            for ident, piece in loaded.pieces.items()
            if piece.step.pinned_maker_id is not None or piece.step.stage.needs_saw_training
        }
        return core.add_person(problem, person, closed)


@dataclass(frozen=True)
class FewerHelp(Suppose):
    """Somebody is there no more from a day on."""

    zone: ZoneInfo
    maker: Maker
    first: date

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        before = end_of_day(self.first - timedelta(days=1), self.zone)
        return core.hand_on(core.end_work(problem, self.maker.name, before), self.maker.name)

    def handed_on(self, loaded: Loaded) -> list[StepRow]:
        """What they have under way that others would have to take up."""
        left = {step.id for step in self.change(loaded, loaded.problem).steps if step.begun}
        return [
            loaded.pieces[step.id].step
            for step in loaded.problem.steps
            if step.begun is not None and step.id not in left
        ]


@dataclass(frozen=True)
class OtherHours(Suppose):
    """Somebody comes on other days or at other times, from a day on."""

    show: Show
    maker: Maker
    week: Week
    first: date

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        diary = Diary(self.show.company, makers_of(self.show.company))
        stands = diary.calendar(self.maker)
        patterns = tuple(
            one for one in stands.patterns if one.from_date is None or one.from_date < self.first
        )
        calendar = replace(stands, patterns=(*patterns, pattern_of(self.first, self.week)))
        hours = _Hours(self.show, problem)
        crafts = tuple(self.maker.crafts.all())
        return core.set_work(
            problem, self.maker.name, hours.work(calendar), hours.capped(calendar, crafts)
        )


@dataclass(frozen=True)
class DaysAway(Suppose):
    """Days off, of one or of everybody."""

    zone: ZoneInfo
    maker: Maker | None
    first: date
    last: date

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        start = end_of_day(self.first - timedelta(days=1), self.zone)
        who = {self.maker.name} if self.maker else {person.id for person in problem.people}
        return core.take_time(problem, who, start, end_of_day(self.last, self.zone))


@dataclass(frozen=True)
class Cut(Suppose):
    """A figure less, or a costume of it less."""

    figure: Figure
    costume: Costume | None

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        gone = {
            ident
            for ident, piece in loaded.pieces.items()
            if piece.step.figure_id == self.figure.pk
            and (self.costume is None or piece.step.costume_id == self.costume.pk)
        }
        if self.costume is None:
            gone |= {step.id for step in problem.steps if step.figure == self.figure.tag}
        return core.drop_steps(problem, gone)


@dataclass(frozen=True)
class OpeningMoved(Suppose):
    """Another opening; rehearsals stay on their days, what waits for opening goes with it."""

    show: Show
    opening: date

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        zone = ZoneInfo(self.show.company.time_zone)
        moved = Show.objects.get(pk=self.show.pk)
        moved.opening = self.opening
        wanted = needed_by_dates(moved, loaded.figures)
        by = {
            figure.tag: end_of_day(wanted[figure.pk].day, zone) if figure.pk in wanted else None
            for figure in loaded.figures
        }
        return core.set_dates(problem, end_of_day(self.opening, zone), by)


@dataclass(frozen=True)
class OtherCraft(Suppose):
    """A stage given to another craft, of every route that has a stage of that key."""

    key: str
    craft: Craft

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        stages = {p.step.stage_id: p.step.stage for p in loaded.pieces.values()}
        for stage in stages.values():
            if stage.key != self.key:
                continue
            able = tuple(
                maker.name
                for maker in loaded.makers.values()
                if any(craft.pk == self.craft.pk for craft in maker.crafts.all())
                and not is_closed(maker, stage)
            )
            ids = {
                ident
                for ident, piece in loaded.pieces.items()
                if piece.step.stage_id == stage.pk and piece.step.pinned_maker_id is None
            }
            problem = core.give_craft(problem, ids, self.craft.name, able)
        return problem


@dataclass(frozen=True)
class MoreGear(Suppose):
    """One more of a piece of equipment."""

    equipment: str

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        return core.add_capacity(problem, self.equipment)


@dataclass(frozen=True)
class SecondMould(Suppose):
    """A second mould beside one there is: made first, then poured in turn with it."""

    mould: Mould
    name: str  # as the problem calls it

    def change(self, loaded: Loaded, problem: Problem) -> Problem:
        by_id = {step.id: step for step in problem.steps}
        waits: dict[str, int] = {}
        for step in problem.steps:
            if any(hold.equipment == self.name for hold in step.holds):
                for before, wait_min in step.after:
                    row = loaded.pieces[before].step if before in loaded.pieces else None
                    if row is not None and (row.pattern_id or row.mould_id):
                        waits[before] = max(wait_min, waits.get(before, 0))
        making = [copy for ident in waits for copy in _once_more(loaded, by_id[ident])]
        dries = {f"{ident}'": wait_min for ident, wait_min in waits.items()}
        return core.add_mould(problem, self.name, f"{self.name}, second", tuple(making), dries)


def _once_more(loaded: Loaded, step: Step) -> list[Step]:
    """The work of a step over again, in as many goes as its stage is done in; the last go is
    called as the step is, with a sign behind."""
    row = loaded.pieces[step.id].step
    able = tuple(maker.name for maker in loaded.makers.values() if may_do(maker, row.stage))
    each_min = row.stage.each_min or row.work_min
    sizes = split_evenly(row.work_min, math.ceil(row.work_min / each_min)) if row.work_min else []
    after = () if step.fixed or step.begun else step.after
    copies: list[Step] = []
    for number, minutes in enumerate(sizes, start=1):
        ident = f"{step.id}'" if number == len(sizes) else f"{step.id}'.{number}"
        copies.append(
            replace(
                step,
                id=ident,
                minutes=minutes,
                who=step.who or able,
                fixed=None,
                begun=None,
                part_of=f"{step.id}'" if len(sizes) > 1 else None,
                after=((copies[-1].id, 0),) if copies else after,
                words=f"{step.name}, for the second mould",
            )
        )
    return copies


class _Hours:
    """Weekly hours as minutes, over the days that a problem knows."""

    def __init__(self, show: Show, problem: Problem) -> None:
        zone = ZoneInfo(show.company.time_zone)
        self.first = instant_of(problem.now).astimezone(zone).date() - timedelta(days=1)
        self.last = instant_of(problem.horizon).astimezone(zone).date() - timedelta(days=1)
        self.wall = Clock(zone, self.first, self.last)

    def work(self, calendar: Calendar) -> Intervals:
        return working_time(calendar, self.wall, self.first, self.last)

    def capped(self, calendar: Calendar, crafts: tuple[Craft, ...]) -> dict[str, Intervals]:
        """Hours for those of the crafts that have a daily cap."""
        return {
            craft.name: capped_working_time(
                calendar, self.wall, self.first, self.last, craft.daily_cap_min
            )
            for craft in crafts
            if craft.daily_cap_min is not None and craft.struck_at is None
        }


def pattern_of(first: date | None, week: Week) -> WeekPattern:
    """The weekly hours as the calendar takes them."""
    days, spans = week
    return WeekPattern(first, tuple(Stretch(day, a, b) for day in days for a, b in spans))


def change_all(loaded: Loaded, supposes: tuple[Suppose, ...]) -> Problem:
    """The loaded problem with all that is supposed, one after the other."""
    problem = loaded.problem
    for one in supposes:
        problem = one.change(loaded, problem)
    return problem


def midnight(day: date, zone: ZoneInfo) -> int:
    """The minute at which a day of the company begins."""
    return minute_of(datetime.combine(day, time(), zone))


def say_more(crafts: tuple[Craft, ...], week: Week, first: date) -> str:
    """What one helper more is called on the page."""
    return (
        f"one helper more who can {and_list(craft.name for craft in crafts)}: {say_week(week)}, "
        f"from {full_day(first)}"
    )


def say_away(maker: Maker | None, first: date, last: date) -> str:
    """What days off are called on the page."""
    who = str(maker) if maker else "everybody"
    days = day_words(first) if first == last else f"{day_words(first)} to {day_words(last)}"
    return f"{who} away on {days}" if first == last else f"{who} away from {days}"
