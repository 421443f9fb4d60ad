"""An independent check of a plan against every rule, written to be obvious rather than quick.

It shares nothing with the decoders but the dataclasses: hours are counted interval by interval.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise
from operator import itemgetter

from builds.core.planning.plan import Plan, PlannedStep
from builds.core.planning.problem import ANYBODY, Helpers, Person, Problem, Step

Slots = list[tuple[int, int]]


def check_plan(problem: Problem, plan: Plan) -> list[str]:
    """Every rule that the plan breaks, as sentences; empty for a plan that holds."""
    if plan.status == "none":
        return [] if plan.reasons and not plan.steps else ["There is no plan and no reason for it."]
    planned = {step.id: step for step in plan.steps}
    wrong = _once(problem, plan, planned)
    if wrong:
        return wrong
    people = {person.id: person for person in problem.people}
    for step in problem.steps:
        put = planned[step.id]
        if step.fixed is not None:
            stands = (step.fixed.person, step.fixed.second, step.fixed.start, step.fixed.finish)
            if (put.person, put.second, put.start, put.finish) != stands:
                wrong.append(f"{step.name} is fixed but was moved.")
        elif step.begun is not None:
            wrong += _check_begun(step, put, problem, people)
        else:
            wrong += _check_people(step, put, problem, people)
            wrong += _check_hours(step, put, problem, people)
            wrong += _check_waits(step, put, problem, planned)
    wrong += _check_parts(problem, planned)
    wrong += _check_one_at_a_time(problem, planned)
    wrong += _check_equipment(problem, planned)
    wrong += _check_numbers(problem, plan, planned)
    return wrong


def _once(problem: Problem, plan: Plan, planned: dict[str, PlannedStep]) -> list[str]:
    wrong = [f"{step.name} is not planned." for step in problem.steps if step.id not in planned]
    known = {step.id for step in problem.steps}
    wrong += [f"{one} is planned but not asked for." for one in planned if one not in known]
    if len(planned) != len(plan.steps):
        wrong.append("A step is planned more than once.")
    return wrong


def _check_people(
    step: Step, put: PlannedStep, problem: Problem, people: dict[str, Person]
) -> list[str]:
    if step.unattended:
        taken = put.person is not None or put.second is not None
        return [f"{step.name} needs nobody but has somebody."] if taken else []
    if put.person not in people:
        return [f"{step.name} has nobody."]
    person = people[put.person]
    wrong = []
    able = person.id in step.who if step.who is not None else step.craft in person.crafts
    if not able:
        wrong.append(f"{person.id} may not do {step.name}.")
    if step.lead_only and not person.is_lead:
        wrong.append(f"{step.name} is for the lead, not for {person.id}.")
    if step.second is None:
        if put.second is not None:
            wrong.append(f"{step.name} needs no second person but has {put.second}.")
    elif put.second not in people or put.second == put.person:
        wrong.append(f"{step.name} lacks a second person.")
    elif step.second != ANYBODY and put.second not in step.second:
        wrong.append(f"{put.second} may not be the second person of {step.name}.")
    return wrong


def _worked(slots: Iterable[tuple[int, int]], a: int, b: int) -> int:
    return sum(max(0, min(b, to) - max(a, at)) for at, to in slots)


def _works(slots: Iterable[tuple[int, int]], minute: int) -> bool:
    return any(at <= minute < to for at, to in slots)


def _both(one: Slots, other: Slots) -> Slots:
    return [
        (max(a, c), min(b, d)) for a, b in one for c, d in other if c < b and d > a
    ]  # every pair of intervals: slow and plain


def _between(work: Sequence[tuple[int, int]], a: int, b: int) -> Slots:
    """The intervals, sorted and apart, that lie between a and b with some part of them."""
    first = bisect_right(work, a, key=itemgetter(1))
    return list(work[first : bisect_left(work, b, key=itemgetter(0))])


def _slots_of(step: Step, put: PlannedStep, people: dict[str, Person], a: int, b: int) -> Slots:
    """Working time of the step's people between a and b."""
    assert put.person is not None
    slots = _between(people[put.person].work, a, b)
    capped = people[put.person].craft_work.get(step.craft or "")
    if capped is not None:
        slots = _both(slots, _between(capped, a, b))
    if put.second is not None:
        slots = _both(slots, _between(people[put.second].work, a, b))
    elif step.company_needed is not None:
        there = _company(step.company_needed, put.person, people)
        slots = _both(slots, _merged([(x, y) for x, y in there if x < b and y > a]))
    return _merged(slots)


def _company(helpers: Helpers, person: str, people: dict[str, Person]) -> Slots:
    return [
        pair
        for other in people.values()
        if other.id != person and (helpers == ANYBODY or other.id in (helpers or ()))
        for pair in other.work
    ]


def _merged(slots: Slots) -> Slots:
    out: Slots = []
    for a, b in sorted(slots):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return out


def _check_hours(
    step: Step, put: PlannedStep, problem: Problem, people: dict[str, Person]
) -> list[str]:
    wrong = []
    if put.start < problem.now:
        wrong.append(f"{step.name} starts before now.")
    if step.not_before is not None and put.start < step.not_before:
        wrong.append(f"{step.name} starts before its day.")
    if put.finish > problem.horizon:
        wrong.append(f"{step.name} ends after the hours that are known.")
    if put.resumed is not None:
        wrong.append(f"{step.name} cannot go on: it has not been begun.")
    if step.unattended:
        if put.finish - put.start != step.minutes:
            wrong.append(f"{step.name} does not take {step.minutes} minutes.")
        return wrong
    if put.person not in people or (put.second is not None and put.second not in people):
        return wrong
    return wrong + _check_stretch(step, put, people, put.start)


