"""A first choice of changes, guise by guise: what the exact search begins from and must beat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from scenes.core.counting.assignment import solve_assignment
from scenes.core.counting.handover import Unit
from scenes.core.joint.loads import Loads
from scenes.core.joint.results import BuildHours
from scenes.core.joint.windows import Part, Step


class Timed(NamedTuple):
    """A change put at a second, and how many of its people work figures."""

    starts_s: int
    workers: int


@dataclass(slots=True)
class Choice:
    """Which unit follows which in one part, and the changes among these steps at their times."""

    follower: dict[Unit, Unit] = field(default_factory=dict)
    timed: dict[tuple[Unit, Unit], Timed] = field(default_factory=dict)


def choose_greedily(parts: Sequence[Part], loads: Loads, hours: BuildHours) -> list[Choice]:
    """For each part the better of no changes at all and those that still fit, dearest guise first.

    A part is solved by an assignment; a change nobody is free for is struck out, and the part is
    solved again.
    """
    choices = [Choice() for _ in parts]
    order = sorted(range(len(parts)), key=lambda n: (-hours.figure(parts[n].guise), n))
    for n in order:
        part = parts[n]
        plain = Choice(_assign(part, [s for s in part.steps if s.rule is None], hours))
        choices[n] = plain
        steps = list(part.steps)
        while True:
            follower = _assign(part, steps, hours)
            trial = loads.copy()
            choice, misfit = _fit_changes(part, follower, trial)
            if misfit is None:
                break
            steps.remove(misfit)
        if cost_of(part, choice, hours) < cost_of(part, plain, hours):
            choices[n] = choice
            loads.workers, loads.helpers = trial.workers, trial.helpers
    return choices


def cost_of(part: Part, choice: Choice, hours: BuildHours) -> tuple[int, int, int]:
    """Build minutes, changes and crossings of a choice."""
    minutes = 0
    followed = set(choice.follower.values())
    for unit in part.units:
        if unit in followed:
            continue
        worn = []
        at: Unit | None = unit
        while at is not None:
            worn.append(part.placed[at[0]].appearance.costume)
            at = choice.follower.get(at)
        minutes += hours.of_track(part.guise, worn)
    taken = [s for s in part.steps if choice.follower.get(s.first) == s.second]
    return (
        minutes,
        sum(step.link.is_change for step in taken),
        sum(step.link.is_crossing for step in taken),
    )


def _assign(part: Part, steps: Sequence[Step], hours: BuildHours) -> dict[Unit, Unit]:
    """Cheapest hand-overs, each step priced on its own: near the true hours, and quick."""
    number = {unit: n for n, unit in enumerate(part.units)}
    worn = [part.placed[index].appearance.costume for index, _ in part.units]
    scale = 4 * len(part.units) + 1
    begin = [scale * (hours.figure(part.guise) + hours.sewing(c)) for c in worn]
    costs = [list(begin) for _ in part.units]
    allowed = set()
    for step in steps:
        first, second = number[step.first], number[step.second]
        cost = step.link.is_crossing + 2 * step.link.is_change
        if step.rule is not None:
            cost += scale * (hours.sewing(worn[second]) + hours.extra(worn[second]))
            cost += scale * hours.extra(worn[first])
        if cost < begin[second]:
            costs[first][second] = cost
            allowed.add((first, second))
    return {
        part.units[first]: part.units[second]
        for first, second in enumerate(solve_assignment(costs))
        if (first, second) in allowed
    }


def _fit_changes(
    part: Part, follower: dict[Unit, Unit], loads: Loads
) -> tuple[Choice, Step | None]:
    """Put the changes of these hand-overs into the day; the first that does not fit, if any."""
    choice = Choice(follower)
    changing = [s for s in part.steps if s.rule and follower.get(s.first) == s.second]
    changing.sort(key=lambda s: (s.starts[-1].last_s, s.first))
    for step in changing:
        assert step.rule is not None
        if not step.needs_people:
            choice.timed[step.first, step.second] = Timed(step.starts[0].first_s, 0)
            continue
        found = loads.place(step.starts, step.rule.change_s, step.rule.people)
        if found is None:
            return choice, step
        choice.timed[step.first, step.second] = Timed(*found)
    return choice, None
