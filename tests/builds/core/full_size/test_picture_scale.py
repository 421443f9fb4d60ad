"""From a picture's points to millimetres: marks, lines askew, and marks that cannot be."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.picture_scale import PictureScale, find_scale_faults, measure_scale

POINTS = st.floats(-5000, 5000, allow_nan=False)


def test_two_marks_and_a_distance_give_the_scale() -> None:
    # A ruler of 300 mm photographed 1200 points long: a quarter of a millimetre a point.
    scale = measure_scale((200, 300), (200, 1500), 300, foot_px=(900, 2000))
    assert scale.mm_per_px == pytest.approx(0.25)
    assert scale.to_mm(900, 2000) == (0, 0)
    assert scale.to_mm(940, 400) == pytest.approx((10, 400))


def test_marks_may_lie_in_any_direction() -> None:
    # A triangle of sides 3, 4, 5: marks 300 across and 400 down are 500 points apart.
    scale = measure_scale((100, 100), (400, 500), 250, foot_px=(0, 0))
    assert scale.mm_per_px == pytest.approx(0.5)


def test_a_profile_that_faces_left_has_its_front_on_the_left() -> None:
    scale = measure_scale((0, 0), (0, 1000), 500, foot_px=(400, 900), faces_left=True)
    assert scale.to_mm(380, 900) == pytest.approx((10, 0))


@pytest.mark.parametrize("turn_degrees", [-12, -1, 0, 3, 30])
def test_a_picture_taken_askew_is_set_straight(turn_degrees: float) -> None:
    turn = math.radians(turn_degrees)

    def seen(x_mm: float, y_mm: float) -> tuple[float, float]:
        """Where the camera puts a point: 2 points a mm, turned about the foot."""
        right, down = 2 * x_mm, -2 * y_mm
        return (
            700 + right * math.cos(turn) - down * math.sin(turn),
            1500 + right * math.sin(turn) + down * math.cos(turn),
        )

    scale = measure_scale(seen(-150, 0), seen(150, 0), 300, foot_px=seen(0, 0), top_px=seen(0, 600))
    assert scale.to_mm(*seen(37.5, 412)) == pytest.approx((37.5, 412))


@given(
    x=POINTS,
    y=POINTS,
    turn=st.floats(-0.7, 0.7),
    mm_per_px=st.floats(0.01, 10),
    across=st.sampled_from([-1, 1]),
)
def test_there_and_back(x: float, y: float, turn: float, mm_per_px: float, across: int) -> None:
    scale = PictureScale(mm_per_px, (321.5, 987.25), (math.sin(turn), -math.cos(turn)), across)
    assert scale.to_px(*scale.to_mm(x, y)) == pytest.approx((x, y), abs=1e-6)


@given(x=POINTS, y=POINTS, turn=st.floats(-0.7, 0.7), across=st.sampled_from([-1, 1]))
def test_the_picture_lies_under_its_points(x: float, y: float, turn: float, across: int) -> None:
    # SVG 1.1, 7.5: a point (x, y) goes to (a x + c y + e, b x + d y + f).
    scale = PictureScale(0.4, (321.5, 987.25), (math.sin(turn), -math.cos(turn)), across)
    a, b, c, d, e, f = scale.matrix()
    x_mm, y_mm = scale.to_mm(x, y)
    assert (a * x + c * y + e, b * x + d * y + f) == pytest.approx((x_mm * across, -y_mm), abs=1e-6)


@given(apart=st.floats(30, 2000), distance=st.floats(50, 1200), grown=st.floats(1.1, 4))
def test_a_picture_in_more_points_says_the_same(
    apart: float, distance: float, grown: float
) -> None:
    small = measure_scale((0, 0), (apart, 0), distance, foot_px=(50, 60))
    large = measure_scale((0, 0), (apart * grown, 0), distance, foot_px=(50 * grown, 60 * grown))
    assert large.to_mm(90 * grown, 10 * grown) == pytest.approx(small.to_mm(90, 10))


class TestWhatCannotBe:
    def test_marks_at_the_same_point(self) -> None:
        assert find_scale_faults((5, 5), (5, 5), 300, (0, 0), None) == [
            ("marks", "The two marks are at the same point: set them far apart.")
        ]

    def test_marks_too_near(self) -> None:
        ((name, words),) = find_scale_faults((5, 5), (9, 8), 300, (0, 0), None)
        assert name == "marks"
        assert "only 5 points" in words

    @pytest.mark.parametrize("distance_mm", [0, -3, 0.2, 20_001, math.inf, math.nan])
    def test_a_distance_that_is_none(self, distance_mm: float) -> None:
        assert [n for n, _ in find_scale_faults((0, 0), (900, 0), distance_mm, (0, 0), None)] == [
            "distance_mm"
        ]

    def test_a_scale_that_cannot_be(self) -> None:
        ((name, words),) = find_scale_faults((0, 0), (20, 0), 20_000, (0, 0), None)
        assert (name, "1e+03 mm" in words) == ("distance_mm", True)

    @pytest.mark.parametrize("top", [(0, 5), (0, 900), (800, -100)])
    def test_a_line_of_balance_that_does_not_stand(self, top: tuple[float, float]) -> None:
        assert [n for n, _ in find_scale_faults((0, 0), (900, 0), 300, (0, 0), top)] == ["top"]

    def test_places_outside_the_picture(self) -> None:
        faults = find_scale_faults((0, 0), (900, 0), 300, (20, 700), (20, 10), (600, 600))
        assert [name for name, _ in faults] == ["marks", "foot"]

    def test_all_of_it_at_once(self) -> None:
        faults = find_scale_faults((7, 7), (7, 7), 0, (0, 0), (0, 40))
        assert [name for name, _ in faults] == ["marks", "distance_mm", "top"]
        with pytest.raises(ValueError, match=r"same point.*20 m apart.*lies more than it stands"):
            measure_scale((7, 7), (7, 7), 0, foot_px=(0, 0), top_px=(0, 40))

    def test_not_a_number(self) -> None:
        assert [n for n, _ in find_scale_faults((math.nan, 0), (9, 9), 3, (0, 0), None)] == [
            "marks"
        ]
