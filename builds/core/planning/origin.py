"""Problems and plans moved in time, so that planning counts from the midnight before now.

Hours are looked up by the number of the day and moves are as wide as the plan is long: both want
small minutes, whatever epoch a problem was counted from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from builds.core.planning.calendars import DAY_MIN
from builds.core.planning.plan import FigureReady, Plan, PlannedStep
from builds.core.planning.problem import Begun, Fixed, Intervals, Person, Problem, Step


def last_midnight(problem: Problem) -> int:
    """The last midnight up to now, in minutes from the problem's epoch; no sooner than that.

    >>> last_midnight(Problem((), now=3000))
    2880
    """
    return max(0, problem.now // DAY_MIN * DAY_MIN)


def move_problem(problem: Problem, by: int) -> Problem:
    """The same problem with every minute `by` later.

    >>> move_problem(Problem((), now=3000, horizon=9000), -2880).horizon
    6120
    """
    return replace(
        problem,
        steps=tuple(_move_step(step, by) for step in problem.steps),
        people=tuple(_move_person(person, by) for person in problem.people),
        figures=tuple(
            replace(figure, needed_by=_moved(figure.needed_by, by)) for figure in problem.figures
        ),
        now=problem.now + by,
        horizon=problem.horizon + by,
        opening=_moved(problem.opening, by),
    )


def move_standing(standing: Mapping[str, Fixed], by: int) -> dict[str, Fixed]:
    """Where steps stand, with every minute `by` later."""
    return {one: _move_fixed(at, by) for one, at in standing.items()}


def move_plan(plan: Plan, by: int) -> Plan:
    """The same plan with every minute `by` later."""
    return replace(
        plan,
        steps=tuple(
            PlannedStep(
                step.id,
                step.person,
                step.second,
                step.start + by,
                step.finish + by,
                step.latest_start + by,
                step.in_hand_min,
                _moved(step.resumed, by),
            )
            for step in plan.steps
        ),
        ready=_moved(plan.ready, by),
        figures=tuple(FigureReady(one.id, one.ready + by, one.late_min) for one in plan.figures),
        bound=_moved(plan.bound, by),
    )


def _move_step(step: Step, by: int) -> Step:
    if step.not_before is None and step.fixed is None and step.begun is None:
        return step
    begun = step.begun
    return replace(
        step,
        not_before=_moved(step.not_before, by),
        fixed=_move_fixed(step.fixed, by) if step.fixed is not None else None,
        begun=Begun(begun.person, begun.start + by, begun.second) if begun is not None else None,
    )


def _move_fixed(at: Fixed, by: int) -> Fixed:
    return Fixed(at.person, at.start + by, at.finish + by, at.second)


def _move_person(person: Person, by: int) -> Person:
    return replace(
        person,
        work=_move_hours(person.work, by),
        craft_work={craft: _move_hours(work, by) for craft, work in person.craft_work.items()},
    )


def _move_hours(work: Intervals, by: int) -> Intervals:
    return tuple((a + by, b + by) for a, b in work)


def _moved(minute: int | None, by: int) -> int | None:
    return None if minute is None else minute + by
