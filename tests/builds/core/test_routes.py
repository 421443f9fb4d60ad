"""What is said of a route: totals by the learning curve, circles, chains, what is wrong with it."""

from __future__ import annotations

import itertools

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.route_defaults import DEFAULT_ROUTES, PlainStage
from builds.core.routes import (
    elapsed_min,
    find_circle,
    in_order,
    longest_chain,
    route_problems,
    say_circle,
    total_hours,
)
from builds.core.stepping import hours_of

names = st.sampled_from("abcdefgh")
graphs = st.dictionaries(names, st.lists(names, max_size=4))


def stages_of(afters: dict[str, list[str]], minutes: dict[str, int]) -> list[PlainStage]:
    return [
        PlainStage(key, key.upper(), "body", minutes.get(key, 60), tuple(after))
        for key, after in afters.items()
    ]


def graph_of(afters: dict[str, list[str]]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(afters)
    graph.add_edges_from((a, key) for key, after in afters.items() for a in after if a in afters)
    return graph


# Learning


@pytest.mark.parametrize(
    ("rate", "factors"),
    [
        (0.85, {5: 0.686, 10: 0.583, 15: 0.530, 20: 0.495}),
        (0.80, {5: 0.596, 10: 0.477, 15: 0.418, 20: 0.381}),
        (0.75, {5: 0.513, 10: 0.385, 15: 0.325, 20: 0.288}),
        (0.70, {5: 0.437, 10: 0.306, 15: 0.248, 20: 0.214}),
    ],
)
def test_hours_of_follows_published_unit_times(rate: float, factors: dict[int, float]) -> None:
    """Heizer and Render, 'Operations Management', learning curves, table of coefficients, 'unit
    time'. The table gives three digits; a first piece of 10 000 quarter hours leaves room for
    them under the rounding up."""
    first = 15 * 10_000
    for rank, factor in factors.items():
        assert hours_of(first, rate, rank) / first == pytest.approx(factor, abs=0.0007)


def test_total_counts_the_second_of_what_is_learnt_and_not_what_is_shared() -> None:
    """By hand: 8 h drawn once; 28 h carved, then 28 x 0.9 = 25.2 h, up to 25 h 15."""
    stages = [
        PlainStage("draw", "Draw", "guise", 480, scope="guise", part="body"),
        PlainStage("carve", "Carve", "body", 1680, ("draw",), rate=0.9),
    ]
    total = total_hours(stages)
    assert (total.first_min, total.twin_min) == (480 + 1680, 1515)


def test_total_takes_the_costumes_own_hours() -> None:
    sew = [PlainStage("sew", "Sew", "costume", 720, scope="costume", hours_by_costume=True)]
    assert total_hours(sew).first_min == 720
    assert total_hours(sew, 1500).first_min == 1500
    assert total_hours(sew, 0).first_min == 0


def test_total_counts_a_working_only_where_eyes_or_mouth_move() -> None:
    route = DEFAULT_ROUTES["string"].stages
    plain, moving = total_hours(route), total_hours(route, has_working=True)
    assert moving.first_min - plain.first_min == 600
    assert moving.twin_min == plain.twin_min


@given(st.integers(0, 100).map(lambda n: n * 60))
def test_total_grows_with_the_sewing_by_just_the_sewing(sewing_min: int) -> None:
    route = DEFAULT_ROUTES["string"].stages
    bare, sewn = total_hours(route, 0), total_hours(route, sewing_min)
    assert sewn.first_min - bare.first_min == sewing_min
    assert sewn.twin_min - bare.twin_min == sewing_min


# Circles and order


@given(graphs)
def test_circle_is_found_just_where_networkx_finds_one(afters: dict[str, list[str]]) -> None:
    found = find_circle(afters)
    assert bool(found) != nx.is_directed_acyclic_graph(graph_of(afters))
    for key, after in zip(found, found[1:] + found[:1], strict=True):
        assert after in afters[key]
    assert len(set(found)) == len(found)


@given(graphs)
def test_order_leaves_out_only_what_waits_in_a_circle(afters: dict[str, list[str]]) -> None:
    order = in_order(stages_of(afters, {}))
    graph = graph_of(afters)
    stuck = {n for c in nx.strongly_connected_components(graph) if len(c) > 1 for n in c}
    stuck |= set(nx.nodes_with_selfloops(graph))
    stuck |= {n for s in list(stuck) for n in nx.descendants(graph, s)}
    assert set(order) == set(afters) - stuck
    place = {key: i for i, key in enumerate(order)}
    for key in order:
        assert all(place[a] < place[key] for a in afters[key] if a in afters)


@given(graphs, st.dictionaries(names, st.integers(1, 50).map(lambda n: n * 60)))
def test_longest_chain_is_as_long_as_networkx_finds_it(
    afters: dict[str, list[str]], minutes: dict[str, int]
) -> None:
    stages = stages_of(afters, minutes)
    chain = longest_chain(stages)
    graph = graph_of(afters)
    if not nx.is_directed_acyclic_graph(graph):
        assert chain == ()
        return
    takes = {stage.key: elapsed_min(stage) for stage in stages}
    weighted = nx.DiGraph()
    weighted.add_nodes_from(f"{key}<" for key in afters)
    weighted.add_weighted_edges_from((f"{k}<", f"{k}>", m) for k, m in takes.items())
    weighted.add_weighted_edges_from((f"{a}>", f"{b}<", 0) for a, b in graph.edges)
    assert sum(takes[key] for key in chain) == nx.dag_longest_path_length(weighted)
    assert all(a in afters[b] for a, b in itertools.pairwise(chain))


def test_string_figure_waits_longest_for_its_body_or_its_head() -> None:
    """In the usual hours the head's chain with its drying is the longest; both end at 'bag'."""
    chain = longest_chain(DEFAULT_ROUTES["string"].stages)
    assert chain[0] == "choose-sketch"
    assert chain[-1] == "bag"
    assert {"trial-hang", "string", "true"} <= set(chain)
    assert "working" not in chain


def test_circle_is_said_with_its_names() -> None:
    names_of = {"a": "Carve", "b": "Joint", "c": "Shoes"}
    assert say_circle(("a", "b", "c"), names_of) == (
        "'Carve' waits for 'Joint', 'Joint' for 'Shoes', and 'Shoes' for 'Carve': "
        "a circle never begins."
    )
    assert say_circle(("a",), names_of) == "'Carve' waits for itself: a circle never begins."


# What is wrong with a route

DRAW = PlainStage("draw", "Draw", "guise", 60, scope="guise")
CARVE = PlainStage("carve", "Carve", "body", 60, ("draw",), mark="trued")
BAG = PlainStage("bag", "Bag", "end", 60, ("carve",), mark="ready")


def words_of(*stages: PlainStage, struck: dict[str, str] | None = None) -> list[str]:
    return [problem.words for problem in route_problems(stages, struck)]


def test_sound_route_has_no_problems() -> None:
    assert words_of(DRAW, CARVE, BAG) == []


@pytest.mark.parametrize(
    ("stages", "words", "stops"),
    [
        ((), "This route has no stages yet.", True),
        (
            (DRAW, CARVE.but(after=("bag",)), BAG),
            "'Carve' waits for 'Bag', and 'Bag' for 'Carve': a circle never begins.",
            True,
        ),
        (
            (DRAW, CARVE.but(after=("draw", "melt")), BAG),
            "'Carve' waits for 'melt', which this route does not have.",
            True,
        ),
        (
            (DRAW, CARVE, BAG.but(mark="")),
            "No stage is marked 'ready': no figure would ever be ready.",
            False,
        ),
        (
            (DRAW, CARVE.but(mark=""), BAG),
            "No stage is marked 'trued': no needed-by date holds.",
            False,
        ),
        (
            (DRAW.but(mark="trued"), CARVE, BAG),
            "'Draw' and 'Carve' are both marked 'trued'.",
            False,
        ),
        (
            (DRAW, CARVE.but(after=()), BAG),
            "A figure would be ready without 'Draw': nothing waits for it.",
            False,
        ),
        (
            (DRAW, CARVE.but(gate=True), BAG),
            "'Carve' asks for the lead's pass but is done without the lead: "
            "no hour is planned for the pass.",
            False,
        ),
        ((DRAW.but(hours_min=0), CARVE, BAG), "'Draw' takes no time.", False),
        (
            (DRAW, CARVE.but(second="craft"), BAG),
            "'Carve' asks for a second person with a craft, but for no craft.",
            False,
        ),
        (
            (DRAW, CARVE, BAG.but(scope="guise")),
            "'Bag' is done once for a guise and cannot wait for 'Carve', which each figure has "
            "again.",
            False,
        ),
    ],
)
def test_what_is_wrong_is_said(stages: tuple[PlainStage, ...], words: str, stops: bool) -> None:
    found = {problem.words: problem.stops for problem in route_problems(stages)}
    assert found[words] is stops


def test_stage_that_waits_for_a_struck_one_is_named() -> None:
    assert words_of(CARVE, BAG, struck={"draw": "Draw"}) == [
        "'Carve' waits for 'Draw', which is struck."
    ]


def test_what_stops_a_route_comes_first() -> None:
    stages = (DRAW, CARVE.but(mark="", after=("bag",)), BAG)
    stops = [problem.stops for problem in route_problems(stages)]
    assert stops == sorted(stops, reverse=True)


def test_a_gate_the_lead_is_at_anyway_is_sound() -> None:
    assert words_of(DRAW, CARVE.but(gate=True, lead_only=True), BAG) == []
    assert words_of(DRAW, CARVE.but(gate=True, second="lead"), BAG) == []
