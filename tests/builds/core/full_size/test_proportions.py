"""Proportion sheets against what is printed about people and puppets."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.proportions import (
    StartPoint,
    start_from_heads,
    start_from_own,
    start_from_people,
)

Points = dict[str, StartPoint]


def by_name(points: tuple[StartPoint, ...]) -> Points:
    return {point.name: point for point in points}


def up(points: Points, name: str) -> float:
    return points[name].height_mm


class TestPeople:
    """Drillis and Contini 1966 (Body Segment Parameters, New York University, report 1166.03), as
    printed in Winter, Biomechanics and Motor Control of Human Movement, figure 4.1."""

    # Segment, from, to, length as a fraction of stature. The joint heights in the code are the
    # figure's own; these are its segments, which it prints beside them.
    SEGMENTS = (
        ("thigh", "hip", "knee", 0.245),
        ("lower leg", "knee", "ankle", 0.246),
        ("trunk", "shoulder", "hip", 0.288),
        ("head and neck", "crown", "shoulder", 0.182),
        ("head", "crown", "neck", 0.130),
        ("upper arm", "shoulder", "elbow", 0.186),
        ("forearm", "elbow", "wrist", 0.146),
        ("hand", "wrist", "fingertip", 0.108),
    )

    @pytest.mark.parametrize(("word", "above", "below", "fraction"), SEGMENTS)
    def test_segments(self, word: str, above: str, below: str, fraction: float) -> None:
        points = by_name(start_from_people(1000))
        assert up(points, above) - up(points, below) == pytest.approx(1000 * fraction, abs=0.6)

    def test_widths(self) -> None:
        # Shoulders 0.259 and hips 0.191 of stature, the same figure.
        points = by_name(start_from_people(1000))
        assert 2 * points["shoulder"].aside_mm == pytest.approx(259, abs=1.1)
        assert 2 * points["hip"].aside_mm == pytest.approx(191)

    def test_the_hanging_arm_ends_where_the_figure_prints_it(self) -> None:
        # Elbow 0.630, wrist 0.485, fingertip 0.377 of stature: rounded apart from the segments.
        points = by_name(start_from_people(1000))
        for name, printed in (("elbow", 630), ("wrist", 485), ("fingertip", 377)):
            assert up(points, name) == pytest.approx(printed, abs=2.1)


class TestHeads:
    """Drake, 'The Art of Making Lifelike Marionette Bodies', Popular Science Monthly, Feb. 1936."""

    def test_six_heads(self) -> None:
        points = by_name(start_from_heads(600))
        head = 100
        assert up(points, "crown") - up(points, "neck") == pytest.approx(head)
        assert up(points, "neck") - up(points, "hip") == pytest.approx(2 * head)
        assert up(points, "hip") == pytest.approx(300), "the hips halve the figure"
        assert up(points, "hip") - up(points, "knee") == pytest.approx(1.5 * head)
        upper = up(points, "shoulder") - up(points, "elbow")
        assert upper == pytest.approx(up(points, "elbow") - up(points, "wrist"))
        hand = up(points, "wrist") - up(points, "fingertip")
        assert hand == pytest.approx(0.75 * head, rel=0.1)

    @given(height=st.floats(50, 5000), heads=st.floats(2, 10))
    def test_everything_hangs_in_order(self, height: float, heads: float) -> None:
        points = by_name(start_from_heads(height, heads))
        for order in (
            ("crown", "neck", "shoulder", "elbow", "wrist", "fingertip"),
            ("shoulder", "hip", "knee", "ankle"),
        ):
            heights = [up(points, name) for name in order]
            assert heights == sorted(heights, reverse=True)
            assert len({round(h, 6) for h in heights}) == len(order)
        assert up(points, "crown") == pytest.approx(height)
        assert up(points, "ankle") > 0
        assert up(points, "crown") - up(points, "neck") == pytest.approx(height / heads)


@given(half=st.floats(50, 2500), grown=st.floats(1, 2), heads=st.floats(2, 10))
def test_grown_as_a_whole(half: float, grown: float, heads: float) -> None:
    height = half * grown
    for one, two in zip(
        start_from_heads(half, heads), start_from_heads(height, heads), strict=True
    ):
        assert two.height_mm == pytest.approx(one.height_mm * height / half)
        assert two.aside_mm == pytest.approx(one.aside_mm * height / half)


def test_ones_own_keeps_its_stoop() -> None:
    own = (StartPoint("knee", 12, 30, 150), StartPoint("crown", 40, 0, 590))
    assert start_from_own(own, 600, 900) == (
        StartPoint("knee", 18, 45, 225),
        StartPoint("crown", 60, 0, 885),
    )


@pytest.mark.parametrize("height", [0, -600, 49, 5001, math.nan, math.inf])
def test_heights_that_no_figure_has(height: float) -> None:
    for start in (start_from_people, start_from_heads):
        with pytest.raises(ValueError, match="from 50 mm to 5 m tall"):
            start(height)
    with pytest.raises(ValueError, match="from 50 mm"):
        start_from_own((), height, 600)


@pytest.mark.parametrize("heads", [0, 1.9, 10.5, math.nan])
def test_so_many_heads_no_figure_has(heads: float) -> None:
    with pytest.raises(ValueError, match="2 to 10 heads tall"):
        start_from_heads(600, heads)
