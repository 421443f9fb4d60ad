"""Tracks of one guise under pins: an exact model of hand-overs in which pins have labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from scenes.core.counting import Previous, Relation, Stop, Track
from scenes.core.counting.figures import make_track
from scenes.core.counting.handover import Unit, Weights, hand_overs_to_keep
from scenes.core.counting.matching import find_followers
from scenes.core.counting.relation import state_entering, state_leaving
from scenes.core.counting.stability import Played, Run, name_runs
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


@dataclass(slots=True)
class _Model:
    """Variables: a hand-over for each allowed pair of units, a start for each unit, labels."""

    placed: Sequence[Placed]
    relation: Relation
    ask: Ask
    previous: Previous
    units: list[Unit] = field(init=False)
    model: Any = field(init=False)
    goes: dict[tuple[Unit, Unit], Any] = field(init=False, default_factory=dict)
    starts: dict[Unit, Any] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        from ortools.sat.python import cp_model

        self.units = [
            (index, copy)
            for index, p in enumerate(self.placed)
            for copy in range(1, p.appearance.copies + 1)
        ]
        self.model = cp_model.CpModel()
        followers = find_followers(self.placed, self.relation)
        for i, after in enumerate(followers):
            for j in after:
                for one in range(1, self.placed[i].appearance.copies + 1):
                    for two in range(1, self.placed[j].appearance.copies + 1):
                        self.goes[(i, one), (j, two)] = self.model.new_bool_var("")
        into: dict[Unit, list[Any]] = {unit: [] for unit in self.units}
        out: dict[Unit, list[Any]] = {unit: [] for unit in self.units}
        for (first, second), variable in self.goes.items():
            out[first].append(variable)
            into[second].append(variable)
        for unit in self.units:
            self.starts[unit] = self.model.new_bool_var("")
            self.model.add_exactly_one([*into[unit], self.starts[unit]])
            self.model.add_at_most_one(out[unit])
        self._label()

    def _label(self) -> None:
        """Each pinned figure has a label that its track carries from end to end."""
        rank = {p.appearance.key: index for index, p in enumerate(self.placed)}
        groups = [{(rank[s.key], s.copy) for s in group} for group in self.ask.groups]
        apart = [
            ((rank[one.key], one.copy), (rank[two.key], two.copy)) for one, two in self.ask.apart
        ]
        grouped = {unit for group in groups for unit in group}
        singles = dict.fromkeys(unit for pair in apart for unit in pair if unit not in grouped)
        for group in [*groups, *({unit} for unit in singles)]:
            # Who must not be on this track; a label of its own is needed only if someone must not,
            # or if several must.
            foes = {two for one, two in apart if one in group}
            foes |= {one for one, two in apart if two in group}
            labels = {unit: self.model.new_bool_var("") for unit in self.units}
            for (first, second), variable in self.goes.items():
                self.model.add(labels[first] == labels[second]).only_enforce_if(variable)
            for unit in group:
                self.model.add(labels[unit] == 1)
            for unit in foes:
                self.model.add(labels[unit] == 0)
            if len(group) > 1:
                begins = []
                for unit in self.units:
                    begin = self.model.new_bool_var("")
                    self.model.add_bool_or([self.starts[unit].negated(), labels[unit].negated(),
                                            begin])  # fmt: skip
                    begins.append(begin)
                self.model.add_at_most_one(begins)

    def figures_first(self) -> Any:
        """Fewest figures, then changes, crossings, hand-overs kept."""
        costs, weights = self._costs()
        return weights.figure * sum(self.starts.values()) + sum(costs)

    def figures_last(self, target: int) -> Any:
        """At most `target` figures, as many of them as can be; then the other aims."""
        self.model.add(sum(self.starts.values()) <= target)
        costs, weights = self._costs()
        return sum(costs) - weights.figure * sum(self.starts.values())

    def _costs(self) -> tuple[list[Any], Weights]:
        kept = set(hand_overs_to_keep(self.placed, self.relation, self.previous))
        weights = Weights.of(len(self.units), len(kept), has_changes=True, has_crossings=True)
        costs = []
        for (first, second), variable in self.goes.items():
            link = self.relation.link(
                state_leaving(self.placed[first[0]]), state_entering(self.placed[second[0]])
            )
            assert link is not None
            cost = weights.of_link(link) - ((first, second) in kept)
            if cost:
                costs.append(cost * variable)
        return costs, weights

    def hint(self, tracks: Sequence[Track]) -> None:
        """Begin from these tracks."""
        rank = {p.appearance.key: index for index, p in enumerate(self.placed)}
        steps = {
            ((rank[one.key], one.copy), (rank[two.key], two.copy))
            for track in tracks
            for one, two in zip(track.stops, track.stops[1:], strict=False)
        }
        self._hint(steps)

    def hint_again(self, found: _Found) -> None:
        """Begin from an earlier answer."""
        self._hint(set(found.follower.items()))

    def _hint(self, steps: set[tuple[Unit, Unit]]) -> None:
        self.model.clear_hints()
        taken = {second for _, second in steps}
        for pair, variable in self.goes.items():
            self.model.add_hint(variable, pair in steps)
        for unit, variable in self.starts.items():
            self.model.add_hint(variable, unit not in taken)

    def solve(self, cost: Any) -> _Found | None:
        """The best answer, or None where there is none (or none was found in the work given)."""
        from ortools.sat.python import cp_model

        self.model.minimize(cost)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = MOST_WORK
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        follower = {
            first: second
            for (first, second), variable in self.goes.items()
            if solver.boolean_value(variable)
        }
        return _Found(follower, len(self.units) - len(follower), status == cp_model.OPTIMAL)

    def make_tracks(self, found: _Found) -> tuple[Track, ...]:
        """Tracks by first entrance, carrying on those of the last count."""
        follower: Mapping[Unit, Unit] = found.follower
        followed = set(follower.values())
        ways = []
        for start in self.units:
            if start in followed:
                continue
            way = [start]
            while way[-1] in follower:
                way.append(follower[way[-1]])
            ways.append(way)
        ways.sort(key=lambda way: [*(index for index, _ in way), len(self.placed)])
        runs = []
        for way in ways:
            run = Run()
            for index, copy in way:
                stop = (self.placed[index].appearance.key, copy)
                run.played.append(Played(index, self.previous.get(stop)))
            runs.append(run)
        name_runs(runs)
        return tuple(
            make_track(
                tuple(Stop(self.placed[index].appearance.key, copy) for index, copy in way),
                [self.placed[index] for index, _ in way],
                run,
                self.relation,
            )
            for way, run in zip(ways, runs, strict=True)
        )
