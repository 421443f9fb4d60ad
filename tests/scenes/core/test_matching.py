"""The fewest tracks by a matching alone, against networkx, scipy and the count itself."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_flow

from scenes.core.counting import Relation, count_guise
from scenes.core.counting.matching import count_fewest, count_tracks
from scenes.core.plot import Plot, place_appearances
from tests.scenes.core.strategies import plots


@st.composite
def networks(draw: st.DrawFn) -> tuple[list[int], list[list[int]]]:
    """Copies, and followers that only ever lead onward."""
    size = draw(st.integers(0, 12))
    copies = [draw(st.integers(0, 3)) for _ in range(size)]
    followers = [
        sorted(draw(st.sets(st.integers(n + 1, size - 1)))) if n + 1 < size else []
        for n in range(size)
    ]
    return copies, followers


@given(made=networks())
def test_tracks_are_those_of_networkx_and_of_a_flow_by_scipy(
    made: tuple[list[int], list[list[int]]],
) -> None:
    """Fulkerson 1956: tracks are copies less a greatest matching, here a greatest flow."""
    copies, followers = made
    size = len(copies)
    graph = nx.DiGraph()
    graph.add_nodes_from(("source", "sink"))
    matrix = np.zeros((2 * size + 2, 2 * size + 2), dtype=np.int32)
    for i, after in enumerate(followers):
        graph.add_edge("source", ("exit", i), capacity=copies[i])
        graph.add_edge(("entrance", i), "sink", capacity=copies[i])
        matrix[2 * size, i] = matrix[size + i, 2 * size + 1] = copies[i]
        for j in after:
            graph.add_edge(("exit", i), ("entrance", j))
            matrix[i, size + j] = 99
    by_networkx = nx.maximum_flow_value(graph, "source", "sink") if size else 0
    by_scipy = maximum_flow(csr_matrix(matrix), 2 * size, 2 * size + 1).flow_value
    assert by_networkx == by_scipy
    assert count_tracks(copies, followers) == sum(copies) - by_scipy


@given(plot=plots(most_appearances=25, most_copies=3, longest_scene_s=9, most_scenes=8))
def test_the_number_is_that_of_the_count(plot: Plot) -> None:
    placed = place_appearances(plot, "Jory")
    assert count_fewest(placed, Relation(plot, "Jory")) == count_guise(plot, "Jory").figures


def test_lists_of_two_lengths_are_refused() -> None:
    with pytest.raises(ValueError, match="2 appearances have 1 lists"):
        count_tracks([1, 1], [[]])
