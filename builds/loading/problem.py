"""A show as a planning problem, with the rows behind its ids."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from builds.core.planning.problem import Equipment, Figure, Person, Problem, Step
from builds.loading.instants import QUARTER_MIN, end_of_day, instant_of, minute_of
from builds.loading.steps import SUBJECTS, PartOf, StepLoader, mould_name
from builds.models import Figure as FigureRow
from builds.queries.needed import NeededBy, needed_by_dates
from builds.queries.steps import live_steps, step_waits
from company import clock
from company.models import Craft, Maker
from company.queries import makers_of, working_time_of
from scenes.models import Show

HOURS_KNOWN_DAYS = 550  # hours are taken to go on as they are this long past today and opening


@dataclass
class Loaded:
    """A problem with the rows behind its ids."""

    problem: Problem
    pieces: dict[str, PartOf] = field(default_factory=dict)
    makers: dict[str, Maker] = field(default_factory=dict)
    figures: list[FigureRow] = field(default_factory=list)
    needed: dict[int, NeededBy] = field(default_factory=dict)

    @cached_property
    def _steps(self) -> dict[str, Step]:
        return {step.id: step for step in self.problem.steps}

    def step(self, ident: str) -> Step:
        """The core step of an id."""
        return self._steps[ident]


def load_problem(show: Show) -> Loaded:
    """The show's steps, people and equipment as a planning problem, as they stand now.

    A flat number of queries. The problem may be one that cannot be planned: it then says why.
    """
    return _Loading(show).load()


class _Loading:
    """One reading of a show."""

    def __init__(self, show: Show) -> None:
        self.show = show
        self.zone = ZoneInfo(show.company.time_zone)
        self.now = math.ceil(minute_of(clock.now()) / QUARTER_MIN) * QUARTER_MIN
        today = clock.today(show.company)
        self.last_day = max(today, show.opening or today) + timedelta(days=HOURS_KNOWN_DAYS)
        self.rows = list(live_steps(show).select_related(*SUBJECTS))
        self.makers = {maker.pk: maker for maker in makers_of(show.company)}
        self.steps = StepLoader(show, self.makers, self.now)

    def load(self) -> Loaded:
        wanted = FigureRow.objects.filter(show=self.show, state=FigureRow.State.WANTED)
        figures = list(wanted.select_related("guise__character"))
        needed = needed_by_dates(self.show, figures)
        tags = {figure.pk: figure.tag for figure in figures}
        opening = self.show.opening
        problem = Problem(
            steps=self.steps.load(self.rows, tags, step_waits(self.show, self.rows)),
            people=self._people(),
            equipment=self._equipment(),
            figures=tuple(self._figure(figure, needed) for figure in figures),
            now=self.now,
            horizon=end_of_day(self.last_day, self.zone),
            opening=end_of_day(opening, self.zone) if opening else None,
        )
        makers = {maker.name: maker for maker in self.makers.values()}
        return Loaded(problem, self.steps.pieces, makers, figures, needed)

    def _people(self) -> tuple[Person, ...]:
        named = Craft.objects.for_company(self.show.company).values_list("pk", "name")
        crafts = dict(named)
        first = self.now_day() - timedelta(days=1)
        times = working_time_of(self.show.company, first, self.last_day)
        return tuple(
            Person(
                id=maker.name,
                work=times[maker.pk].work,
                crafts=frozenset(craft.name for craft in maker.crafts.all()),
                is_lead=maker.is_lead,
                craft_work={
                    crafts[craft]: spans for craft, spans in times[maker.pk].by_craft.items()
                },
            )
            for maker in self.makers.values()
        )

    def now_day(self) -> date:
        """Today where the company works."""
        return instant_of(self.now).astimezone(self.zone).date()

    def _equipment(self) -> tuple[Equipment, ...]:
        found: dict[str, Equipment] = {}
        for row in self.rows:
            gear = row.stage.equipment
            if gear is not None:
                found[gear.name] = Equipment(gear.name, gear.capacity)
        for mould in self.steps.moulds.values():
            found[mould_name(mould)] = Equipment(mould_name(mould))
        return tuple(found.values())

    def _figure(self, figure: FigureRow, needed: Mapping[int, NeededBy]) -> Figure:
        day = needed.get(figure.pk)
        by = end_of_day(day.day, self.zone) if day else None
        return Figure(figure.tag, by, figure.weight)
