"""Pins, people and ranges on larger plots against outside judges: HiGHS and networkx.

HiGHS (Huangfu and Hall 2018, Mathematical Programming Computation 10) through
scipy.optimize.milp is given models written here from the rules' words, unlike those of the core.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import networkx as nx
import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import lil_matrix

from scenes.core.counting import Stop, count_figures
from scenes.core.hands import Crew
from scenes.core.joint import BuildHours, check_joint, count_with_people
from scenes.core.pins import Apart, Pin, Same, count_pinned
from scenes.core.plot import Plot
from scenes.core.ranges import count_range, known_places
from tests.scenes.core.oracles import Unit, cost_of_step, lay_out, people_at
from tests.scenes.core.stories import crowded_plot
from tests.scenes.core.strategies import COSTUMES, plots


@dataclass
class Program:
    """A program of 0-1 variables, row by row."""

    costs: list[float] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def new(self, cost: float = 0) -> int:
        self.costs.append(cost)
        return len(self.costs) - 1

    def row(self, terms: dict[int, float], low: float, high: float) -> None:
        self.rows.append((terms, low, high))

    def solve(self) -> float | None:
        """The least cost, None where nothing satisfies the rows."""
        matrix = lil_matrix((max(1, len(self.rows)), len(self.costs)))
        for n, (terms, _, _) in enumerate(self.rows):
            for column, value in terms.items():
                matrix[n, column] = value
        low = [row[1] for row in self.rows] or [0]
        high = [row[2] for row in self.rows] or [0]
        found = milp(
            np.array(self.costs),
            integrality=np.ones(len(self.costs)),
            bounds=(0, 1),
            constraints=LinearConstraint(matrix.tocsr(), low, high),
        )
        return None if found.x is None else float(found.fun)


def steps_of(plot: Plot, units: Sequence[Unit]) -> dict[tuple[int, int], tuple[int, int]]:
    return {
        (i, j): cost
        for i, one in enumerate(units)
        for j, two in enumerate(units)
        if i != j and (cost := cost_of_step(plot, one, two)) is not None
    }


def lay_tracks(
    program: Program, units: Sequence[Unit], steps: dict[tuple[int, int], tuple[int, int]],
    costs: dict[tuple[int, int], float], start_costs: Sequence[float],
) -> tuple[dict[tuple[int, int], int], list[int]]:  # fmt: skip
    goes = {pair: program.new(costs[pair]) for pair in steps}
    starts = [program.new(cost) for cost in start_costs]
    for n in range(len(units)):
        into = {goes[pair]: 1.0 for pair in steps if pair[1] == n}
        program.row({**into, starts[n]: 1.0}, 1, 1)
        program.row({goes[pair]: 1.0 for pair in steps if pair[0] == n}, 0, 1)
    return goes, starts


@given(
    plot=plots(most_appearances=14, longest_scene_s=9, most_scenes=8, most_copies=1),
    data=st.data(),
)
def test_pinned_figures_changes_and_crossings_are_those_of_highs(
    plot: Plot, data: st.DataObject
) -> None:
    units = lay_out(plot)
    if len(units) < 2:
        return
    stops = [Stop(unit[0].key, unit[1]) for unit in units]
    pair = st.lists(st.sampled_from(stops), min_size=2, max_size=2, unique=True)
    pins: list[Pin] = data.draw(
        st.lists(st.one_of(pair.map(lambda p: Same(*p)), pair.map(lambda p: Apart(*p))), max_size=3)
    )
    pinned = count_pinned(plot, pins)
    steps = steps_of(plot, units)
    many = len(units) + 1
    program = Program()
    goes, _ = lay_tracks(
        program,
        units,
        steps,
        {step: many * cost[0] + cost[1] for step, cost in steps.items()},
        [many * many] * len(units),
    )
    # on[n]: whether n comes on the track of the pin's first, at or after it.
    at = {stop: n for n, stop in enumerate(stops)}
    for pin in pinned.kept:
        assert isinstance(pin, Same | Apart)
        first, second = sorted((at[pin.first], at[pin.second]))
        on = [program.new() for _ in units]
        program.row({on[first]: 1}, 1, 1)
        program.row({on[second]: 1}, int(isinstance(pin, Same)), int(isinstance(pin, Same)))
        for n in range(len(units)):
            if n == first:
                continue
            into = [pair for pair in steps if pair[1] == n]
            # On it is who follows somebody on it, and nobody else.
            program.row({on[n]: 1, **{goes[p]: -1.0 for p in into}}, -np.inf, 0)
            for p in into:
                program.row({on[n]: 1, on[p[0]]: -1, goes[p]: 1}, -np.inf, 1)
                program.row({on[n]: -1, on[p[0]]: 1, goes[p]: 1}, -np.inf, 1)
    best = program.solve()
    assert best is not None
    (guise,) = pinned.guises
    aims = len(guise.tracks) * many * many + guise.changes * many + guise.crossings
    assert round(best) == aims


def busy_plot(plot: Plot) -> Plot:
    """Held by one hand or two, as the row's number says; one second between scenes at least."""
    return replace(
        plot,
        scenes=tuple(replace(s, gap_s=s.gap_s + 2) for s in plot.scenes),
        appearances=tuple(
            replace(a, hold=("two hands", "one hand")[n % 2])
            for n, a in enumerate(plot.appearances)
        ),
    )


