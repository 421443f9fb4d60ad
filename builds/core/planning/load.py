"""How full people and crafts are, week by week: minutes planned beside minutes there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from builds.core.planning.calendars import intersect, tidy
from builds.core.planning.hours import Hours
from builds.core.planning.network import goes_on
from builds.core.planning.plan import Plan
from builds.core.planning.problem import Interval, Intervals, Problem


@dataclass(frozen=True, slots=True)
class Filled:
    """Minutes planned in each week, and minutes there are for it."""

    planned_min: tuple[int, ...]
    room_min: tuple[int, ...]

    @property
    def full(self) -> tuple[bool, ...]:
        """In which weeks less than a twentieth of the room is free.

        >>> Filled((95, 94, 0), (100, 100, 0)).full
        (True, False, False)
        """
        pairs = zip(self.planned_min, self.room_min, strict=True)
        return tuple(room > 0 and planned * 20 >= room * 19 for planned, room in pairs)


@dataclass(frozen=True, slots=True)
class Loads:
    """People and crafts by name. A craft's room is what its people have left beside other work."""

    people: Mapping[str, Filled]
    crafts: Mapping[str, Filled]


def find_loads(problem: Problem, plan: Plan, weeks: Sequence[Interval]) -> Loads:
    """Loads of a plan in these weeks (start and end in minutes). O(steps x weeks)."""
    hours = Hours(problem)
    own: dict[str, list[int]] = {one.id: [0] * len(weeks) for one in problem.people}
    by_craft: dict[str, dict[str, list[int]]] = {}
    for step, spans in _worked(problem, plan, hours):
        minutes = _by_week(spans[1], weeks)
        for who in spans[0]:
            _add(own[who], minutes)
            if step is not None:
                row = by_craft.setdefault(step, {})
                _add(row.setdefault(who, [0] * len(weeks)), minutes)
    room = {one.id: _by_week(hours.work(one.id), weeks) for one in problem.people}
    people = {one: Filled(tuple(own[one]), tuple(room[one])) for one in own}
    able = {
        craft: [one.id for one in problem.people if craft in one.crafts]
        for craft in sorted(by_craft)
    }
    return Loads(people, {c: _craft(by_craft[c], able[c], people) for c in able})


def _craft(done: Mapping[str, list[int]], able: list[str], people: Mapping[str, Filled]) -> Filled:
    """A craft's work in each week, and what its people have for it: their hours less the rest."""
    whose = sorted({*able, *done})
    count = len(next(iter(people.values())).room_min)
    planned, room = [0] * count, [0] * count
    for week in range(count):
        for one in whose:
            here = done[one][week] if one in done else 0
            planned[week] += here
            other = people[one].planned_min[week] - here
            room[week] += max(here, people[one].room_min[week] - other)
    return Filled(tuple(planned), tuple(room))


def _worked(
    problem: Problem, plan: Plan, hours: Hours
) -> Iterable[tuple[str | None, tuple[list[str], Intervals]]]:
    """The craft, the people and the stretches of each step that is still worked on."""
    by_id = {step.id: step for step in problem.steps}
    for put in plan.steps:
        step = by_id[put.id]
        start = max(goes_on(put), problem.now)
        if put.person is None or put.finish <= start:
            continue
        slots = hours.calendar(step, put.person, put.second).slots
        spans = intersect(slots, ((start, put.finish),))
        whose = [who for who in (put.person, put.second) if who is not None]
        yield step.craft, (whose, spans)


def _by_week(spans: Sequence[Interval], weeks: Sequence[Interval]) -> list[int]:
    row = tidy(spans)
    return [sum(b - a for a, b in intersect(row, (week,))) for week in weeks]


def _add(row: list[int], more: Sequence[int]) -> None:
    for at, minutes in enumerate(more):
        row[at] += minutes
