"""Changed copies of a problem: what would be planned if one thing were otherwise.

Every function gives a new problem and leaves the one given as it was. What cannot be (a step that
nobody may do any more) is found by `Problem.problems()`, not here. ValueError for a name that the
problem does not know.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from builds.core.planning.calendars import subtract, tidy
from builds.core.planning.problem import Equipment, Hold, Intervals, Person, Problem, Step

FAR = 10**10


def add_person(problem: Problem, person: Person, closed: Collection[str] = ()) -> Problem:
    """One helper more; `closed`: ids of steps that they may not do (training, marks, pins).

    >>> step = Step("sew", 60, craft="sew", who=("Ines",))
    >>> tomas = Person("Tomas", ((0, 60),), frozenset({"sew"}))
    >>> add_person(Problem((step,), (Person("Ines", ()),)), tomas).steps[0].who
    ('Ines', 'Tomas')
    """
    if any(other.id == person.id for other in problem.people):
        raise ValueError(f"person is {person.id!r}: there is somebody of that name")
    return replace(
        problem,
        people=(*problem.people, person),
        steps=tuple(
            replace(step, who=(*step.who, person.id))
            if step.who is not None and step.id not in closed and _may(step, person)
            else step
            for step in problem.steps
        ),
    )


def _may(step: Step, person: Person) -> bool:
    has_craft = step.craft is None or step.craft in person.crafts
    return has_craft and (person.is_lead or not step.lead_only)


def set_work(
    problem: Problem, person: str, work: Intervals, craft_work: Mapping[str, Intervals]
) -> Problem:
    """Other hours for somebody."""
    return _each_person(
        problem, {person}, lambda one: replace(one, work=work, craft_work=craft_work)
    )


def end_work(problem: Problem, person: str, minute: int) -> Problem:
    """Somebody leaves: no hours from that minute on.

    >>> ines = Person("Ines", ((0, 60), (100, 160)))
    >>> end_work(Problem((), (ines,)), "Ines", 120).people[0].work
    ((0, 60), (100, 120))
    """
    return take_time(problem, {person}, minute, FAR)


def hand_on(problem: Problem, person: str) -> Problem:
    """What somebody has under way may be taken up by others, where their hours do not reach.

    Only what remains of it is left to do. Where their hours reach, all of it stays with them.

    >>> from builds.core.planning.problem import Begun
    >>> tomas = Person("Tomas", ((0, 60),), frozenset({"sew"}))
    >>> begun = Step("a", 90, craft="sew", begun=Begun("Tomas", 0))
    >>> hand_on(Problem((begun,), (tomas,)), "Tomas").steps[0].begun is None
    True
    """
    whose = next((one for one in problem.people if one.id == person), None)
    if whose is None:
        raise ValueError(f"person is {person!r}: nobody of that name is among the people")
    left_min = sum(max(0, end - max(start, problem.now)) for start, end in whose.work)
    begun = [step for step in problem.steps if step.begun and step.begun.person == person]
    if sum(step.minutes for step in begun) <= left_min:
        return problem
    given = {step.id for step in begun}
    return replace(
        problem,
        steps=tuple(
            replace(step, begun=None) if step.id in given else step for step in problem.steps
        ),
    )


def take_time(problem: Problem, people: Collection[str], start: int, end: int) -> Problem:
    """These people are away from one minute to another."""

    def without(one: Person) -> Person:
        away = ((start, end),)
        return replace(
            one,
            work=_less(one.work, away),
            craft_work={craft: _less(row, away) for craft, row in one.craft_work.items()},
        )

    return _each_person(problem, people, without)


def _less(row: Intervals, away: Intervals) -> Intervals:
    return subtract(tidy(row), away) if row else ()


def _each_person(
    problem: Problem, people: Collection[str], change: Callable[[Person], Person]
) -> Problem:
    known = {person.id for person in problem.people}
    for one in people:
        if one not in known:
            raise ValueError(f"person is {one!r}: nobody of that name is among the people")
    return replace(
        problem,
        people=tuple(change(one) if one.id in people else one for one in problem.people),
    )


def drop_steps(problem: Problem, ids: Collection[str]) -> Problem:
    """Without these steps: what waited for one waits for what that one had waited for.

    >>> steps = (Step("a", 5), Step("b", 5, after=(("a", 7),)), Step("c", 5, after=(("b", 0),)))
    >>> drop_steps(Problem(steps), {"b"}).steps[1].after
    (('a', 7),)
    """
    gone = set(ids)
    by_id = {step.id: step for step in problem.steps}
    place = {step.id: at for at, step in enumerate(problem.steps)}

    def waits(step: Step) -> tuple[tuple[str, int], ...]:
        found: dict[str, int] = {}
        ahead = list(step.after)
        seen: set[str] = set()
        while ahead:
            before, wait_min = ahead.pop()
            if before not in gone:
                found[before] = max(wait_min, found.get(before, 0))
            elif before not in seen and before in by_id:
                seen.add(before)
                ahead += by_id[before].after
        return tuple(sorted(found.items(), key=lambda wait: place[wait[0]]))

    left = tuple(
        replace(step, after=waits(step)) if any(b in gone for b, _ in step.after) else step
        for step in problem.steps
        if step.id not in gone
    )
    figures = {step.figure for step in left}
    return replace(
        problem, steps=left, figures=tuple(one for one in problem.figures if one.id in figures)
    )


def set_dates(
    problem: Problem, opening: int | None, needed_by: Mapping[str, int | None]
) -> Problem:
    """Another opening, and the figures' needed-by (by id; figures left out keep theirs)."""
    return replace(
        problem,
        opening=opening,
        figures=tuple(
            replace(one, needed_by=needed_by.get(one.id, one.needed_by)) for one in problem.figures
        ),
    )


