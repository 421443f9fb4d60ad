"""Slow and obvious: the best plan of a tiny problem, by trying every order and every person."""

from __future__ import annotations

from itertools import permutations, product

from builds.core.planning import ANYBODY, Problem, Step


def minutes_of(intervals: tuple[tuple[int, int], ...]) -> set[int]:
    """Every minute in some intervals."""
    return {minute for a, b in intervals for minute in range(a, b)}


def choices(problem: Problem, step: Step) -> list[tuple[str, str | None]]:
    """Who may do a step with whom, from the dataclasses alone."""
    first = [
        person.id
        for person in problem.people
        if (step.who is None or person.id in step.who)
        and (step.who is not None or step.craft in person.crafts)
        and (person.is_lead or not step.lead_only)
    ]
    if step.second is None:
        return [(one, None) for one in first]
    helpers = [p.id for p in problem.people if step.second == ANYBODY or p.id in step.second]
    return [(one, other) for one in first for other in helpers if one != other]


def best_score(problem: Problem) -> tuple[int, int] | None:
    """Least (weighted lateness, ready) over every order of steps and every choice of people.

    Each step takes its first free place in the order. Putting the steps of any plan in the order
    of their starts this way moves none later, so the least of all is the optimum.
    """
    work = {person.id: minutes_of(person.work) for person in problem.people}
    best: tuple[int, int] | None = None
    for order in permutations(problem.steps):
        ids = [step.id for step in order]
        if any(
            ids.index(before) > ids.index(step.id) for step in order for before, _ in step.after
        ):
            continue
        for hands in product(*(choices(problem, step) for step in order)):
            score = _play(problem, order, hands, work)
            if score is not None and (best is None or score < best):
                best = score
    return best


def _play(
    problem: Problem,
    order: tuple[Step, ...],
    hands: tuple[tuple[str, str | None], ...],
    work: dict[str, set[int]],
) -> tuple[int, int] | None:
    taken: dict[str, list[tuple[int, int]]] = {}
    held: dict[str, list[tuple[int, int]]] = {}
    finish: dict[str, int] = {}
    for step, (person, second) in zip(order, hands, strict=True):
        there = work[person] & work[second] if second else work[person]
        start = max([step.not_before or 0, *(finish[b] + wait for b, wait in step.after)])
        while True:
            end = _end(step, start, there, problem.horizon)
            if end is None:
                return None
            free = all(
                end <= a or start >= b
                for who in (person, second)
                for a, b in taken.get(who or "", ())
            ) and all(
                end + hold.hold_min + hold.rest_min <= a or start >= b
                for hold in step.holds
                for a, b in held.get(hold.equipment, ())
            )
            if start in there and free and not (step.one_go and end - start != step.minutes):
                break
            start += 1
        finish[step.id] = end
        for who in (person, second):
            if who:
                taken.setdefault(who, []).append((start, end))
        for hold in step.holds:
            until = end + hold.hold_min + hold.rest_min
            held.setdefault(hold.equipment, []).append((start, until))
    late = 0
    for figure in problem.figures:
        mine = [finish[s.id] for s in problem.steps if s.figure == figure.id and s.for_needed_by]
        if mine and figure.needed_by is not None:
            late += figure.weight * max(0, max(mine) - figure.needed_by)
    return late, max(finish.values())


def _end(step: Step, start: int, there: set[int], horizon: int) -> int | None:
    worked, minute = 0, start
    while worked < step.minutes:
        if minute >= horizon:
            return None
        worked += minute in there
        minute += 1
    return minute
