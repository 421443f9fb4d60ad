"""Rows to a planning problem and back: the only bridge between the workshop and the planner.

The core counts whole minutes from 1970-01-01 00:00 UTC, so that an instant never changes its
number; zones and summer time are settled here and in the makers' hours.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import Sum

from builds.core.planning.problem import (
    ANYBODY,
    Begun,
    Equipment,
    Figure,
    Fixed,
    Helpers,
    Hold,
    Person,
    Problem,
    Step,
)
from builds.models import Casting, Mould, PlannedStep, Stage, StageAfter, WorkLog
from builds.models import Figure as FigureRow
from builds.models import Step as StepRow
from builds.models.routes import Mark, Scope, Second
from builds.queries.needed import NeededBy, needed_by_dates
from builds.queries.steps import live_steps, step_waits
from company import clock
from company.core.working_time import UNIX_EPOCH
from company.models import Craft, Maker
from company.queries import makers_of, working_time_of
from scenes.models import Show, Sketch

QUARTER_MIN = 15
LONGEST_PART_MIN = 300  # carving, jointing and sewing go in parts of at most five hours
HOURS_KNOWN_DAYS = 550  # hours are taken to go on as they are this long past today and opening
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class PartOf:
    """Which step row a planned piece belongs to: part `part` of `parts`."""

    step: StepRow
    part: int
    parts: int


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


def minute_of(instant: datetime) -> int:
    """Whole minutes from the epoch, rounded down."""
    return (instant - UNIX_EPOCH) // MINUTE


def instant_of(minute: int) -> datetime:
    """The instant, in UTC, of a minute from the epoch."""
    return UNIX_EPOCH + minute * MINUTE


def end_of_day(when: date, zone: ZoneInfo) -> int:
    """The minute at which a day of the company ends."""
    return minute_of(datetime.combine(when + timedelta(days=1), time(), zone))


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
        self.rows = list(live_steps(show).select_related(*_SUBJECTS))
        self.makers = {maker.pk: maker for maker in makers_of(show.company)}
        self.crafts = {craft.pk: craft for craft in Craft.objects.for_company(show.company)}
        self.spent = _spent_minutes(show)
        self.seconds = _last_seconds(show)
        self.sketched = set(
            Sketch.objects.filter(guise__character__show=show, is_chosen=True).values_list(
                "guise_id", flat=True
            )
        )
        self.moulds = {
            mould.pk: mould
            for mould in Mould.objects.filter(pattern__show=show).select_related("pattern")
        }
        self.after_trued = _stages_after_trued(show)
        self.pieces: dict[str, PartOf] = {}
        self.last_piece: dict[int, str] = {}
        self.cast_for = _figure_of_pour(show)

    def load(self) -> Loaded:
        figures = list(
            FigureRow.objects.filter(show=self.show, state=FigureRow.State.WANTED).select_related(
                "guise__character"
            )
        )
        tags = {figure.pk: figure.tag for figure in figures}
        needed = needed_by_dates(self.show, figures)
        waits = step_waits(self.show, self.rows)
        groups = [(row, self._pieces(row, tags)) for row in self.rows]
        for row, pieces in groups:
            self.last_piece[row.pk] = pieces[-1].id
        steps = [step for row, pieces in groups for step in self._linked(row, pieces, waits)]
        people = self._people()
        problem = Problem(
            steps=tuple(steps),
            people=people,
            equipment=self._equipment(),
            figures=tuple(self._figure(figure, needed) for figure in figures),
            now=self.now,
            horizon=end_of_day(self.last_day, self.zone),
            opening=end_of_day(self.show.opening, self.zone) if self.show.opening else None,
        )
        makers = {maker.name: maker for maker in self.makers.values()}
        return Loaded(problem, self.pieces, makers, figures, needed)

    # People and things

    def _people(self) -> tuple[Person, ...]:
        first = self.now_day() - timedelta(days=1)
        times = working_time_of(self.show.company, first, self.last_day)
        return tuple(
            Person(
                id=maker.name,
                work=times[maker.pk].work,
                crafts=frozenset(craft.name for craft in maker.crafts.all()),
                is_lead=maker.is_lead,
                craft_work={
                    self.crafts[craft].name: spans
                    for craft, spans in times[maker.pk].by_craft.items()
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
        for mould in self.moulds.values():
            found[_mould_name(mould)] = Equipment(_mould_name(mould))
        return tuple(found.values())

    def _figure(self, figure: FigureRow, needed: Mapping[int, NeededBy]) -> Figure:
        day = needed.get(figure.pk)
        by = end_of_day(day.day, self.zone) if day else None
        return Figure(figure.tag, by, figure.weight)

    # Steps

    def _pieces(self, row: StepRow, tags: Mapping[int, str]) -> list[Step]:
        """The core steps of a row, in order: one, or the parts of a long one."""
        common = self._common(row, tags)
        if self._stands(row):
            return [self._keep(row, 1, 1, fixed=self._fixed(row), minutes=row.work_min, **common)]
        if not row.work_min:
            # A choice rather than work: it is taken to be made by its day, or now.
            day = row.guise.chosen_by if row.guise else None
            by = end_of_day(day, self.zone) - 1440 if day else self.now
            return [
                self._keep(
                    row, 1, 1, minutes=0, unattended=True, not_before=max(by, self.now), **common
                )
            ]
        begun = self._begun(row)
        sizes = self._sizes(row)
        return [
            self._keep(
                row,
                part,
                len(sizes),
                minutes=minutes,
                begun=begun if part == 1 else None,
                part_of=str(row.pk) if len(sizes) > 1 else None,
                not_before=self._not_before(row),
                **self._who(row),
                **common,
            )
            for part, minutes in enumerate(sizes, start=1)
        ]

    def _keep(self, row: StepRow, part: int, parts: int, **columns: object) -> Step:
        ident = f"{row.pk}" if parts == 1 else f"{row.pk}.{part}"
        self.pieces[ident] = PartOf(row, part, parts)
        words = f"{row.stage.name} {row.subject_words}"
        if parts > 1:
            words += f", part {part} of {parts}"
        return Step(id=ident, words=words, **columns)  # type: ignore[arg-type]

    def _linked(
        self,
        row: StepRow,
        pieces: list[Step],
        waits: Mapping[int, tuple[tuple[int, int], ...]],
    ) -> Iterable[Step]:
        """The pieces with what each waits for: the first for other steps, the rest in turn."""

        first = tuple((self.last_piece[other], wait) for other, wait in waits.get(row.pk, ()))
        before = ""
        for piece in pieces:
            after = ((before, 0),) if before else first
            yield replace(piece, after=() if piece.fixed else after)
            before = piece.id

    def _common(self, row: StepRow, tags: Mapping[int, str]) -> dict[str, object]:
        stage = row.stage
        figure = row.figure_id or self.cast_for.get(row.pour_id or 0)
        holds: list[Hold] = []
        if stage.equipment is not None:
            holds.append(Hold(stage.equipment.name))
        if stage.holds_mould and row.pour is not None:
            mould = self.moulds[row.pour.mould_id]
            holds.append(Hold(_mould_name(mould), stage.wait_min, mould.rest_min))
        twin = f"{row.figure.guise_id}.{stage.key}" if row.figure else None
        return {
            "craft": stage.craft.name if stage.craft else None,
            "one_go": stage.in_one_go,
            "holds": tuple(holds),
            "figure": tags.get(figure) if figure else None,
            "for_needed_by": stage.pk not in self.after_trued,
            "twin_of": twin if stage.scope == Scope.FIGURE and not stage.lead_only else None,
            "gate": stage.gate,
        }

    def _stands(self, row: StepRow) -> bool:
        """Whether nothing of the row is left to plan."""
        if row.finished_at is not None:
            return True
        return row.stage.mark == Mark.CHOSEN and row.guise_id in self.sketched

    def _fixed(self, row: StepRow) -> Fixed:
        """A finished step where it was; one that waits for the lead's pass holds back to now."""
        finish = minute_of(row.finished_at) if row.finished_at else self.now
        start = minute_of(row.begun_at) if row.begun_at else finish
        if row.stage.gate and row.passed_at is None:
            finish = max(finish, self.now)
        return Fixed(None, min(start, finish), finish)

    def _begun(self, row: StepRow) -> Begun | None:
        if row.begun_at is None or row.begun_by_id not in self.makers:
            return None
        person = self.makers[row.begun_by_id].name
        start = min(minute_of(row.begun_at), self.now)
        return Begun(person, start, self._begun_second(row, person))

    def _begun_second(self, row: StepRow, person: str) -> str | None:
        who = self._who(row)
        helpers: Helpers = who["second"]  # type: ignore[assignment]
        if helpers is None:
            return None
        last = self.seconds.get(row.pk)
        able = [
            maker.name
            for maker in self.makers.values()
            if maker.name != person and (helpers == ANYBODY or maker.name in helpers)
        ]
        return last if last in able else next(iter(able), None)

    def _sizes(self, row: StepRow) -> list[int]:
        """Minutes of each part of what is left, on the quarter hour, none longer than allowed."""
        left = row.work_min
        if row.begun_at is not None:
            left = max(row.work_min - self.spent.get(row.pk, 0), QUARTER_MIN)
        limit = row.stage.each_min or (None if row.stage.in_one_go else LONGEST_PART_MIN)
        if limit is None or left <= limit:
            return [left]
        return split_evenly(left, math.ceil(left / limit))

    def _not_before(self, row: StepRow) -> int | None:
        if row.not_before is None:
            return None
        return minute_of(datetime.combine(row.not_before, time(), self.zone))

    def _who(self, row: StepRow) -> dict[str, object]:
        """Who may do the step, who stands beside, and whether somebody else must be in."""
        stage = row.stage
        able = [maker for maker in self.makers.values() if may_do(maker, stage)]
        if row.pinned_maker_id is not None:
            able = [maker for maker in able if maker.pk == row.pinned_maker_id]
        second: Helpers = None
        if stage.second == Second.ANYBODY:
            second = ANYBODY
        elif stage.second == Second.CRAFT:
            second = tuple(
                maker.name
                for maker in self.makers.values()
                if any(craft.pk == stage.second_craft_id for craft in maker.crafts.all())
            )
        elif stage.second == Second.LEAD:
            # One person is enough where the lead does it: the lead is then there already.
            helpers = [maker for maker in able if not maker.is_lead]
            if helpers:
                able = helpers
                second = tuple(m.name for m in self.makers.values() if m.is_lead)
        return {
            "who": tuple(maker.name for maker in able),
            "lead_only": stage.lead_only,
            "second": second,
            "company_needed": ANYBODY if stage.second == Second.SOMEONE_IN else None,
        }


