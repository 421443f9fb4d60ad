"""Whose hours are too few: named where a plan fails for want of time, not of people."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from builds.core.planning.calendars import subtract
from builds.core.planning.hours import Hours
from builds.core.planning.problem import Problem, Step


@dataclass(frozen=True, slots=True)
class Shortage:
    """What one person alone may do takes longer than they are there; `steps` in their order."""

    person: str
    wanted_min: int
    left_min: int
    steps: tuple[str, ...]


def find_shortages(problem: Problem) -> tuple[Shortage, ...]:
    """Everybody who alone may do more than their hours from now on hold. O(steps x people).

    Parts of one long step count together: they are one person's.

    >>> from builds.core.planning.problem import Person
    >>> ines = Person("Ines", ((0, 60),), frozenset({"carve"}))
    >>> steps = (Step("a", 40, craft="carve"), Step("b", 40, craft="carve"))
    >>> find_shortages(Problem(steps, (ines,), horizon=1440))
    (Shortage(person='Ines', wanted_min=80, left_min=60, steps=('a', 'b')),)
    """
    hours = Hours(problem)
    own: dict[str, list[Step]] = defaultdict(list)
    for step in problem.steps:
        if step.fixed is not None or step.unattended:
            continue
        able = (step.begun.person,) if step.begun else problem.who_may(step)
        if len(able) == 1:
            own[able[0]].append(step)
    found = []
    for person, steps in own.items():
        wanted = sum(step.minutes for step in steps)
        left = sum(b - a for a, b in subtract(hours.work(person), ((0, problem.now),)))
        if wanted > left:
            found.append(Shortage(person, wanted, left, tuple(step.name for step in steps)))
    return tuple(found)
