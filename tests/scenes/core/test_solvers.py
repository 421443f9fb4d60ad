"""The two solvers by themselves, against scipy and networkx."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from scenes.core.counting.assignment import solve_assignment
from scenes.core.counting.cheapest_flow import cheapest_flow
from scenes.core.counting.handover import Weights


@given(
    st.integers(1, 7).flatmap(
        lambda size: st.lists(
            st.lists(st.integers(-5, 9), min_size=size, max_size=size),
            min_size=size,
            max_size=size,
        )
    )
)
def test_an_assignment_is_as_cheap_as_that_of_scipy(costs: list[list[int]]) -> None:
    columns = solve_assignment(costs)
    assert sorted(columns) == list(range(len(costs)))
    rows, best = linear_sum_assignment(np.array(costs))
    total = sum(costs[row][column] for row, column in enumerate(columns))
    assert total == int(np.array(costs)[rows, best].sum())


def test_nothing_to_assign_is_nothing() -> None:
    assert solve_assignment([]) == []


def test_an_assignment_is_exact_beyond_the_reach_of_doubles() -> None:
    huge = 10**30
    assert solve_assignment([[huge, huge + 1], [huge + 1, huge + 3]]) == [1, 0]


@st.composite
def networks(draw: st.DrawFn) -> tuple[int, list[tuple[int, int, int, int]]]:
    """Nodes, and arcs (tail, head, room, cost) from a lower to a higher node."""
    nodes = draw(st.integers(2, 8))
    pairs = [(a, b) for a in range(nodes) for b in range(a + 1, nodes)]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True))
    return nodes, [(a, b, draw(st.integers(1, 4)), draw(st.integers(0, 5))) for a, b in chosen]


@given(networks())
def test_a_flow_is_the_most_at_the_cost_that_networkx_finds(
    network: tuple[int, list[tuple[int, int, int, int]]],
) -> None:
    nodes, arcs = network
    tails, heads, room, costs = ([arc[n] for arc in arcs] for n in range(4))
    flows = cheapest_flow(tails, heads, room, costs, nodes, 0, nodes - 1)
    graph = nx.DiGraph()
    graph.add_nodes_from(range(nodes))
    for tail, head, limit, cost in arcs:
        graph.add_edge(tail, head, capacity=limit, weight=cost)
    best = nx.max_flow_min_cost(graph, 0, nodes - 1)
    ours = {(a, b): amount for (a, b, _, _), amount in zip(arcs, flows, strict=True)}
    assert all(0 <= ours[a, b] <= limit for a, b, limit, _ in arcs)
    for node in range(1, nodes - 1):
        came = sum(amount for (_, b), amount in ours.items() if b == node)
        went = sum(amount for (a, _), amount in ours.items() if a == node)
        assert came == went
    assert sum(ours[a, b] for a, b in ours if a == 0) == sum(best[0].values())
    assert sum(ours[a, b] * c for a, b, _, c in arcs) == nx.cost_of_flow(graph, best)


def test_costs_beyond_exact_doubles_are_refused() -> None:
    with pytest.raises(OverflowError, match="are not exact"):
        cheapest_flow([0], [1], [1], [2**52], 2, 0, 1)


@given(units=st.integers(1, 50), kept=st.integers(0, 50), lower=st.data())
def test_each_aim_outweighs_all_below_it(units: int, kept: int, lower: st.DataObject) -> None:
    weights = Weights.of(units, kept, has_changes=True, has_crossings=True)
    crossings = lower.draw(st.integers(0, units))
    changes = lower.draw(st.integers(0, units))
    assert weights.crossing > kept
    assert weights.change > crossings * weights.crossing + kept
    assert weights.figure > changes * weights.change + crossings * weights.crossing + kept