_SUBJECTS = (
    "stage__craft",
    "stage__second_craft",
    "stage__equipment",
    "guise__character",
    "pattern",
    "pour__mould__pattern",
    "figure__guise__character",
    "costume",
)


def may_do(maker: Maker, stage: Stage) -> bool:
    """Whether a stage is open to a maker: craft, lead, training and marks."""
    if stage.lead_only and not maker.is_lead:
        return False
    if stage.craft_id is not None and all(
        craft.pk != stage.craft_id for craft in maker.crafts.all()
    ):
        return False
    closed = (
        (stage.needs_saw_training and not maker.is_saw_trained)
        or (stage.closed_to_latex_allergy and maker.has_latex_allergy)
        or (stage.closed_to_under_18 and maker.is_under_18)
    )
    return not closed


def split_evenly(minutes: int, parts: int) -> list[int]:
    """Minutes in so many parts on the quarter hour, the longer ones first.

    >>> split_evenly(1680, 6)
    [285, 285, 285, 285, 270, 270]
    """
    quarters, rest = divmod(minutes, QUARTER_MIN)
    base, more = divmod(quarters, parts)
    sizes = [(base + (part < more)) * QUARTER_MIN for part in range(parts)]
    sizes[-1] += rest
    return [size for size in sizes if size]


