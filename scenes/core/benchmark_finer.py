"""Measuring the finer questions: fewest changes, people, ranges, pins, what would save a figure.

For the fewest changes general libraries are given the same pooled network ready-made and answer
hand-overs and cost; ours is timed from the plot to tracks. The other questions no general library
answers as they stand: they are timed alone. Nothing is printed here.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from importlib.util import find_spec
from typing import Any

from scenes.core.benchmark import Measured, StatedPlot, make_plot
from scenes.core.counting import Relation
from scenes.core.counting.cover import make_covers
from scenes.core.counting.network import pooled_arcs
from scenes.core.hands import Crew
from scenes.core.joint import BuildHours, count_with_people
from scenes.core.pins import More, Same, count_pinned
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene, place_appearances
from scenes.core.ranges import count_range
from scenes.core.savings import find_savings

REFERENCE = "OR-Tools cheapest flow, pooled"
MOST_ARCS_NETWORKX = 20_000  # beyond it networkx takes minutes
CHANGES = (StatedPlot(1_000, 1, 60), StatedPlot(10_000, 1, 1_000))
SHOW = (60, 25, 3)  # scenes, roles, costumes
DEMO = StatedPlot(30, 6, 10, costumes=3, change_share=0.2)


@dataclass(frozen=True, slots=True)
class _Arcs:
    """A flow problem: arcs as columns, nodes numbered from 0."""

    tails: list[int]
    heads: list[int]
    room: list[int]
    costs: list[int]
    nodes: int
    source: int
    sink: int


def measure_finer(
    runs: int = 5, only: str = "", plots: Iterable[StatedPlot] = CHANGES
) -> list[Measured]:
    """Medians of `runs` (>= 1) for each question whose name begins with `only`.

    Questions: changes, people, ranges, pins, savings. Raises ValueError for fewer than one run.
    """
    if runs < 1:
        raise ValueError(f"runs is {runs}, fewer than 1")
    rows: list[Measured] = []
    if "changes".startswith(only):
        rows += [row for stated in plots for row in _measure_changes(stated, runs)]
    for name, measure in _QUESTIONS.items():
        if name.startswith(only):
            rows += measure(runs)
    return rows


# Fewest changes


def _measure_changes(stated: StatedPlot, runs: int) -> list[Measured]:
    plot = make_plot(stated)
    parts = _parts(plot)

    def ours() -> tuple[int, int]:
        covers = [
            cover
            for guise in plot.all_guises()
            for cover in make_covers(place_appearances(plot, guise), Relation(plot, guise), {})
        ]
        changes = 0
        for cover in covers:
            worn = [placed.appearance.costume for placed in cover.placed]
            for hand in cover.hand_overs:
                changes += hand.units * (worn[hand.first] != worn[hand.second])
        return sum(cover.figures for cover in covers), changes

    name = f"fewest changes, {stated}"
    (figures, changes), ours_s = _median(ours, runs)
    timed: dict[str, tuple[int, float] | str] = {}
    for method, (package, solve) in _METHODS.items():
        arcs = sum(len(part.tails) for part, _ in parts)
        if find_spec(package) is None:
            timed[method] = f"not run: {package} is not installed"
        elif package == "networkx" and arcs > MOST_ARCS_NETWORKX:
            timed[method] = f"not run: more than {MOST_ARCS_NETWORKX} arcs"
        else:
            flows, median_s = _median(partial(_by, solve, parts), runs if arcs < 50_000 else 1)
            timed[method] = (sum(units for _, units in parts) - flows, median_s)
    reference = timed[REFERENCE]
    base_s = None if isinstance(reference, str) else reference[1]
    note = f"{changes} changes"
    rows = [Measured(name, "Strung, tracks", figures, ours_s, _over(ours_s, base_s), note)]
    for method, found in timed.items():
        if isinstance(found, str):
            rows.append(Measured(name, method, None, None, None, found))
        else:
            other = "" if found[0] == figures else "another number of figures"
            rows.append(Measured(name, method, found[0], found[1], _over(found[1], base_s), other))
    return rows


def _parts(plot: Plot) -> list[tuple[_Arcs, int]]:
    """The pooled network of each guise, with the copies in it."""
    found = []
    for guise in plot.all_guises():
        placed = place_appearances(plot, guise)
        arcs = _Arcs(*pooled_arcs(placed, Relation(plot, guise)))
        found.append((arcs, sum(p.appearance.copies for p in placed)))
    return found


def _by(solve: Callable[[_Arcs], int], parts: list[tuple[_Arcs, int]]) -> int:
    return sum(solve(arcs) for arcs, _ in parts)


def _flow_by_ortools(arcs: _Arcs) -> int:
    import numpy as np
    from ortools.graph.python import min_cost_flow

    solver = min_cost_flow.SimpleMinCostFlow()
    solver.add_arcs_with_capacity_and_unit_cost(
        np.array(arcs.tails, dtype=np.int32),
        np.array(arcs.heads, dtype=np.int32),
        np.array(arcs.room, dtype=np.int64),
        np.array(arcs.costs, dtype=np.int64),
    )
    most = sum(r for t, r in zip(arcs.tails, arcs.room, strict=True) if t == arcs.source)
    solver.set_node_supply(arcs.source, most)
    solver.set_node_supply(arcs.sink, -most)
    if solver.solve_max_flow_with_min_cost() != solver.OPTIMAL:
        raise RuntimeError("OR-Tools found no cheapest flow")
    return int(solver.maximum_flow())


def _flow_by_highs(arcs: _Arcs) -> int:
    """The most hand-overs as a linear program; its cost is then the least beside that number."""
    import numpy as np
    from scipy.optimize import linprog
    from scipy.sparse import csr_matrix

    size = len(arcs.tails)
    columns = np.arange(size)
    ends = np.concatenate([np.array(arcs.tails), np.array(arcs.heads)])
    signs = np.concatenate([np.ones(size), -np.ones(size)])
    balance = csr_matrix((signs, (ends, np.concatenate([columns, columns]))))
    inner = [n for n in range(arcs.nodes) if n not in (arcs.source, arcs.sink)]
    # One hand-over more outweighs whatever the hand-overs can cost together.
    prize = max(arcs.costs, default=0) * arcs.nodes + 1
    out = np.array([tail == arcs.source for tail in arcs.tails])
    cost = np.array(arcs.costs, dtype=float) - prize * out
    found = linprog(
        cost,
        A_eq=balance[inner],
        b_eq=np.zeros(len(inner)),
        bounds=np.column_stack([np.zeros(size), np.array(arcs.room)]),
        method="highs",
    )
    if not found.success:
        raise RuntimeError(f"HiGHS: {found.message}")
    return round(float(found.x[out].sum()))


def _flow_by_networkx(arcs: _Arcs) -> int:
    import networkx as nx

    graph = nx.DiGraph()
    for tail, head, room, cost in zip(arcs.tails, arcs.heads, arcs.room, arcs.costs, strict=True):
        graph.add_edge(tail, head, capacity=room, weight=cost)
    flow = nx.max_flow_min_cost(graph, arcs.source, arcs.sink)
    return sum(flow[arcs.source].values())


_METHODS: dict[str, tuple[str, Callable[[_Arcs], int]]] = {
    REFERENCE: ("ortools", _flow_by_ortools),
    "scipy HiGHS, pooled": ("scipy", _flow_by_highs),
    "networkx cheapest flow, pooled": ("networkx", _flow_by_networkx),
}


# People, ranges, pins, savings


def make_show(scenes: int, roles: int, costumes: int, seed: int = 1) -> tuple[Plot, BuildHours]:
    """A random show in which changes compete for people, and the hours to build it.

    Each role is on in about a quarter of the scenes, keeps its costume for a while, and may make
    seven of ten changes between its costumes, in one to five minutes, with one or two people.
    """
    chance = random.Random(seed)
    play = tuple(
        Scene(n, str(n), chance.choice((120, 180, 240, 300)), chance.choice((0, 15, 30, 60)))
        for n in range(scenes)
    )
    worn: list[Appearance] = []
    rules: list[ChangeRule] = []
    for role in range(roles):
        now = chance.randrange(costumes)
        for n in range(scenes):
            if chance.random() < 0.25:
                now = chance.randrange(costumes) if chance.random() < 0.3 else now
                hold = chance.choice(("two hands", "one hand", "one hand"))
                worn.append(Appearance((role, n), role, (role, now), n, hold=hold))
        rules += [
            ChangeRule(
                role,
                (role, one),
                (role, two),
                chance.choice((60, 120, 180, 300)),
                chance.choice((1, 1, 2)),
            )
            for one in range(costumes)
            for two in range(costumes)
            if one != two and chance.random() < 0.7
        ]
    hours = BuildHours(
        {role: chance.randrange(3000, 9000) for role in range(roles)},
        {(role, n): chance.randrange(400, 2400) for role in range(roles) for n in range(costumes)},
    )
    return Plot(play, tuple(worn), tuple(rules), crossing_s=20, reset_s=30), hours


def _measure_people(runs: int) -> list[Measured]:
    plot, hours = make_show(*SHOW)
    crew = Crew(performers=7, dressers=2)
    joint, median_s = _median(lambda: count_with_people(plot, crew, hours), min(runs, 3))
    note = "proved" if joint.proved else f"gap {100 * joint.gap:.1f} %"
    name = "people, {} scenes x {} roles x {} costumes".format(*SHOW)
    return [Measured(name, "Strung, joint optimum", joint.figures, median_s, None, note)]


def _measure_ranges(runs: int) -> list[Measured]:
    chance = random.Random(1)
    plot = make_plot(DEMO)
    blank = {a.key for a in plot.appearances if chance.random() < 0.2}
    open_plot = replace(
        plot,
        appearances=tuple(
            replace(a, costume=None) if a.key in blank else a for a in plot.appearances
        ),
    )
    found, median_s = _median(lambda: count_range(open_plot), runs)
    note = f"{len(blank)} costumes not decided: {found.lowest} to {found.highest}"
    return [Measured(f"ranges, {DEMO}", "Strung, both ends", found.figures, median_s, None, note)]


def _measure_pins(runs: int) -> list[Measured]:
    plot = make_plot(DEMO)
    tracks = [t for g in count_pinned(plot, ()).guises for t in g.tracks if len(t.stops) > 2]
    pins = (Same(tracks[0].stops[0], tracks[0].stops[-1]), More(plot.all_guises()[1], 1))
    found, median_s = _median(lambda: count_pinned(plot, pins), runs)
    note = f"{len(found.kept)} of {len(pins)} kept"
    return [Measured(f"pins, {DEMO}", "Strung, pinned", found.build, median_s, None, note)]


def _measure_savings(runs: int) -> list[Measured]:
    plot = make_plot(DEMO)
    hours = dict.fromkeys(plot.all_guises(), 5400)
    found, median_s = _median(lambda: find_savings(plot, hours), runs)
    note = f"{len(found)} edits save a figure"
    return [Measured(f"savings, {DEMO}", "Strung, every edit", None, median_s, None, note)]


_QUESTIONS: dict[str, Callable[[int], list[Measured]]] = {
    "people": _measure_people,
    "ranges": _measure_ranges,
    "pins": _measure_pins,
    "savings": _measure_savings,
}


def _median(work: Callable[[], Any], runs: int) -> tuple[Any, float]:
    work()  # what is loaded on first use is not timed
    times, answer = [], None
    for _ in range(runs):
        start = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - start)
    return answer, statistics.median(times)


def _over(median_s: float, base_s: float | None) -> float | None:
    return median_s / base_s if base_s else None
