"""Finding the count with the people there are, and keeping it: it may take seconds."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from company import clock
from scenes.core.hands import Crew
from scenes.core.joint import BuildHours, JointCount, check_joint, count_with_people
from scenes.models import Count, PeopleCount, Show
from scenes.queries.asked import build_hours
from scenes.queries.counts import CountedPlot, count_show
from scenes.queries.crew import crew_of
from scenes.queries.people_counts import as_found, as_joint, question_of, read_kept

KEPT_PER_DRAFT = 8
# Deterministic solver time: a page waits two or three seconds at most, somebody who asks for more
# waits longer. Shows of the usual size are proved in a small part of the first.
PAGE_WORK, LONGER_WORK = 0.2, 4.0


class PeopleCountWrong(Exception):
    """The checker refused a count with people: a fault of the program, never of the plot."""


@dataclass(frozen=True)
class WithPeople:
    """The count with people beside the count by the clock alone; hours of both in minutes."""

    crew: Crew
    counted: CountedPlot
    joint: JointCount
    clock_min: int


def count_people(show: Show, *, work: float = PAGE_WORK) -> WithPeople | None:
    """The count with the people there are; None where nobody has said who performs.

    What was found before for an equal question is taken, unless it is not proved and was looked
    for less long than `work`. Finding it anew is done outside of any
    transaction, so that no edit waits for it; nothing is kept that the checker refuses.
    """
    counted = count_show(show)
    crew = crew_of(counted.rows)
    if crew is None or counted.rows.draft is None or not counted.plot.appearances:
        return None
    figures: Mapping[int, int] = {g.guise: g.figures for g in counted.count.guises}  # type: ignore[misc]
    hours = build_hours(show, figures)
    joint = _find(counted, crew, hours, work)
    return WithPeople(crew, counted, joint, _clock_minutes(counted, hours))


def kept_people(counted: CountedPlot) -> PeopleCount | None:
    """What was found before for this plot and these people, without looking for it."""
    crew = crew_of(counted.rows)
    if crew is None or counted.rows.draft is None or not counted.plot.appearances:
        return None
    figures: Mapping[int, int] = {g.guise: g.figures for g in counted.count.guises}  # type: ignore[misc]
    hours = build_hours(counted.rows.show, figures)
    return read_kept(counted.rows.draft, question_of(counted.plot, crew, hours))


def _find(counted: CountedPlot, crew: Crew, hours: BuildHours, work: float) -> JointCount:
    draft = counted.rows.draft
    assert draft is not None
    question = question_of(counted.plot, crew, hours)
    kept = read_kept(draft, question)
    if kept is not None and (kept.proved or kept.found["work"] >= work):
        return as_joint(counted.plot, crew, kept)
    previous = counted.count.track_ids()
    joint = count_with_people(counted.plot, crew, hours, work=work, previous=previous)
    wrong = check_joint(counted.plot, crew, hours, joint)
    if wrong:
        raise PeopleCountWrong("; ".join(wrong))
    row = PeopleCount(
        draft=draft,
        question=question,
        figures=joint.figures,
        proved=joint.proved,
        gap=joint.gap,
        found=as_found(joint) | {"work": work},
        made_at=clock.now(),
    )
    # While it was looked for, somebody else may have found it, or taken the draft back.
    with suppress(IntegrityError):
        _keep(row)
    return as_joint(counted.plot, crew, row)


@transaction.atomic
def _keep(row: PeopleCount) -> None:
    PeopleCount.objects.filter(draft=row.draft, question=row.question).delete()
    row.save()
    older = PeopleCount.objects.filter(draft=row.draft).order_by("-pk")[KEPT_PER_DRAFT:]
    PeopleCount.objects.filter(pk__in=[one.pk for one in older]).delete()
    Count.objects.filter(draft=row.draft, revision=row.draft.revision).update(
        with_people=row.figures, proved=row.proved, gap=row.gap
    )


def _clock_minutes(counted: CountedPlot, hours: BuildHours) -> int:
    """Build minutes of the count by the clock alone, by the same hours."""
    worn = {a.key: a.costume for a in counted.plot.appearances}
    return sum(
        hours.of_track(guise.guise, [worn[stop.key] for stop in track.stops])
        for guise in counted.count.guises
        for track in guise.tracks
    )
