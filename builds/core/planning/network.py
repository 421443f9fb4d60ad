"""The links of a finished plan: which step keeps which other one from starting, and why.

Besides what steps wait for, a plan orders the steps of each person and the holders of each piece
of equipment. Latest starts, the chain that sets the date and the odds all read these links.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from builds.core.planning.plan import PlannedStep
from builds.core.planning.problem import Problem

Why = Literal["after", "wait", "person", "equipment"]


@dataclass(frozen=True, slots=True)
class Link:
    """`after` starts no earlier than `before` is finished plus `lag_min`; `by`: who or what."""

    before: str
    after: str
    lag_min: int
    why: Why
    by: str = ""


def goes_on(step: PlannedStep) -> int:
    """The minute from which a step takes its people's time: where a begun one goes on."""
    return step.start if step.resumed is None else step.resumed


def find_links(problem: Problem, planned: Iterable[PlannedStep]) -> list[Link]:
    """All links between the steps of a plan. O(n log n) but for equipment of capacity over 1."""
    put = {step.id: step for step in planned}
    free = {step.id for step in problem.steps if step.fixed is None and step.begun is None}
    links = [
        Link(before, step.id, wait, "wait" if wait else "after")
        for step in problem.steps
        if step.id in free
        for before, wait in step.after
    ]
    links += _by_person(problem, put, free)
    links += _by_equipment(problem, put, free)
    return links


def _by_person(problem: Problem, put: dict[str, PlannedStep], free: set[str]) -> Iterator[Link]:
    days: dict[str, list[PlannedStep]] = defaultdict(list)
    for step in put.values():
        if step.finish > max(problem.now, goes_on(step)):
            for who in (step.person, step.second):
                if who is not None:
                    days[who].append(step)
    for who, row in days.items():
        row.sort(key=lambda step: (step.finish, goes_on(step)))
        for one, other in pairwise(row):
            if one.finish <= goes_on(other):
                yield Link(one.id, other.id, 0, "person", who)


def _by_equipment(problem: Problem, put: dict[str, PlannedStep], free: set[str]) -> Iterator[Link]:
    rows: dict[str, list[tuple[int, int, int, str]]] = defaultdict(list)
    for step in problem.steps:
        at = goes_on(put[step.id])
        for use in step.holds:
            lag = use.hold_min + use.rest_min
            until = put[step.id].finish + lag
            if use.amount and until > max(at, problem.now):
                rows[use.equipment].append((at, until, lag, step.id))
    for gear, row in rows.items():
        row.sort()
        for at, until, lag, one in row:
            # followers up to the first one to be over: those behind it are linked through it
            soonest: int | None = None
            for start, end, _, other in row:
                if start < until or (start, other) <= (at, one) or other not in free:
                    continue
                if soonest is not None and start >= soonest:
                    break
                soonest = end if soonest is None else min(soonest, end)
                yield Link(one, other, lag, "equipment", gear)
