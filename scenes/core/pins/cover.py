"""Tracks of one guise under pins: an exact model of hand-overs in which pins have labels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from scenes.core.counting import Previous, Relation, Stop, Track
from scenes.core.counting.handover import Unit, Weights, hand_overs_to_keep
from scenes.core.counting.matching import find_followers
from scenes.core.counting.relation import state_entering, state_leaving
from scenes.core.counting.threading import list_units, thread_tracks
from scenes.core.plot import Placed

# Deterministic seconds of the solver for each of the two questions; one is about 3.6 s of clock.
MOST_WORK = 3.0


@dataclass(frozen=True, slots=True)
class Ask:
    """Stops that are one figure, pairs that are two, and how many figures more."""

    groups: tuple[frozenset[Stop], ...]
    apart: tuple[tuple[Stop, Stop], ...]
    more: int = 0


@dataclass(frozen=True, slots=True)
class PinnedCover:
    """The tracks, the figures asked for that play nothing, and whether better is ruled out."""

    tracks: tuple[Track, ...]
    idle: int
    is_proved: bool


def solve_pinned(
    placed: Sequence[Placed],
    relation: Relation,
    ask: Ask,
    hint: Sequence[Track],
    previous: Previous,
) -> PinnedCover | None:
    """The best tracks of one guise that honour what is asked; None where none do.

    Aims in order: fewest figures (with `more`: as many as asked for, where there is something to
    play), changes, crossings, hand-overs of `previous` lost. `hint` is a plain count's tracks.
    The same input gives the same answer: one worker, a fixed seed, deterministic work.
    """
    model = _Model(placed, relation, ask, previous)
    model.hint(hint)
    least = model.solve(model.figures_first())
    if least is None:
        return None
    target = least.figures + ask.more
    best = least
    if ask.more:
        model.hint_again(least)
        best = model.solve(model.figures_last(target)) or least
    return PinnedCover(
        model.make_tracks(best), target - best.figures, least.is_proved and best.is_proved
    )


@dataclass(slots=True)
class _Found:
    """An answer of the solver: which unit follows which."""

    follower: dict[Unit, Unit]
    figures: int
    is_proved: bool


@dataclass(frozen=True, slots=True)
class _Line:
    """One pinned figure, or (without members) all the others: who may be on its track."""

    members: frozenset[Unit]
    may_play: frozenset[Unit]


@dataclass(slots=True)
class _Model:
    """Variables: on each line a hand-over for each allowed pair of units, and a start for each.

    Each pinned figure is a line of its own, with exactly one track; all other figures share one
    line. A line for each keeps the linear relaxation close to the truth.
    """

    placed: Sequence[Placed]
    relation: Relation
    ask: Ask
    previous: Previous
    units: list[Unit] = field(init=False)
    model: Any = field(init=False)
    lines: list[_Line] = field(init=False)
    goes: dict[tuple[Unit, Unit], list[Any]] = field(init=False, default_factory=dict)
    starts: dict[Unit, list[Any]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        from ortools.sat.python import cp_model

        self.units = list_units(self.placed)
        self.model = cp_model.CpModel()
        self.lines = self._make_lines()
        followers = find_followers(self.placed, self.relation)
        pairs = [
            (first, second)
            for first in self.units
            for j in followers[first[0]]
            for second in ((j, copy) for copy in range(1, self.placed[j].appearance.copies + 1))
        ]
        begun: dict[Unit, list[Any]] = {unit: [] for unit in self.units}
        for line in self.lines:
            self._lay_line(line, pairs, begun)
        for unit in self.units:
            self.model.add_exactly_one(begun[unit])

    def _lay_line(
        self, line: _Line, pairs: Sequence[tuple[Unit, Unit]], begun: dict[Unit, list[Any]]
    ) -> None:
        """Tracks of one line: what comes to a unit on it, and what goes on."""
        into: dict[Unit, list[Any]] = {unit: [] for unit in line.may_play}
        out: dict[Unit, list[Any]] = {unit: [] for unit in line.may_play}
        for first, second in pairs:
            if first in line.may_play and second in line.may_play:
                variable = self.model.new_bool_var("")
                self.goes.setdefault((first, second), []).append(variable)
                out[first].append(variable)
                into[second].append(variable)
        starts = []
        for unit in self.units:
            if unit not in line.may_play:
                continue
            start = self.model.new_bool_var("")
            starts.append(start)
            self.starts.setdefault(unit, []).append(start)
            into[unit].append(start)
            begun[unit].extend(into[unit])
            self.model.add(sum(out[unit]) <= sum(into[unit]))
            if unit in line.members:
                self.model.add_exactly_one(into[unit])
        if line.members:
            self.model.add_exactly_one(starts)

    def _make_lines(self) -> list[_Line]:
        """A line for each group, and for one of each pair kept apart that is in none."""
        rank = {p.appearance.key: index for index, p in enumerate(self.placed)}
        groups = [frozenset((rank[s.key], s.copy) for s in group) for group in self.ask.groups]
        apart = [
            ((rank[one.key], one.copy), (rank[two.key], two.copy)) for one, two in self.ask.apart
        ]
        has_line = {unit for group in groups for unit in group}
        for one, two in apart:
            if one not in has_line and two not in has_line:
                groups.append(frozenset({one}))
                has_line.add(one)
        lines = []
        for group in groups:
            foes = {two for one, two in apart if one in group}
            foes |= {one for one, two in apart if two in group}
            may_play = [
                unit
                for unit in self.units
                if unit in group
                or (unit not in has_line and unit not in foes and self._fits(unit, group))
            ]
            lines.append(_Line(group, frozenset(may_play)))
        rest = frozenset(unit for unit in self.units if unit not in has_line)
        return [*lines, _Line(frozenset(), rest)]

    def _fits(self, unit: Unit, group: frozenset[Unit]) -> bool:
        """Whether a unit is on at no time at which a member is."""
        mine = self.placed[unit[0]]
        return all(
            mine.leaves_s <= self.placed[i].enters_s or self.placed[i].leaves_s <= mine.enters_s
            for i, _ in group
        )

    def figures_first(self) -> Any:
        """Fewest figures, then changes, crossings, hand-overs kept."""
        costs, weights = self._costs()
        return weights.figure * self._figures() + sum(costs)

    def figures_last(self, target: int) -> Any:
        """At most `target` figures, as many of them as can be; then the other aims."""
        self.model.add(self._figures() <= target)
        costs, weights = self._costs()
        return sum(costs) - weights.figure * self._figures()

    def _figures(self) -> Any:
        return sum(start for starts in self.starts.values() for start in starts)

    def _costs(self) -> tuple[list[Any], Weights]:
        kept = set(hand_overs_to_keep(self.placed, self.relation, self.previous))
        weights = Weights.of(len(self.units), len(kept), has_changes=True, has_crossings=True)
        costs: list[Any] = []
        for (first, second), variables in self.goes.items():
            link = self.relation.link(
                state_leaving(self.placed[first[0]]), state_entering(self.placed[second[0]])
            )
            assert link is not None
            cost = weights.of_link(link) - ((first, second) in kept)
            if cost:
                costs.extend(cost * variable for variable in variables)
        return costs, weights

    def hint(self, tracks: Sequence[Track]) -> None:
        """Begin from these tracks."""
        rank = {p.appearance.key: index for index, p in enumerate(self.placed)}
        steps = {
            ((rank[one.key], one.copy), (rank[two.key], two.copy))
            for track in tracks
            for one, two in pairwise(track.stops)
        }
        self._hint(steps)

    def hint_again(self, found: _Found) -> None:
        """Begin from an earlier answer."""
        self._hint(set(found.follower.items()))

    def _hint(self, steps: set[tuple[Unit, Unit]]) -> None:
        self.model.clear_hints()
        taken = {second for _, second in steps}
        for pair, variables in self.goes.items():
            if len(variables) == 1 or pair not in steps:
                for variable in variables:
                    self.model.add_hint(variable, pair in steps)
        for unit, variables in self.starts.items():
            if len(variables) == 1 or unit in taken:
                for variable in variables:
                    self.model.add_hint(variable, unit not in taken)

    def solve(self, cost: Any) -> _Found | None:
        """The best answer, or None where there is none (or none was found in the work given)."""
        from ortools.sat.python import cp_model

        self.model.minimize(cost)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = MOST_WORK
        solver.parameters.linearization_level = 2  # 0.3 s where level 1 ended without a proof
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        follower = {
            first: second
            for (first, second), variables in self.goes.items()
            if any(solver.boolean_value(variable) for variable in variables)
        }
        return _Found(follower, len(self.units) - len(follower), status == cp_model.OPTIMAL)

    def make_tracks(self, found: _Found) -> tuple[Track, ...]:
        """The tracks of an answer."""
        return thread_tracks(self.placed, found.follower, self.relation, self.previous)
