"""The count against outside judges: every partition tried, networkx, scipy, and OR-Tools.

Fewest tracks = appearances less a maximum matching of exits to entrances: Fulkerson 1956, Note on
Dilworth's decomposition theorem for partially ordered sets, Proceedings of the AMS 7; the
matching by Hopcroft and Karp 1973, SIAM Journal on Computing 2.
"""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from scenes.core.counting import GuiseCount, check_count, count_figures, count_guise
from scenes.core.counting.assignment import assign
from scenes.core.counting.cover import Solver
from scenes.core.counting.network import flow
from scenes.core.plot import Plot
from tests.scenes.core.oracles import Unit, best_by_trying_all, cost_of_step, lay_out, old_steps
from tests.scenes.core.strategies import plots

SOLVERS = [pytest.param(assign, id="assignment"), pytest.param(flow, id="flow")]


def steps_allowed(plot: Plot, units: list[Unit]) -> list[tuple[int, int]]:
    return [
        (i, j)
        for i, before in enumerate(units)
        for j, after in enumerate(units)
        if i != j and cost_of_step(plot, before, after) is not None
    ]


def aims(counted: GuiseCount) -> tuple[int, int, int]:
    return counted.figures, counted.changes, counted.crossings


@pytest.mark.parametrize("solver", SOLVERS)
@given(plot=plots())
def test_all_aims_are_those_of_the_best_partition(solver: Solver, plot: Plot) -> None:
    counted = count_guise(plot, "Jory", solver=solver)
    assert aims(counted) == best_by_trying_all(plot)[:3]


@pytest.mark.parametrize("solver", SOLVERS)
@given(plot=plots(most_appearances=5), data=st.data())
def test_old_steps_are_kept_as_far_as_the_higher_aims_allow(
    solver: Solver, plot: Plot, data: st.DataObject
) -> None:
    stops = [(unit[0].key, unit[1]) for unit in lay_out(plot)]
    known = data.draw(st.lists(st.sampled_from(stops), unique=True)) if stops else []
    previous = {stop: data.draw(st.sampled_from("ABC")) for stop in known}
    counted = count_guise(plot, "Jory", previous, solver=solver)
    old = old_steps(plot, previous)
    made = [
        (one.key, two.key)
        for track in counted.tracks
        for one, two in zip(track.stops, track.stops[1:], strict=False)
    ]
    lost = old.total() - sum(min(made.count(step), times) for step, times in old.items())
    assert (*aims(counted), lost) == best_by_trying_all(plot, previous)


@given(plot=plots(most_appearances=25, most_copies=3, longest_scene_s=9, most_scenes=8))
def test_figures_are_those_of_networkx_and_scipy(plot: Plot) -> None:
    units = lay_out(plot)
    steps = steps_allowed(plot, units)
    graph = nx.Graph()
    graph.add_nodes_from(("exit", i) for i in range(len(units)))
    graph.add_edges_from((("exit", i), ("entrance", j)) for i, j in steps)
    exits = [("exit", i) for i in range(len(units))]
    by_networkx = len(units) - len(nx.bipartite.hopcroft_karp_matching(graph, exits)) // 2
    rows = np.array([i for i, _ in steps], dtype=np.int32)
    columns = np.array([j for _, j in steps], dtype=np.int32)
    size = max(len(units), 1)
    matrix = csr_matrix((np.ones(len(steps), dtype=np.int32), (rows, columns)), (size, size))
    by_scipy = len(units) - int((maximum_bipartite_matching(matrix) >= 0).sum())
    counted = count_guise(plot, "Jory")
    assert counted.figures == by_networkx == by_scipy


@given(plot=plots(most_appearances=25, most_copies=3, longest_scene_s=9, most_scenes=8))
def test_both_methods_reach_the_same_aims(plot: Plot) -> None:
    one = count_guise(plot, "Jory", solver=assign)
    two = count_guise(plot, "Jory", solver=flow)
    assert aims(one) == aims(two)


@given(plot=plots(most_appearances=25, most_copies=2, longest_scene_s=9, most_scenes=8))
def test_all_aims_are_those_of_a_plain_minimum_cost_flow(plot: Plot) -> None:
    """OR-Tools on the bare pairs: exits on the left, entrances and new figures on the right."""
    from ortools.graph.python import linear_sum_assignment

    units = lay_out(plot)
    many = len(units) + 1
    solver = linear_sum_assignment.SimpleLinearSumAssignment()
    for i, before in enumerate(units):
        for j, after in enumerate(units):
            cost = cost_of_step(plot, before, after) if i != j else None
            weight = many * many if cost is None else many * cost[0] + cost[1]
            solver.add_arc_with_cost(i, j, weight)
    total = 0
    if units:
        assert solver.solve() == solver.OPTIMAL
        total = solver.optimal_cost()
    figures, rest = divmod(total, many * many)
    assert aims(count_guise(plot, "Jory")) == (figures, *divmod(rest, many))


@settings(max_examples=60)
@given(plot=plots(most_appearances=12, guises=("Jory", "Heron", "Pell"), most_copies=3))
def test_every_count_passes_the_checker(plot: Plot) -> None:
    count = count_figures(plot)
    assert check_count(plot, count) == []
    again = count_figures(plot, count.track_ids())
    assert check_count(plot, again) == []
    assert [c.tracks for c in again.guises] != [] or not plot.guises


@settings(max_examples=60)
@given(plot=plots(most_appearances=12, most_copies=3))
def test_a_reason_that_shows_appearances_proves_the_number(plot: Plot) -> None:
    """No two of the witness on any run of allowed steps: Dilworth 1950, Annals of Mathematics 51.

    Worked out here on the closure by networkx, apart from the code that found it.
    """
    counted = count_guise(plot, "Jory")
    units = lay_out(plot)
    runs = nx.DiGraph()
    runs.add_nodes_from(range(len(units)))
    runs.add_edges_from(steps_allowed(plot, units))
    closure = nx.transitive_closure_dag(runs)
    for part in counted.reason.parts:
        if part.cause == "shared":
            assert part.witness == ()
            continue
        if part.cause == "alone":
            continue
        keys = dict(part.witness)
        shown = [n for n, unit in enumerate(units) if unit[0].key in keys]
        assert len(shown) == part.figures
        assert not any(closure.has_edge(i, j) for i in shown for j in shown)