def _check_stretch(
    step: Step, put: PlannedStep, people: dict[str, Person], start: int
) -> list[str]:
    slots = _slots_of(step, put, people, start - 1, put.finish + 1)
    wrong = []
    worked = _worked(slots, start, put.finish)
    if worked != step.minutes:
        wrong.append(f"{step.name} has {worked} working minutes, not {step.minutes}.")
    if not _works(slots, start):
        wrong.append(f"{step.name} starts when its people are away.")
    if not _works(slots, put.finish - 1):
        wrong.append(f"{step.name} ends when its people are away.")
    if step.one_go and put.finish - start != step.minutes:
        wrong.append(f"{step.name} is not done in one go.")
    return wrong


def _check_begun(
    step: Step, put: PlannedStep, problem: Problem, people: dict[str, Person]
) -> list[str]:
    assert step.begun is not None
    stands = (step.begun.person, step.begun.second, step.begun.start)
    if (put.person, put.second, put.start) != stands:
        return [f"{step.name} is under way but changed its person or start."]
    if put.resumed is None or put.resumed < problem.now or put.finish > problem.horizon:
        return [f"{step.name} goes on before now, or ends after the hours that are known."]
    wrong = _check_stretch(step, put, people, put.resumed)
    return [line for line in wrong if "in one go" not in line]


def _check_waits(
    step: Step, put: PlannedStep, problem: Problem, planned: dict[str, PlannedStep]
) -> list[str]:
    return [
        f"{step.name} starts before {before} is finished and has waited {wait} minutes."
        for before, wait in step.after
        if put.start < planned[before].finish + wait
    ]


def _check_parts(problem: Problem, planned: dict[str, PlannedStep]) -> list[str]:
    hands: dict[str, set[str | None]] = defaultdict(set)
    free: set[str] = set()
    for step in problem.steps:
        if step.part_of is not None:
            hands[step.part_of].add(planned[step.id].person)
            if step.fixed is None and step.begun is None:
                free.add(step.part_of)
    return [
        f"The parts of {part} have different people."
        for part, who in hands.items()
        if len(who) > 1 and part in free
    ]


def _taken_from(step: Step, put: PlannedStep, now: int) -> int:
    """From when the step takes its people's time, as far as planning goes."""
    if step.fixed is not None:
        return max(put.start, now)
    return put.start if put.resumed is None else put.resumed


def _check_one_at_a_time(problem: Problem, planned: dict[str, PlannedStep]) -> list[str]:
    days: dict[str, list[tuple[int, int, Step]]] = defaultdict(list)
    for step in problem.steps:
        put = planned[step.id]
        start = _taken_from(step, put, problem.now)
        for who in (put.person, put.second):
            if who is not None and start < put.finish:
                days[who].append((start, put.finish, step))
    wrong = []
    for who, row in days.items():
        row.sort(key=lambda entry: entry[:2])
        for (_, until, one), (at, _, other) in pairwise(row):
            if at < until and not (one.fixed is not None and other.fixed is not None):
                wrong.append(f"{who} would do {one.name} and {other.name} at once.")
    return wrong


def _check_equipment(problem: Problem, planned: dict[str, PlannedStep]) -> list[str]:
    holds: dict[str, list[tuple[int, int, int, bool]]] = defaultdict(list)
    for step in problem.steps:
        put = planned[step.id]
        start = _taken_from(step, put, problem.now)
        for one in step.holds:
            until = put.finish + one.hold_min + one.rest_min
            moves = step.fixed is None and step.begun is None
            if start < until:
                holds[one.equipment].append((start, until, one.amount, moves))
    wrong = []
    for gear in problem.equipment:
        row = holds[gear.id]
        for at, _, _, _ in row:
            here = [entry for entry in row if entry[0] <= at < entry[1]]
            if sum(amount for _, _, amount, _ in here) > gear.capacity and any(
                moves for *_, moves in here
            ):
                wrong.append(f"{gear.id} is held by more than {gear.capacity} at minute {at}.")
    return wrong


def _check_numbers(problem: Problem, plan: Plan, planned: dict[str, PlannedStep]) -> list[str]:
    """The plan's own sums: all ready, lateness, bound, latest starts."""
    wrong = []
    ready = max((put.finish for put in planned.values()), default=problem.now)
    if plan.ready != ready:
        wrong.append(f"All is ready at minute {ready}, not {plan.ready}.")
    late = 0
    for figure in problem.figures:
        finishes = [
            planned[step.id].finish
            for step in problem.steps
            if step.figure == figure.id and step.for_needed_by
        ]
        if figure.needed_by is not None and finishes:
            late += figure.weight * max(0, max(finishes) - figure.needed_by)
    if plan.lateness != late:
        wrong.append(f"The plan is {late} weighted minutes late, not {plan.lateness}.")
    if plan.bound is not None and plan.bound > ready:
        wrong.append(f"The plan is ready at {ready}, before the bound of {plan.bound}.")
    for step in problem.steps:
        put = planned[step.id]
        if step.fixed is None and put.in_hand_min < 0:
            wrong.append(f"{step.name} has less than nothing in hand.")
    return wrong