@given(
    plot=plots(
        most_appearances=14, guises=("Jory", "Heron", "Pell"), most_copies=1, longest_scene_s=6,
        most_scenes=7, has_rigs=False,
    ).map(busy_plot),
    performers=st.integers(0, 4),
)  # fmt: skip
def test_hours_and_changes_with_people_are_those_of_a_program_by_the_second(
    plot: Plot, performers: int
) -> None:
    """Bodies without cloth; each change has a 0-1 variable for every second it could start at."""
    bodies = {"Jory": 7, "Heron": 5, "Pell": 3}
    units = lay_out(plot)
    if not units:
        return
    steps = steps_of(plot, units)
    many = len(units) + 1
    program = Program()
    goes, _ = lay_tracks(
        program,
        units,
        steps,
        {step: many * cost[0] + cost[1] for step, cost in steps.items()},
        [many * many * bodies[str(unit[0].guise)] for unit in units],
    )
    busy: dict[int, dict[int, float]] = {}
    for (i, j), (changes, _) in steps.items():
        if not changes:
            continue
        a, b = units[i][0], units[j][0]
        (rule,) = [
            r for r in plot.rules
            if (r.guise, r.from_costume, r.to_costume) == (a.guise, a.costume, b.costume)
        ]  # fmt: skip
        walk_s = 0
        if a.to_place and b.from_place and a.to_place != b.from_place:
            walk_s = plot.walks.get((a.to_place, b.from_place), plot.crossing_s)
        last = units[j][2] - plot.reset_s - walk_s - rule.change_s
        begins = {program.new(): at_s for at_s in range(units[i][3], last + 1)}
        program.row({**dict.fromkeys(begins, 1.0), goes[i, j]: -1.0}, 0, 0)
        for column, at_s in begins.items():
            for second in range(at_s, at_s + rule.change_s):
                busy.setdefault(second, {})[column] = rule.people
    for second, terms in busy.items():
        program.row(terms, 0, max(0, performers - people_at(plot, second)[0]))
    hours = BuildHours(bodies)
    crew = Crew(performers)
    joint = count_with_people(plot, crew, hours)
    assert check_joint(plot, crew, hours, joint) == []
    assert joint.proved
    tracks = [track for guise in joint.guises for track in guise.tracks]
    aims = joint.build_min * many * many + sum(
        many * len(track.changes) + track.crossings for track in tracks
    )
    best = program.solve()
    assert best is not None
    assert round(best) == aims


@given(plot=plots(most_appearances=14, most_copies=1, most_scenes=6), seed=st.integers(0, 99))
def test_no_way_of_filling_blanks_leaves_the_range(plot: Plot, seed: int) -> None:
    """Counted by networkx (Hopcroft and Karp) on the pairs of plots filled at random."""
    found = count_range(plot)
    chance = random.Random(seed)
    places = known_places(plot)
    owned = {c for a in plot.appearances if (c := a.costume)}
    owned |= {c for r in plot.rules for c in (r.from_costume, r.to_costume)}
    worn = sorted(owned, key=str)
    assert len(worn) <= len(COSTUMES)
    for _ in range(10):
        filled = replace(
            plot,
            appearances=tuple(
                replace(
                    a,
                    costume=a.costume or chance.choice([*worn, None]),
                    from_place=a.from_place or chance.choice(places),
                    to_place=a.to_place or chance.choice(places),
                )
                for a in plot.appearances
            ),
        )
        units = lay_out(filled)
        graph = nx.Graph()
        exits = [("exit", n) for n in range(len(units))]
        graph.add_nodes_from(exits)
        graph.add_edges_from((("exit", i), ("entrance", j)) for i, j in steps_of(filled, units))
        matched = len(nx.bipartite.hopcroft_karp_matching(graph, exits)) // 2
        assert found.lowest <= len(units) - matched <= found.highest


def test_a_track_of_pairs_is_a_track() -> None:
    """The judge's own reading of a count: its steps are the pairs that it allows."""
    plot = crowded_plot(1)
    units = lay_out(plot)
    allowed = {(units[i][0].key, units[j][0].key) for i, j in steps_of(plot, units)}
    for guise in count_figures(plot).guises:
        for track in guise.tracks:
            assert all((one.key, two.key) in allowed for one, two in pairwise(track.stops))
