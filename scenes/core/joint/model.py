"""The exact search: every step of every figure and every change in its window, in one model.

A CP-SAT model. Tracks are hand-overs between units (a path cover). A change is an optional
interval of its rule's length; those who work figures are one cumulative with the scenes as fixed
load, those who only help another. Hours are exact: cloth is counted once a track, also where a
costume comes back, and dearer where it comes off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from scenes.core.counting.handover import Unit
from scenes.core.hands import Crew, Stretch
from scenes.core.joint.greedy import Choice, Timed
from scenes.core.joint.results import BuildHours
from scenes.core.joint.windows import Part, Step
from scenes.core.plot import CostumeId


class Answer(NamedTuple):
    """What the search found: choices (None where nothing), the bound, and whether it is proved."""

    choices: list[Choice] | None
    bound: float
    is_proved: bool


@dataclass(slots=True)
class JointModel:
    """Variables and rows of all parts together."""

    parts: Sequence[Part]
    crew: Crew
    hours: BuildHours
    weights: tuple[int, int]  # of a minute and of a change, against one crossing
    model: Any = field(init=False)
    costs: list[Any] = field(init=False, default_factory=list)
    goes: list[dict[tuple[Unit, Unit], Any]] = field(init=False, default_factory=list)
    begins: list[dict[Unit, Any]] = field(init=False, default_factory=list)
    times: list[dict[tuple[Unit, Unit], tuple[Any, Any]]] = field(init=False, default_factory=list)
    loads: dict[str, list[tuple[Any, Any]]] = field(init=False)

    def build(self, stretches: Sequence[Stretch]) -> None:
        """Lay out everything."""
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self.loads = {"workers": [], "helpers": []}
        for part in self.parts:
            self._add_part(part)
        spans = [
            (span.first_s, span.last_s + step.rule.change_s)
            for part in self.parts for step in part.steps
            if step.rule and step.needs_people for span in step.starts
        ]  # fmt: skip
        for s in stretches:
            working = min(s.working, self.crew.workers)
            if working and any(first < s.ends_s and s.starts_s < last for first, last in spans):
                fixed = self.model.new_fixed_size_interval_var(
                    s.starts_s, s.ends_s - s.starts_s, ""
                )
                self.loads["workers"].append((fixed, working))
        self._add_pool("workers", self.crew.workers)
        self._add_pool("helpers", self.crew.dressers - self.crew.dressers_who_work)
        self.model.minimize(sum(self.costs))

    def _add_pool(self, name: str, people: int) -> None:
        """Ensures that no more are kept at once than there are."""
        rows = self.loads[name]
        if rows:
            self.model.add_cumulative([r[0] for r in rows], [r[1] for r in rows], people)

    def _add_part(self, part: Part) -> None:
        """Ensures that each unit is begun with or handed to once, and handed on at most once."""
        goes = {(s.first, s.second): self.model.new_bool_var("") for s in part.steps}
        begins = {unit: self.model.new_bool_var("") for unit in part.units}
        into: dict[Unit, list[Any]] = {unit: [] for unit in part.units}
        out: dict[Unit, list[Any]] = {unit: [] for unit in part.units}
        for (first, second), variable in goes.items():
            out[first].append(variable)
            into[second].append(variable)
        for unit in part.units:
            self.model.add_exactly_one([*into[unit], begins[unit]])
            self.model.add_at_most_one(out[unit])
        self.goes.append(goes)
        self.begins.append(begins)
        self.times.append({})
        for step in part.steps:
            self._add_step(step, goes[step.first, step.second])
        _Cloth(self, part, goes, begins).add()

    def _add_step(self, step: Step, taken: Any) -> None:
        """Ensures that a change has its minutes in its window and its people free."""
        cost = self.weights[1] * step.link.is_change + step.link.is_crossing
        if cost:
            self.costs.append(cost * taken)
        if step.rule is None or not step.needs_people:
            return
        from ortools.sat.python import cp_model

        people = step.rule.people
        spans = cp_model.Domain.from_intervals([[s.first_s, s.last_s] for s in step.starts])
        start = self.model.new_int_var_from_domain(spans, "")
        interval = self.model.new_optional_fixed_size_interval_var(
            start, step.rule.change_s, taken, ""
        )
        helpers = self.crew.dressers - self.crew.dressers_who_work
        least, most = max(0, people - helpers), min(people, self.crew.workers)
        workers: Any = least if least == most else self.model.new_int_var(least, most, "")
        if most:
            self.loads["workers"].append((interval, workers))
        if helpers and least < people:
            self.loads["helpers"].append((interval, people - workers))
        self.times[-1][step.first, step.second] = (start, workers)

    def hint(self, choices: Sequence[Choice]) -> None:
        """Begin from a choice that holds."""
        for choice, goes, begins, times in zip(
            choices, self.goes, self.begins, self.times, strict=True
        ):
            followed = set(choice.follower.values())
            for (first, second), variable in goes.items():
                self.model.add_hint(variable, choice.follower.get(first) == second)
            for unit, variable in begins.items():
                self.model.add_hint(variable, unit not in followed)
            for pair, (start, workers) in times.items():
                if pair in choice.timed:
                    self.model.add_hint(start, choice.timed[pair].starts_s)
                    if not isinstance(workers, int):
                        self.model.add_hint(workers, choice.timed[pair].workers)

    def solve(self, work: float, seed: int) -> Answer:
        """Search for so much deterministic time (a unit is some seconds): same in, same out."""
        from ortools.sat.python import cp_model

        solver = cp_model.CpSolver()
        parameters = solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = seed
        parameters.max_deterministic_time = work
        parameters.linearization_level = 2
        # A complete hint can be lost for seconds while presolve probes.
        parameters.cp_model_probing_level = 0
        parameters.max_presolve_iterations = 1
        parameters.symmetry_level = 0
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Answer(None, 0.0, False)
        choices = []
        for part, goes, times in zip(self.parts, self.goes, self.times, strict=True):
            choice = Choice()
            for step in part.steps:
                pair = (step.first, step.second)
                if not solver.boolean_value(goes[pair]):
                    continue
                choice.follower[step.first] = step.second
                if pair in times:
                    start, workers = times[pair]
                    choice.timed[pair] = Timed(solver.value(start), solver.value(workers))
                elif step.rule is not None:
                    choice.timed[pair] = Timed(step.starts[0].first_s, 0)
            choices.append(choice)
        return Answer(choices, solver.best_objective_bound, status == cp_model.OPTIMAL)


@dataclass(slots=True)
class _Cloth:
    """Hours of one part: bodies where tracks begin, cloth where a costume is first put on."""

    joint: JointModel
    part: Part
    goes: dict[tuple[Unit, Unit], Any]
    begins: dict[Unit, Any]

    def add(self) -> None:
        hours, minute = self.joint.hours, self.joint.weights[0]
        for unit, begin in self.begins.items():
            cost = hours.figure(self.part.guise) + hours.sewing(self._worn(unit))
            self._cost(minute * cost, begin)
        changing = [s for s in self.part.steps if s.rule is not None]
        if not changing:
            return
        self._add_cloth_put_on(changing)
        if any(hours.extra(self._worn(unit)) for unit in self.part.units):
            self._add_first_costume()

    def _worn(self, unit: Unit) -> CostumeId | None:
        return self.part.placed[unit[0]].appearance.costume

    def _cost(self, cost: int, variable: Any) -> None:
        if cost:
            self.joint.costs.append(cost * variable)

    def _carry(self, taken: Any) -> Any:
        """Something a figure brings along on a step, which it can only where it takes it."""
        carried = self.joint.model.new_bool_var("")
        self.joint.model.add_implication(carried, taken)
        return carried

    def _add_cloth_put_on(self, changing: Sequence[Step]) -> None:
        """A costume changed into is sewn for the figure, unless the figure wore it before."""
        hours, minute = self.joint.hours, self.joint.weights[0]
        brought: dict[CostumeId | None, dict[tuple[Unit, Unit], Any]] = {
            costume: self._bring_back(costume)
            for costume in self._coming_back(changing)
            if hours.sewing(costume)
        }
        for step in changing:
            costume = self._worn(step.second)
            cost = minute * (hours.sewing(costume) + hours.extra(costume))
            pair = (step.first, step.second)
            self._cost(cost, self.goes[pair])
            if costume in brought:
                self._cost(-cost, brought[costume][pair])

    def _coming_back(self, changing: Sequence[Step]) -> list[CostumeId]:
        """Costumes that a figure could leave and come back to."""
        after: dict[CostumeId | None, set[CostumeId | None]] = {}
        for step in changing:
            after.setdefault(self._worn(step.first), set()).add(self._worn(step.second))
        found = []
        for costume in after:
            reached: set[CostumeId | None] = set()
            to_do = [costume]
            while to_do:
                fresh = after.get(to_do.pop(), set()) - reached
                reached |= fresh
                to_do.extend(fresh)
            if costume is not None and costume in reached:
                found.append(costume)
        return found

    def _bring_back(self, costume: CostumeId) -> dict[tuple[Unit, Unit], Any]:
        """For steps back into a costume: whether the figure wore it before.

        As a flow along the tracks, which begins where the costume is left: the relaxation is far
        tighter than with a mark on every unit, and large shows take a third of the time.
        """
        into: dict[Unit, list[Any]] = {}
        out: dict[Unit, list[Any]] = {}
        back = {}
        for (first, second), taken in self.goes.items():
            if self._worn(first) == costume:
                into.setdefault(second, []).append(taken)
                continue
            carried = self._carry(taken)
            out.setdefault(first, []).append(carried)
            if self._worn(second) == costume:
                back[first, second] = carried
            else:
                into.setdefault(second, []).append(carried)
        for unit, carried_on in out.items():
            self.joint.model.add(sum(carried_on) <= sum(into.get(unit, ())))
        return back

    def _add_first_costume(self) -> None:
        """The costume that a figure begins in is dearer if it ever changes out of it."""
        into: dict[Unit, list[Any]] = {}
        out: dict[Unit, list[Any]] = {}
        for step in self.part.steps:
            taken = self.goes[step.first, step.second]
            has_changed = self._carry(taken)
            out.setdefault(step.first, []).append(has_changed)
            into.setdefault(step.second, []).append(taken if step.rule else has_changed)
            if step.rule is not None:
                cost = self.joint.weights[0] * self.joint.hours.extra(self._worn(step.first))
                self._cost(cost, taken)
                self._cost(-cost, has_changed)
        for unit, carried_on in out.items():
            self.joint.model.add(sum(carried_on) <= sum(into.get(unit, ())))
