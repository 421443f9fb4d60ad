"""Begun steps: what remains of them is placed first, at their person's first free minutes."""

from __future__ import annotations

from builds.core.planning.hours import Hours
from builds.core.planning.problem import Fixed, Problem, Step


def settle_begun(problem: Problem, hours: Hours) -> tuple[dict[str, Fixed], list[str]]:
    """Where fixed and begun steps stand, and a sentence for each begun one that finds no place.

    A begun step stands from where it goes on (not from where it was begun). Begun steps go on in
    the problem's order; they are exempt from what they would have waited for, as they have begun.
    """
    stands: dict[str, Fixed] = {}
    taken: dict[str, list[tuple[int, int]]] = {person.id: [] for person in problem.people}
    lost: list[str] = []
    for step in problem.steps:
        if step.fixed is None:
            continue
        stands[step.id] = step.fixed
        for who in (step.fixed.person, step.fixed.second):
            if who is not None and step.fixed.finish > problem.now:
                taken[who].append((max(step.fixed.start, problem.now), step.fixed.finish))
    for step in problem.steps:
        if step.begun is None:
            continue
        place = _go_on(step, problem, hours, taken)
        if place is None:
            lost.append(
                f"{step.name} is under way, but {step.begun.person} has no hours left for the "
                f"{step.minutes} minutes that remain."
            )
            continue
        stands[step.id] = place
        for who in (place.person, place.second):
            if who is not None:
                taken[who].append((place.start, place.finish))
    return stands, lost


def _go_on(
    step: Step, problem: Problem, hours: Hours, taken: dict[str, list[tuple[int, int]]]
) -> Fixed | None:
    assert step.begun is not None
    person, second = step.begun.person, step.begun.second
    calendar = hours.calendar(step, person, second)
    busy = sorted(taken[person] + (taken[second] if second is not None else []))
    start: int | None = problem.now
    while start is not None:
        start = calendar.next_minute(start)
        if start is None:
            return None
        finish = calendar.finish_of(start, step.minutes)
        if finish is None:
            return None
        clash = next((b for a, b in busy if a < finish and b > start), None)
        if clash is None:
            return Fixed(person, start, finish, second)
        start = clash
    return None
