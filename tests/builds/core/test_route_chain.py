"""The picture of a route: every stage has its place, time runs downward, no thread over words."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.route_chain import (
    LANE_WIDTH,
    ROW_HEIGHT,
    draw_chain,
)
from builds.core.route_defaults import DEFAULT_ROUTES, PlainStage
from builds.core.routes import longest_chain

ROUTES = list(DEFAULT_ROUTES.values())
names = st.sampled_from("abcdefgh")
strands = st.sampled_from(["guise", "head", "body", "control", "costume", "meet", "end"])


@st.composite
def routes(draw: st.DrawFn) -> list[PlainStage]:
    keys = draw(st.lists(names, unique=True, min_size=1))
    return [
        PlainStage(
            key,
            key.upper(),
            draw(strands),
            60,
            tuple(draw(st.lists(st.sampled_from(keys[:i]), unique=True))) if i else (),
        )
        for i, key in enumerate(keys)
    ]


@given(routes())
def test_every_stage_hangs_below_what_it_waits_for_in_a_place_of_its_own(
    stages: list[PlainStage],
) -> None:
    drawn = draw_chain(stages)
    places = {knot.key: knot for knot in drawn.knots}
    assert set(places) == {stage.key for stage in stages}
    assert len({(k.x, k.y) for k in drawn.knots}) == len(stages)
    for stage in stages:
        for after in stage.after:
            assert places[after].y + ROW_HEIGHT <= places[stage.key].y
    for knot in drawn.knots:
        assert 0 <= knot.x < knot.x + LANE_WIDTH <= drawn.width + LANE_WIDTH
        assert 0 <= knot.y <= drawn.height


@pytest.mark.parametrize("route", ROUTES, ids=[r.kind for r in ROUTES])
def test_red_thread_runs_unbroken_along_the_longest_chain(route: object) -> None:
    stages = route.stages  # type: ignore[attr-defined]
    drawn = draw_chain(stages)
    chain = longest_chain(stages)
    assert [k.key for k in sorted(drawn.knots, key=lambda k: k.y) if k.is_red] == list(chain)
    assert sum(strand.is_red for strand in drawn.strands) == len(chain) - 1


@pytest.mark.parametrize("route", ROUTES, ids=[r.kind for r in ROUTES])
def test_threads_cross_only_in_the_gap_between_two_rows_of_words(route: object) -> None:
    """A label takes 12 px above its knot and 18 px below it."""
    drawn = draw_chain(route.stages)  # type: ignore[attr-defined]
    rows = {knot.y for knot in drawn.knots}
    for strand in drawn.strands:
        for across in re.findall(r" (\d+)H", strand.path):
            below = min(y for y in rows if y > int(across))
            assert below - ROW_HEIGHT + 18 <= int(across) <= below - 12


def test_stages_in_a_circle_are_left_out() -> None:
    stages = [
        PlainStage("a", "A", "head", 60),
        PlainStage("b", "B", "head", 60, ("c",)),
        PlainStage("c", "C", "head", 60, ("b",)),
    ]
    assert [knot.key for knot in draw_chain(stages).knots] == ["a"]


def test_a_route_without_stages_is_an_empty_picture() -> None:
    drawn = draw_chain([])
    assert drawn.knots == drawn.strands == drawn.lanes == ()
    assert drawn.width > 0
    assert drawn.height > 0
