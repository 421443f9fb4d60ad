"""The milestones of a show for the thread under its title, in a flat number of queries."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime
from zoneinfo import ZoneInfo

from builds.drawings.thread import Milestone, ThreadData
from builds.models import Plan, PlannedStep, Step
from builds.models.routes import Mark
from builds.queries.plans import plan_seen_by, ready_day
from company import clock
from company.drawing import Knot
from company.models import User
from scenes.models import Show

WORDS = {Mark.PASSED: "heads passed", Mark.CAST: "heads cast", Mark.HUNG: "bodies trial-hung"}


def read_thread(show: Show, user: User) -> ThreadData:
    """What the thread shows a person: three queries beside those for the person's place."""
    zone = ZoneInfo(show.company.time_zone)
    plan = plan_seen_by(user, show)
    return ThreadData(
        today=clock.today(show.company),
        first_day=show.first_day,
        opening=show.opening,
        ready=ready_day(plan, zone),
        milestones=tuple(_milestones(show, plan, zone)),
    )


def _milestones(show: Show, plan: Plan | None, zone: ZoneInfo) -> list[Milestone]:
    """A knot for the day on which the last step of each sort is done, or is planned to be."""
    steps: dict[str, list[Step]] = defaultdict(list)
    rows = Step.objects.filter(show=show, struck_at=None, stage__mark__in=WORDS)
    for step in rows.select_related("stage"):
        steps[step.stage.mark].append(step)
    planned: dict[int, datetime] = {}
    if plan is not None and steps:
        ends = PlannedStep.objects.filter(plan=plan, step__stage__mark__in=WORDS)
        for pk, finish in ends.values_list("step_id", "finish"):
            planned[pk] = max(finish, planned.get(pk, finish))
    found = [_milestone(mark, steps[mark], planned, zone) for mark in WORDS if steps[mark]]
    return [milestone for milestone in found if milestone is not None]


def _milestone(
    mark: str, steps: list[Step], planned: dict[int, datetime], zone: ZoneInfo
) -> Milestone | None:
    ends = [_end_of(step) or planned.get(step.pk) for step in steps]
    known = [end for end in ends if end is not None]
    if len(known) < len(ends) or not known:
        return None
    done = sum(_end_of(step) is not None for step in steps)
    state = Knot.TIED if done == len(steps) else Knot.HALF if done else Knot.LOOSE
    words = WORDS[Mark(mark)]
    if 0 < done < len(steps):
        words += f", {done} of {len(steps)} done"
    day: date = max(known).astimezone(zone).date()
    return Milestone(day, words, state)


def _end_of(step: Step) -> datetime | None:
    return step.passed_at if step.stage.gate else step.finished_at
