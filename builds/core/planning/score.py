"""What a plan is worth: figures late, and the tie-breaks that make it pleasant to work to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from builds.core.planning.calendars import DAY_MIN
from builds.core.planning.plan import FigureReady, PlannedStep
from builds.core.planning.problem import Problem


def figures_ready(problem: Problem, steps: Iterable[PlannedStep]) -> tuple[FigureReady, ...]:
    """When each figure's needed steps are finished, and how late that is."""
    finish = {step.id: step.finish for step in steps}
    ready: dict[str, int] = {}
    for step in problem.steps:
        if step.figure is not None and step.for_needed_by and step.id in finish:
            ready[step.figure] = max(ready.get(step.figure, finish[step.id]), finish[step.id])
    return tuple(
        FigureReady(
            figure.id,
            ready[figure.id],
            0 if figure.needed_by is None else max(0, ready[figure.id] - figure.needed_by),
        )
        for figure in problem.figures
        if figure.id in ready
    )


def weighted_lateness(problem: Problem, figures: Iterable[FigureReady]) -> int:
    """Sum over figures of weight times minutes late."""
    weight = {figure.id: figure.weight for figure in problem.figures}
    return sum(weight[one.id] * one.late_min for one in figures)


def broken_days(steps: Iterable[PlannedStep]) -> int:
    """Changes from one piece of work to another within a day, over all people.

    >>> same = PlannedStep("a", "Ines", None, 480, 540, 480)
    >>> other = PlannedStep("b", "Ines", None, 540, 600, 540)
    >>> broken_days([same, other])
    1
    """
    days: dict[tuple[str, int], int] = defaultdict(int)
    for step in steps:
        for who in (step.person, step.second):
            if who is not None and step.finish > step.start:
                at = step.start if step.resumed is None else step.resumed
                for day in range(at // DAY_MIN, (step.finish - 1) // DAY_MIN + 1):
                    days[who, day] += 1
    return sum(count - 1 for count in days.values())


def mixed_hands(problem: Problem, steps: Iterable[PlannedStep]) -> int:
    """How many more people than one work on each kind of twin step, summed."""
    person = {step.id: step.person for step in steps}
    hands: dict[str, set[str]] = defaultdict(set)
    for step in problem.steps:
        who = person.get(step.id)
        if step.twin_of is not None and who is not None:
            hands[step.twin_of].add(who)
    return sum(len(one) - 1 for one in hands.values())
