"""String lengths, pulls and swings against the textbook; what is wrong with a drawing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.statics.checks import find_doubts, part_faults, point_faults, stop_faults
from builds.core.statics.parts import DrawnPart
from builds.core.statics.strings import (
    SETS,
    ControlHole,
    FigureHole,
    Held,
    Line,
    default_holes,
    find_strings,
    swing_period_s,
    tilted,
    two_string_pull,
)

SHOULDER = FigureHole("shoulder", 0, 480, 60, hangs=True)
HEAD = FigureHole("head", 10, 540, 35)
BACK = FigureHole("back", -25, 380, 0, strings=1)


def rows(held: Held, **more: float):
    holes = [
        ControlHole("shoulder bar", "shoulder", 0, 0, 70, True),
        ControlHole("head bar", "head", 10, 0, 45, True),
        ControlHole("tail", "back", -120, 0, 0),
        ControlHole("toy", "nothing of that name"),
    ]
    values = {"on_body_g": 1000.0, "on_head_g": 100.0, **more}
    return find_strings(holes, [SHOULDER, HEAD, BACK], held, Line(), **values)


@pytest.mark.parametrize(("angle", "share"), [
    # Two strings at an angle a to the vertical carry W / (2 cos a) each (elementary statics).
    (0, 0.500), (15, 0.518), (30, 0.577), (45, 0.707), (60, 1.000), (75, 1.932),
])  # fmt: skip
def test_two_strings_carry_half_the_weight_over_the_cosine(angle, share):
    assert two_string_pull(1.0, angle) == pytest.approx(share, abs=5e-4)


def test_lengths_are_straight_distances_in_space():
    shoulder, head, back = rows(Held(2450))
    assert shoulder.finished_mm == math.ceil(math.hypot(1970, 10))
    assert head.finished_mm == math.ceil(math.hypot(1910, 10))
    assert back.finished_mm == math.ceil(math.hypot(95, 2070))
    assert [row.cut_mm - row.finished_mm for row in (shoulder, head, back)] == [360] * 3
    assert [row.count for row in (shoulder, head, back)] == [2, 2, 1]


def test_pulls_hold_up_exactly_what_hangs():
    shoulder, head, back = rows(Held(2450))
    up = 2 * shoulder.at_rest_n * math.cos(math.radians(shoulder.angle_deg))
    assert up == pytest.approx(9.80665)
    assert shoulder.at_rest_n == pytest.approx(two_string_pull(9.80665, shoulder.angle_deg))
    assert 2 * head.at_rest_n * math.cos(math.radians(head.angle_deg)) == pytest.approx(0.980665)
    assert (back.at_rest_n, back.is_taut) == (0, False)
    assert shoulder.jerk_n == 2 * shoulder.at_rest_n


def test_working_load_is_strength_by_knot_by_safety():
    # 30 lb line, 133 N: x 0.45 / 5 is 12.0 N; 12 lb, 53 N: 4.8 N (common practice).
    assert round(Line(133).working_n, 1) == 12.0
    assert round(Line(53).working_n, 1) == 4.8
    assert not rows(Held(2450))[0].is_over
    assert rows(Held(2450), on_body_g=1300)[0].is_over


def test_tilted_control_turns_front_down_about_the_grip():
    assert tilted(100, 0, 30) == pytest.approx((100 * math.cos(math.radians(30)), -50))
    level, down = rows(Held(2450))[2], rows(Held(2450, tilt_deg=20))[2]
    assert down.finished_mm > level.finished_mm  # the tail goes up as the front goes down


def test_control_held_below_the_figure_is_refused():
    with pytest.raises(ValueError, match="below the figure's"):
        rows(Held(400))


@pytest.mark.parametrize(("length_m", "seconds"), [
    # 2 pi sqrt(L / g), textbook.
    (0.30, 1.099), (1.00, 2.006), (1.50, 2.457), (2.00, 2.837),
])  # fmt: skip
def test_swing_is_that_of_a_simple_pendulum(length_m, seconds):
    assert swing_period_s(length_m * 1000) == pytest.approx(seconds, abs=6e-4)


@given(st.floats(500, 4000), st.floats(1.0, 4.0))
def test_swing_goes_with_the_root_of_the_length(length, times):
    slower = swing_period_s(length * times) / swing_period_s(length)
    assert slower == pytest.approx(math.sqrt(times))


@pytest.mark.parametrize("strings", SETS)
def test_default_sets_count_their_strings(strings):
    holes = default_holes(strings)
    assert sum(2 if hole.is_pair else 1 for hole in holes) == strings
    assert {"shoulder", "head"} <= {hole.to for hole in holes if hole.is_taut}
    with pytest.raises(ValueError, match="not one of"):
        default_holes(8)


# What is wrong with a drawing


def test_every_fault_of_a_part_is_said_at_once():
    part = DrawnPart("head", "ellipsoid", (0, 500), (0, 500), -3, 0, material="glass",
                     wall_mm=-1, hardware_g=-5, density_kg_m3=None, fullness=0)  # fmt: skip
    assert [field for field, _ in part_faults(part)] == [
        "bottom_y_mm", "width_mm", "depth_mm", "wall_mm", "material", "fullness_pct", "hardware_g",
    ]  # fmt: skip
    thick = DrawnPart("head", "ellipsoid", (0, 560), (0, 470), 70, 80, wall_mm=40)
    assert "leave no hollow" in part_faults(thick)[0][1]
    assert part_faults(DrawnPart("head", "ellipsoid", (0, 560), (0, 470), 70, 80, wall_mm=3)) == []


def test_stops_that_forbid_the_drawn_pose_are_said_in_degrees():
    assert stop_faults(-100, 0, "knee") == stop_faults(None, None, "knee") == []
    assert [field for field, _ in stop_faults(4, -2, "knee")] == [
        "stop_back_deg", "stop_forward_deg",
    ]  # fmt: skip
    assert stop_faults(-200, 0, "knee")[0][1] == "No knee turns more than 180°."


def test_points_far_off_the_figure_are_refused_near_ones_doubted():
    assert point_faults(0, 700, 560, "head")[0][0] == "y_mm"
    assert point_faults(600, 300, 560, "hand")[0][0] == "x_mm"
    assert point_faults(0, 560, 560, "head") == []
    thigh = DrawnPart("thigh", "taper", (0, 300), (20, 160), 50, 50, 40, 40)
    torso = DrawnPart("torso", "taper", (0, 480), (0, 290), 120, 70, 90, 60)
    doubts = find_doubts({"torso": torso, "thigh": thigh}, {"hip": (80, 300)}, (0, 470))
    assert doubts == [
        "The hip joint lies outside the thigh.",
        "The hip joint lies outside the torso.",
    ]
    assert find_doubts({"torso": torso, "thigh": thigh}, {"hip": (0, 298)}, (0, 470)) == []
    assert any(
        "rigid" in doubt for doubt in find_doubts({"torso": torso, "thigh": thigh}, {}, None)
    )
