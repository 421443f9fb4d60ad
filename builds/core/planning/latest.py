"""Latest starts: how long each step can wait without moving any date the plan reaches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from builds.core.planning.calendars import Calendar
from builds.core.planning.hours import Hours
from builds.core.planning.network import Link, find_links, goes_on
from builds.core.planning.plan import PlannedStep
from builds.core.planning.problem import Problem, Step
from builds.core.planning.score import figures_ready


def add_latest_starts(
    problem: Problem, planned: Sequence[PlannedStep], hours: Hours | None = None
) -> tuple[PlannedStep, ...]:
    """The steps with latest start and time in hand, in the problem's order.

    Each person's and each mould's order is kept. Backward, on the hours of those who do the step,
    from the later of needed-by and planned ready of its figure; a step that no date waits for
    counts from the later of opening and the minute all is ready. Fixed steps have nothing in hand.
    """
    hours = hours or Hours(problem)
    put = {step.id: step for step in planned}
    follow: dict[str, list[Link]] = defaultdict(list)
    for link in find_links(problem, planned):
        follow[link.before].append(link)
    until = _dates(problem, planned)
    latest: dict[str, int] = {}
    rank = _ranks(problem)
    by_id = {step.id: step for step in problem.steps}
    for one in sorted(put, key=lambda one: (-goes_on(put[one]), -put[one].finish, -rank[one])):
        step = by_id[one]
        at = goes_on(put[one])
        if step.fixed is not None:
            latest[one] = at
            continue
        finish = until[one]
        for link in follow[one]:
            finish = min(finish, latest[link.after] - link.lag_min)
        latest[one] = max(at, _start_for(step, put[one], finish, hours))
    return tuple(
        replace(
            put[step.id],
            latest_start=put[step.id].start if step.fixed is not None else latest[step.id],
            in_hand_min=latest[step.id] - goes_on(put[step.id]),
        )
        for step in problem.steps
    )


def _dates(problem: Problem, planned: Sequence[PlannedStep]) -> dict[str, int]:
    ready = max((step.finish for step in planned), default=problem.now)
    last = ready if problem.opening is None else max(ready, problem.opening)
    figure = {
        one.id: max(one.ready, needed.needed_by)
        for one in figures_ready(problem, planned)
        for needed in problem.figures
        if needed.id == one.id and needed.needed_by is not None
    }
    return {
        step.id: figure.get(step.figure, last) if step.figure and step.for_needed_by else last
        for step in problem.steps
    }


def _ranks(problem: Problem) -> dict[str, int]:
    """Places in an order in which no step stands before one it waits for."""
    after = {step.id: [before for before, _ in step.after] for step in problem.steps}
    rank: dict[str, int] = {}
    for root in after:
        stack = [root]
        while stack:
            one = stack[-1]
            ahead = [before for before in after[one] if before not in rank]
            if ahead and one not in rank:
                stack += ahead
                continue
            stack.pop()
            rank.setdefault(one, len(rank))
    return rank


def _start_for(step: Step, put: PlannedStep, finish: int, hours: Hours) -> int:
    if step.unattended or put.person is None:
        return finish - step.minutes
    calendar: Calendar = hours.calendar(step, put.person, put.second)
    if step.one_go and step.begun is None:
        start = calendar.latest_go(finish, step.minutes)
    else:
        start = calendar.start_for(finish, step.minutes)
    return put.start if start is None else start