def _mould_name(mould: Mould) -> str:
    return f"the mould of {mould.pattern.name}" + (
        f", number {mould.number}" if mould.number > 1 else ""
    )


def _spent_minutes(show: Show) -> dict[int, int]:
    rows = WorkLog.objects.filter(step__show=show, struck_at=None)
    return dict(rows.values_list("step_id").annotate(total=Sum("minutes")))


def _last_seconds(show: Show) -> dict[int, str]:
    """Who was last planned to stand beside each step that is under way."""
    rows = PlannedStep.objects.filter(
        plan__show=show,
        second__isnull=False,
        step__begun_at__isnull=False,
        step__finished_at=None,
    )
    return dict(rows.order_by("plan__made_at").values_list("step_id", "second__name"))


def _figure_of_pour(show: Show) -> dict[int, int]:
    rows = Casting.objects.filter(pattern__show=show, figure__isnull=False)
    return dict(rows.values_list("pour_id", "figure_id"))


def _stages_after_trued(show: Show) -> set[int]:
    """Stages that may follow the first rehearsal: all that wait for a stage marked trued."""
    company = show.company
    follow: dict[int, list[int]] = defaultdict(list)
    for stage, after in StageAfter.objects.for_company(company).values_list("stage", "after"):
        follow[after].append(stage)
    trued = Stage.objects.for_company(company).filter(mark=Mark.TRUED, struck_at=None)
    found: set[int] = set()
    ahead = [later for stage in trued.values_list("pk", flat=True) for later in follow[stage]]
    while ahead:
        stage = ahead.pop()
        if stage not in found:
            found.add(stage)
            ahead += follow[stage]
    return found
