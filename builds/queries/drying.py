"""What dries, cures and is held over the weeks: moulds, the frame, everything that waits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.urls import reverse

from builds.drawings.spans import Span, SpanRow
from builds.models import Mould, Plan, PlannedStep, Step
from builds.queries.materials import Materials
from builds.queries.mould_times import first_use_wait, mould_hold_min, mould_rest_min
from builds.queries.pieces import planned_rows
from builds.queries.sheets.planned_cards import moulding_stages
from builds.queries.steps import live_steps
from company import clock
from scenes.models import Show

LONGEST = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Drying:
    """The rows of the picture, moulds first, then equipment, then what dries or cures."""

    rows: tuple[SpanRow, ...]

    @property
    def count(self) -> int:
        """Spans in all."""
        return sum(len(row.spans) for row in self.rows)


@dataclass(frozen=True, slots=True)
class _Stay:
    """When a step is worked on, and until when its wait lasts."""

    step: Step
    start: datetime
    finish: datetime
    wait_min: int

    @property
    def until(self) -> datetime:
        """A pour is held until its mould is empty, a mould dries; all else as its stage says."""
        return self.finish + timedelta(minutes=self.wait_min)


def read_drying(show: Show, plan: Plan, first: datetime, last: datetime) -> Drying:
    """Whatever is held or dries between two instants, in a flat number of queries."""
    moulds: dict[str, list[Span]] = defaultdict(list)
    gear: dict[str, list[Span]] = defaultdict(list)
    dries: dict[str, list[Span]] = defaultdict(list)
    known = Materials(show.company)
    for stay in sorted(_stays(show, plan, known), key=lambda stay: stay.start):
        stage, step = stay.step.stage, stay.step
        url = reverse("builds:step_detail", args=[step.pk])
        words = f"{stage.name} {step.subject_words}"
        label = f"pour {step.pour.number}" if step.pour is not None else stage.name
        # What is worked on and then dries is named once, where it dries.
        tag = label if stay.until <= stay.finish else " "
        held = Span(stay.start, stay.finish, "held", words, url, tag)
        waits = Span(stay.finish, stay.until, "dries", f"{words}, drying or curing", url, label)
        if stage.holds_mould and step.pour is not None:
            row = moulds[_mould_words(step)]
            row += [held, waits] if stay.until > stay.finish else [held]
            rest_min = mould_rest_min(step.pour.mould, known)
            if rest_min:
                until = stay.until + timedelta(minutes=rest_min)
                row.append(Span(stay.until, until, "rests", f"{_mould_words(step)} rests", url))
        elif stay.wait_min:
            dries[step.subject_words].append(waits)
        if stage.equipment is not None:
            gear[stage.equipment.name].append(replace(held, label=words))
    rows = [
        SpanRow(name, tuple(span for span in spans if span.finish > first and span.start < last))
        for part in (moulds, gear, dict(sorted(dries.items())))
        for name, spans in part.items()
    ]
    return Drying(tuple(row for row in rows if row.spans))


def _mould_words(step: Step) -> str:
    mould = step.pour.mould  # type: ignore[union-attr]
    number = f", number {mould.number}" if mould.number > 1 else ""
    return f"mould of {mould.pattern.name}{number}"


def _stays(show: Show, plan: Plan, known: Materials) -> list[_Stay]:
    """What the plan still has to do, whole steps, and what is done and may be drying yet."""
    by_step: dict[int, list[PlannedStep]] = defaultdict(list)
    for row in planned_rows(plan):
        by_step[row.step_id].append(row)
    spans = [
        (parts[0].step, min(row.start for row in parts), max(row.finish for row in parts))
        for parts in by_step.values()
    ]
    done = live_steps(show).filter(
        finished_at__gt=clock.now() - LONGEST, begun_at__isnull=False, stage__wait_min__gt=0
    )
    spans += [
        (step, step.begun_at, step.finished_at)  # type: ignore[misc]
        for step in done.select_related("stage__equipment")
    ]
    made_by = _Making(show)
    return [_Stay(*span, _wait_min(span[0], made_by, known)) for span in spans]


class _Making:
    """Which mould a step makes; two queries."""

    def __init__(self, show: Show) -> None:
        self.stages = moulding_stages(show)
        moulds = Mould.objects.filter(pattern__show=show).order_by("-number")
        self.first = {mould.pattern_id: mould for mould in moulds}

    def mould(self, step: Step) -> Mould | None:
        """The mould of a further one's step, else the first of the pattern that it is made for."""
        if step.mould is not None or step.stage_id not in self.stages:
            return step.mould
        return self.first.get(step.pattern_id or 0)


def _wait_min(step: Step, made_by: _Making, known: Materials) -> int:
    if step.pour is not None:
        return mould_hold_min(step, known)
    mould = made_by.mould(step)
    usual_min: int = step.stage.wait_min
    if mould is None or not usual_min:
        return usual_min
    return first_use_wait(mould, step, usual_min, known)
