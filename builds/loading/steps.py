"""Step rows as the core's steps: their parts, who may do them, what they hold and wait for."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

from builds.core.casting.values import Mark as Care
from builds.core.planning.problem import ANYBODY, Begun, Fixed, Helpers, Hold, Step
from builds.loading.instants import QUARTER_MIN, end_of_day, minute_of
from builds.loading.reads import (
    figure_of_pour,
    last_seconds,
    spent_minutes,
    stages_after_trued,
)
from builds.models import Mould, Stage
from builds.models import Step as StepRow
from builds.models.routes import Mark, Scope, Second
from builds.queries.hindrances import chosen_guises
from builds.queries.materials import Materials
from builds.queries.mould_times import closed_marks, mould_hold_min, mould_rest_min
from company.models import Maker
from scenes.models import Show

LONGEST_PART_MIN = 300  # carving, jointing and sewing go in parts of at most five hours
DAY_MIN = 24 * 60
SUBJECTS = (
    "stage__craft",
    "stage__second_craft",
    "stage__equipment",
    "guise__character",
    "pattern",
    "mould__pattern",
    "pour__mould__pattern",
    "figure__guise__character",
    "costume",
)


@dataclass(frozen=True, slots=True)
class PartOf:
    """Which step row a planned piece belongs to: part `part` of `parts`."""

    step: StepRow
    part: int
    parts: int


class StepLoader:
    """The steps of one show, turned one by one; `pieces` says which row is behind each id."""

    def __init__(self, show: Show, makers: Mapping[int, Maker], now: int) -> None:
        self.zone = ZoneInfo(show.company.time_zone)
        self.now = now
        self.makers = makers
        self.materials = Materials(show.company)
        self.spent = spent_minutes(show)
        self.seconds = last_seconds(show)
        self.sketched = chosen_guises(show)
        rows = Mould.objects.filter(pattern__show=show).select_related("pattern")
        self.moulds = {mould.pk: mould for mould in rows}
        self.after_trued = stages_after_trued(show)
        self.cast_for = figure_of_pour(show)
        self.pieces: dict[str, PartOf] = {}

    def load(
        self,
        rows: list[StepRow],
        tags: Mapping[int, str],
        waits: Mapping[int, tuple[tuple[int, int], ...]],
    ) -> tuple[Step, ...]:
        """The core's steps, `tags` being the figures' names and `waits` what each row waits for."""
        groups = [(row, self._pieces(row, tags)) for row in rows]
        last = {row.pk: pieces[-1].id for row, pieces in groups}
        return tuple(step for row, pieces in groups for step in _link(row, pieces, waits, last))

    def _pieces(self, row: StepRow, tags: Mapping[int, str]) -> list[Step]:
        """The core steps of a row, in order: one, or the parts of a long one."""
        common = self._common(row, tags)
        if self._stands(row):
            return [self._keep(row, 1, 1, fixed=self._fixed(row), minutes=row.work_min, **common)]
        if not row.work_min:
            # A choice rather than work: it is taken to be made by its day, or now.
            day = row.guise.chosen_by if row.guise else None
            by = end_of_day(day, self.zone) - DAY_MIN if day else self.now
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

    def _common(self, row: StepRow, tags: Mapping[int, str]) -> dict[str, object]:
        stage = row.stage
        figure = row.figure_id or self.cast_for.get(row.pour_id or 0)
        holds: list[Hold] = []
        if stage.equipment is not None:
            holds.append(Hold(stage.equipment.name))
        if stage.holds_mould and row.pour is not None:
            mould = self.moulds[row.pour.mould_id]
            stays = mould_hold_min(row, self.materials), mould_rest_min(mould, self.materials)
            holds.append(Hold(mould_name(mould), *stays))
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
        """By whom it goes on; None where anybody may take it up, as what was begun is handed on."""
        if row.begun_at is None or row.begun_by_id not in self.makers or row.is_handed_on:
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
        closed = closed_marks(row, self.materials)
        able = [maker for maker in self.makers.values() if may_do(maker, stage, closed)]
        if row.pinned_maker_id is not None:
            able = [maker for maker in able if maker.pk == row.pinned_maker_id]
        second: Helpers = None
        if stage.second == Second.ANYBODY:
            makers = self.makers.values()
            shut = any(is_closed(maker, stage, closed) for maker in makers)
            second = _second_of(makers, stage, closed) if shut else ANYBODY
        elif stage.second == Second.CRAFT:
            second = tuple(
                maker.name
                for maker in self.makers.values()
                if any(craft.pk == stage.second_craft_id for craft in maker.crafts.all())
                and not is_closed(maker, stage, closed)
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


def _second_of(makers: Iterable[Maker], stage: Stage, closed: Container[Care]) -> Helpers:
    """Whoever the step is not closed to may stand beside."""
    beside = [maker for maker in makers if not is_closed(maker, stage, closed)]
    return tuple(maker.name for maker in beside)


def _link(
    row: StepRow,
    pieces: list[Step],
    waits: Mapping[int, tuple[tuple[int, int], ...]],
    last: Mapping[int, str],
) -> Iterable[Step]:
    """The pieces with what each waits for: the first for other steps, the rest in turn."""
    first = tuple((last[other], wait) for other, wait in waits.get(row.pk, ()))
    before = ""
    for piece in pieces:
        after = ((before, 0),) if before else first
        yield replace(piece, after=() if piece.fixed else after)
        before = piece.id


def may_do(maker: Maker, stage: Stage, closed_by: Container[Care] = ()) -> bool:
    """Whether a stage is open to a maker: craft, lead, training and marks.

    `closed_by` are the marks that the step's material closes it to, beside the stage's own.
    """
    if stage.lead_only and not maker.is_lead:
        return False
    if stage.craft_id is not None and all(
        craft.pk != stage.craft_id for craft in maker.crafts.all()
    ):
        return False
    return not is_closed(maker, stage, closed_by)


def is_closed(maker: Maker, stage: Stage, closed_by: Container[Care] = ()) -> bool:
    """Whether training, allergy or age close a stage to a maker, whatever their craft."""
    return (
        (stage.needs_saw_training and not maker.is_saw_trained)
        or (
            maker.has_latex_allergy
            and (stage.closed_to_latex_allergy or Care.LATEX_ALLERGY in closed_by)
        )
        or (maker.is_under_18 and (stage.closed_to_under_18 or Care.UNDER_18 in closed_by))
    )


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


def mould_name(mould: Mould) -> str:
    """What a mould is called in a sentence."""
    return f"the mould of {mould.pattern.name}" + (
        f", number {mould.number}" if mould.number > 1 else ""
    )
