"""Measuring the count against general libraries, in one run on stated plots.

The libraries are given the pairs ready-made, per guise, and answer the number of figures alone;
the count is timed whole: from the plot to tracks, changes, crossings and reasons. Times depend on
the machine, ratios less so. Nothing is printed here.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec

from scenes.core.counting import Relation, count_figures
from scenes.core.plot import Appearance, ChangeRule, Placed, Plot, Scene, place_appearances

REFERENCE = "OR-Tools max flow"
SCIPY = "scipy bipartite matching"
MOST_PAIRS = 2_000_000  # beyond it the pairs alone fill the memory
# scipy's bipartite matching has very bad cases: on larger plots it did not end within minutes.
MOST_PAIRS_SCIPY = 100_000


@dataclass(frozen=True, slots=True)
class StatedPlot:
    """The size of a random plot; the same `seed` gives the same plot."""

    appearances: int
    guises: int
    scenes: int
    costumes: int = 5
    change_share: float = 0.6  # of the ordered pairs of costumes
    seed: int = 1

    def __str__(self) -> str:
        guises = "1 guise" if self.guises == 1 else f"{self.guises} guises"
        return f"{self.appearances} appearances, {guises}, {self.scenes} scenes"


PLOTS = (
    StatedPlot(30, 6, 10),
    StatedPlot(100, 1, 30),
    StatedPlot(400, 60, 60),
    StatedPlot(1_000, 1, 60),
    StatedPlot(10_000, 25, 300),
    StatedPlot(10_000, 1, 1_000),
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One method on one plot; `median_s` None where it was not run, and `note` says why."""

    plot: str
    method: str
    figures: int | None
    median_s: float | None
    ratio: float | None  # to the reference in the same run: below 1 is quicker
    note: str = ""


def measure_counting(plots: Sequence[StatedPlot] = PLOTS, runs: int = 5) -> list[Measured]:
    """Medians of `runs` (>= 1) for the count and each library at hand, and their ratios."""
    if runs < 1:
        raise ValueError(f"runs is {runs}, fewer than 1")
    count_figures(make_plot(StatedPlot(60, 1, 10)))  # what is loaded on first use is not timed
    return [row for stated in plots for row in _measure_plot(stated, runs)]