def give_craft(
    problem: Problem, ids: Collection[str], craft: str | None, who: tuple[str, ...]
) -> Problem:
    """These steps ask for another craft, and these people may do them; begun work stays."""
    return replace(
        problem,
        steps=tuple(
            replace(step, craft=craft, who=who, lead_only=False)
            if step.id in ids and step.begun is None and step.fixed is None
            else step
            for step in problem.steps
        ),
    )


def add_capacity(problem: Problem, equipment: str, more: int = 1) -> Problem:
    """So much more of a piece of equipment can be held at once."""
    if all(one.id != equipment for one in problem.equipment):
        raise ValueError(f"equipment is {equipment!r}: nothing of that name is among the equipment")
    return replace(
        problem,
        equipment=tuple(
            replace(one, capacity=one.capacity + more) if one.id == equipment else one
            for one in problem.equipment
        ),
    )


def add_mould(
    problem: Problem, mould: str, name: str, making: tuple[Step, ...], dries: Mapping[str, int]
) -> Problem:
    """A second mould: it is made (`making`), dries, and every other pour to come goes into it.

    With fewer than two pours to come nothing changes: one mould does.

    `dries`: how long the pours wait after each of the steps in `making`, by id, in minutes. Pours
    that wait for a step in `making` under its old name (its id without the last sign) wait for
    the new one instead.
    """
    pours = [
        step.id
        for step in problem.steps
        if step.fixed is None
        and step.begun is None
        and any(hold.equipment == mould for hold in step.holds)
    ]
    second = set(pours[1::2])
    if not second:
        return problem

    def moved(step: Step) -> Step:
        if step.id not in second:
            return step
        holds = tuple(
            Hold(name, hold.hold_min, hold.rest_min, hold.amount)
            if hold.equipment == mould
            else hold
            for hold in step.holds
        )
        kept = tuple(wait for wait in step.after if f"{wait[0]}'" not in dries)
        return replace(step, holds=holds, after=(*kept, *dries.items()))

    return replace(
        problem,
        steps=(*making, *(moved(step) for step in problem.steps)),
        equipment=(*problem.equipment, Equipment(name)),
    )
