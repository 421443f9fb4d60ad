"""Proportion sheets against what is printed about people and puppets."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.proportions import (
    ASKED,
    PEOPLE_SHARES,
    find_share_faults,
    full_shares,
    heads_shares,
    start_points,
)


class TestPeople:
    """Drillis and Contini 1966 (Body Segment Parameters, New York University, report 1166.03), as
    printed in Winter, Biomechanics and Motor Control of Human Movement, figure 4.1."""

    # The sheet is written in heights of joints; these are the segments printed beside them.
    SEGMENTS = (
        ("head", 0.130),
        ("trunk", 0.288),
        ("thigh", 0.245),
        ("shank", 0.246),
        ("upper_arm", 0.186),
        ("fore_arm", 0.146),
        ("hand", 0.108),
        ("foot", 0.152),
    )

    @pytest.mark.parametrize(("key", "fraction"), SEGMENTS)
    def test_segments(self, key: str, fraction: float) -> None:
        assert PEOPLE_SHARES[key] == pytest.approx(fraction, abs=1e-9)

    def test_the_leg_adds_up_to_the_hip(self) -> None:
        # 0.245 + 0.246 + 0.039 = 0.530
        leg = sum(PEOPLE_SHARES[key] for key in ("thigh", "shank", "ankle_height"))
        assert leg == pytest.approx(0.530)

    def test_widths(self) -> None:
        # Shoulders 0.259 and hips 0.191 of stature, the same figure.
        assert 2 * PEOPLE_SHARES["shoulder_half_width"] == pytest.approx(0.259)
        assert 2 * PEOPLE_SHARES["hip_half_width"] == pytest.approx(0.191)

    def test_the_hanging_arm_ends_where_the_figure_prints_it(self) -> None:
        # Elbow 0.630, wrist 0.485 of stature: rounded apart from the segments. From memory.
        points = {p.name: p.height_mm for p in start_points(PEOPLE_SHARES, 1000)}
        assert points["elbow"] == pytest.approx(630, abs=2.1)
        assert points["wrist"] == pytest.approx(485, abs=2.1)


class TestHeads:
    """Drake, 'The Art of Making Lifelike Marionette Bodies', Popular Science Monthly, Feb. 1936."""

    def test_six_heads(self) -> None:
        sheet = heads_shares(6)
        assert sheet["head"] * 6 == pytest.approx(1)
        assert (sheet["neck"] + sheet["trunk"]) * 6 == pytest.approx(2)
        assert sheet["hip_height"] == pytest.approx(0.5), "the hips halve the figure"
        assert sheet["thigh"] * 6 == pytest.approx(1.5)
        assert sheet["upper_arm"] == pytest.approx(sheet["fore_arm"])
        assert sheet["hand"] == pytest.approx(0.75 / 6, rel=0.1)

    @given(heads=st.floats(2, 10))
    def test_any_number_gives_a_sheet_without_fault(self, heads: float) -> None:
        sheet = heads_shares(heads)
        assert find_share_faults(sheet) == []
        assert sheet["head"] == pytest.approx(1 / heads)


@given(height=st.floats(50, 2500), grown=st.floats(1, 2), heads=st.floats(2, 10))
def test_grown_as_a_whole(height: float, grown: float, heads: float) -> None:
    sheet = heads_shares(heads)
    before, after = start_points(sheet, height), start_points(sheet, height * grown)
    for one, two in zip(before, after, strict=True):
        assert two.height_mm == pytest.approx(one.height_mm * grown)
        assert two.aside_mm == pytest.approx(one.aside_mm * grown)
        assert one.forward_mm == 0


@given(heads=st.floats(2, 10))
def test_joints_hang_in_order(heads: float) -> None:
    points = {p.name: p.height_mm for p in start_points(heads_shares(heads), 600)}
    for order in (("neck", "shoulder", "elbow", "wrist"), ("shoulder", "hip", "knee", "ankle")):
        heights = [points[name] for name in order]
        assert heights == sorted(set(heights), reverse=True)
    assert points["ankle"] > 0
    assert points["neck"] < 600


class TestRefused:
    @pytest.mark.parametrize("height", [0, -600, 49, 5001, math.nan, math.inf])
    def test_heights_that_no_figure_has(self, height: float) -> None:
        with pytest.raises(ValueError, match="from 50 mm to 5 m tall"):
            start_points(PEOPLE_SHARES, height)

    @pytest.mark.parametrize("heads", [0, 1.9, 10.5, math.nan])
    def test_so_many_heads_no_figure_has(self, heads: float) -> None:
        with pytest.raises(ValueError, match="2 to 10 heads tall"):
            heads_shares(heads)

    def test_an_empty_sheet_says_all_that_is_missing(self) -> None:
        assert [key for key, _ in find_share_faults({})] == list(ASKED)

    @pytest.mark.parametrize(
        ("wrong", "field", "words"),
        [
            ({"knee_height": 0.53}, "knee_height", "The knee lies below the hip."),
            ({"shoulder_height": 0.9}, "shoulder_height", "The shoulder lies below the chin."),
            ({"upper_arm": 0.7}, "hand", "The arm reaches below the floor."),
            ({"foot": 1.2}, "foot", "The foot is too long."),
            ({"foot": math.nan}, "foot", "The foot is missing."),
            ({"hand": 0.0}, "hand", "The hand has a length."),
        ],
    )
    def test_one_by_one(self, wrong: dict[str, float], field: str, words: str) -> None:
        sheet = {**PEOPLE_SHARES, **wrong}
        assert find_share_faults(sheet) == [(field, words)]
        with pytest.raises(ValueError, match=words):
            full_shares(sheet)