def make_plot(stated: StatedPlot) -> Plot:
    """A random plot of the size stated: scenes of five minutes, a third of it whole scenes."""
    chance = random.Random(stated.seed)
    scenes = tuple(
        Scene(n, str(n + 1), 300, chance.choice((0, 0, 30, 60))) for n in range(stated.scenes)
    )
    places = ("left", "right", "")
    worn = []
    for key in range(stated.appearances):
        guise = chance.randrange(stated.guises)
        enters_s = leaves_s = None
        if chance.random() > 1 / 3:
            enters_s = chance.randrange(240)
            leaves_s = chance.randrange(enters_s + 20, 301)
        worn.append(
            Appearance(
                key,
                guise,
                (guise, chance.randrange(stated.costumes)),
                chance.randrange(stated.scenes),
                enters_s,
                leaves_s,
                from_place=chance.choice(places),
                to_place=chance.choice(places),
            )
        )
    rules = tuple(
        ChangeRule(guise, (guise, one), (guise, two), chance.choice((30, 60, 120)))
        for guise in range(stated.guises)
        for one in range(stated.costumes)
        for two in range(stated.costumes)
        if one != two and chance.random() < stated.change_share
    )
    return Plot(scenes, tuple(worn), rules, crossing_s=60, reset_s=30)


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Who may follow whom in one guise: `size` appearances, pairs as two columns."""

    size: int
    exits: list[int]
    entrances: list[int]


def _measure_plot(stated: StatedPlot, runs: int) -> list[Measured]:
    plot = make_plot(stated)
    counted: list[int] = []

    def count() -> int:
        return count_figures(plot).figures

    ours_s = _median(count, runs, counted)
    pairs = _make_pairs(plot)
    timed: dict[str, tuple[int, float] | str] = {}
    for method, (package, solve) in _METHODS.items():
        if pairs is None:
            timed[method] = f"not run: more than {MOST_PAIRS} pairs"
        elif method == SCIPY and sum(len(p.exits) for p in pairs) > MOST_PAIRS_SCIPY:
            timed[method] = f"not run: more than {MOST_PAIRS_SCIPY} pairs"
        elif find_spec(package) is None:
            timed[method] = f"not run: {package} is not installed"
        else:
            timed[method] = _time_method(solve, pairs, runs)
    reference = timed[REFERENCE]
    reference_s = None if isinstance(reference, str) else reference[1]
    rows = [Measured(str(stated), "Strung, whole count", counted[0], ours_s,
                     ours_s / reference_s if reference_s else None)]  # fmt: skip
    for method, found in timed.items():
        if isinstance(found, str):
            rows.append(Measured(str(stated), method, None, None, None, found))
            continue
        figures, median_s = found
        ratio = median_s / reference_s if reference_s else None
        note = "" if figures == counted[0] else "another number of figures"
        rows.append(Measured(str(stated), method, figures, median_s, ratio, note))
    return rows


def _time_method(
    solve: Callable[[_Pairs], int], pairs: list[_Pairs], runs: int
) -> tuple[int, float]:
    solve(_Pairs(2, [0], [1]))  # what is loaded on first use is not timed
    answers: list[int] = []
    median_s = _median(lambda: sum(p.size - solve(p) for p in pairs), runs, answers)
    return answers[0], median_s


def _median(work: Callable[[], int], runs: int, answers: list[int]) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        answers.append(work())
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def _make_pairs(plot: Plot) -> list[_Pairs] | None:
    """The pairs of each guise; None where there are too many to hold."""
    by_guise: dict[object, list[Placed]] = {}
    for placed in place_appearances(plot):
        by_guise.setdefault(placed.appearance.guise, []).append(placed)
    if sum(len(group) ** 2 for group in by_guise.values()) > 4 * MOST_PAIRS:
        return None
    found = []
    for guise, group in by_guise.items():
        relation = Relation(plot, guise)
        pairs = [
            (i, j)
            for i, first in enumerate(group)
            for j in range(i + 1, len(group))
            if relation.can_follow(first, group[j])
        ]
        found.append(_Pairs(len(group), [i for i, _ in pairs], [j for _, j in pairs]))
    return found


def _match_by_networkx(pairs: _Pairs) -> int:
    import networkx as nx

    graph = nx.Graph()
    exits = range(pairs.size)
    graph.add_nodes_from(exits)
    graph.add_edges_from(
        (i, pairs.size + j) for i, j in zip(pairs.exits, pairs.entrances, strict=True)
    )
    return len(nx.bipartite.hopcroft_karp_matching(graph, exits)) // 2


def _match_by_scipy(pairs: _Pairs) -> int:
    import numpy as np
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import maximum_bipartite_matching

    ones = np.ones(len(pairs.exits), dtype=np.int32)
    exits = np.array(pairs.exits, dtype=np.int32)
    entrances = np.array(pairs.entrances, dtype=np.int32)
    matrix = csr_matrix((ones, (exits, entrances)), shape=(pairs.size, pairs.size))
    return int((maximum_bipartite_matching(matrix) >= 0).sum())


def _match_by_ortools(pairs: _Pairs) -> int:
    import numpy as np
    from ortools.graph.python import max_flow

    size = pairs.size
    source, sink = 2 * size, 2 * size + 1
    nodes = np.arange(size, dtype=np.int32)
    tails = np.concatenate([np.full(size, source, dtype=np.int32),
                            np.array(pairs.exits, dtype=np.int32), size + nodes])  # fmt: skip
    heads = np.concatenate([nodes, size + np.array(pairs.entrances, dtype=np.int32),
                            np.full(size, sink, dtype=np.int32)])  # fmt: skip
    solver = max_flow.SimpleMaxFlow()
    solver.add_arcs_with_capacity(tails, heads, np.ones(len(tails), dtype=np.int64))
    if solver.solve(source, sink) != solver.OPTIMAL:
        raise RuntimeError("OR-Tools found no maximum flow")
    return int(solver.optimal_flow())


_METHODS: dict[str, tuple[str, Callable[[_Pairs], int]]] = {
    REFERENCE: ("ortools", _match_by_ortools),
    SCIPY: ("scipy", _match_by_scipy),
    "networkx Hopcroft-Karp": ("networkx", _match_by_networkx),
}
