"""Rest poses against closed forms, an outside engine, and laws that any figure keeps."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builds.core.statics.chain import build_chain, energy, place, slopes
from builds.core.statics.rest import find_rest
from builds.core.statics.truing import find_truing, moment_about_holes, with_ballast
from builds.core.statics.values import Figure, Joint, Load, Piece
from tests.builds.core.statics.engine import settled_lean
from tests.builds.core.statics.figures import (
    figures,
    heavier,
    mirrored,
    random_figure,
    rigid,
    stooped,
)

# Closed forms


@pytest.mark.parametrize(("x", "below", "degrees"), [
    (12, 120, 5.71), (3, 69, 2.49), (-3, 69, -2.49), (0, 50, 0.0), (50, 50, 45.0),
])  # fmt: skip
def test_rigid_figure_leans_by_the_arc_tangent(x, below, degrees):
    # A body hung from one point rests with its centre of mass straight below it (Marks' Standard
    # Handbook for Mechanical Engineers, statics): tan of the lean is x over the drop.
    rest = find_rest(rigid(x=x, y=500 - below))
    assert rest.lean_deg == pytest.approx(math.degrees(math.atan2(x, below)), abs=1e-5)
    assert round(rest.lean_deg, 2) == degrees


def test_limb_that_swings_free_acts_at_its_joint():
    # Torso of 500 g centred 10 mm behind, 120 mm below; legs of 400 g hang free from a hip 30 mm
    # forward and 200 mm down: tan = (-500 x 10 + 400 x 30) / (500 x 120 + 400 x 200).
    torso, leg = Piece("torso", 500, -10, 380), Piece("thigh", 200, 90, 260, 2)
    figure = Figure((torso, leg), (Joint("hip", 30, 300),), 0, 500)
    rest = find_rest(figure)
    assert rest.lean_deg == pytest.approx(math.degrees(math.atan(7000 / 140_000)), abs=1e-5)
    hip, knee = rest.joints["thigh"], rest.centres["thigh"]
    assert knee[0] == pytest.approx(hip[0], abs=1e-4)


def test_held_limb_is_one_with_the_torso():
    torso, leg = Piece("torso", 500, -10, 380), Piece("thigh", 200, 90, 260, 2)
    held = Figure((torso, leg), (Joint("hip", 30, 300, is_held=True),), 0, 500)
    lean = math.degrees(math.atan((-5000 + 400 * 90) / (500 * 120 + 400 * 240)))
    assert find_rest(held).lean_deg == pytest.approx(lean, abs=1e-5)
    unplaced = Figure((torso, leg), (), 0, 500)
    assert find_rest(unplaced).lean_deg == pytest.approx(lean, abs=1e-5)


def test_stopped_knee_keeps_the_drawn_bend_and_the_leg_swings_as_one():
    figure = stooped(lift_mm=80)
    rest = find_rest(figure)
    assert "shank" in rest.at_stop
    assert rest.bent_deg["shank"] == pytest.approx(0, abs=1e-6)
    assert rest.floor_share == 0


def test_two_loads_on_one_beam_balance_by_their_moments():
    # b x_b = -sum of m x: 500 g at 12 mm is balanced by 60 g at 100 mm behind.
    balanced = with_ballast(rigid(), 60, (-100, 380))
    assert moment_about_holes(balanced) == pytest.approx(0)
    assert find_rest(balanced).lean_deg == pytest.approx(0, abs=1e-6)


def test_head_on_its_strings_presses_what_they_do_not_carry_on_the_neck():
    torso, head = Piece("torso", 500, 0, 380), Piece("head", 200, 40, 560)
    neck = Joint("neck", 10, 470, -30, 30)
    figure = Figure((torso, head), (neck,), 0, 500)
    half = find_rest(replace(figure, head_share=0.5))
    # 100 g at the neck, 10 forward and 30 down; 500 g at 120 down.
    lean = math.degrees(math.atan(100 * 10 / (500 * 120 + 100 * 30)))
    assert half.lean_deg == pytest.approx(lean, abs=1e-5)
    assert find_rest(replace(figure, head_share=1.0)).lean_deg == pytest.approx(0, abs=1e-5)
    fallen = find_rest(replace(figure, head_share=0.0))
    assert fallen.bent_deg["head"] == pytest.approx(-30, abs=1e-4)
    assert "head" in fallen.at_stop


def test_foot_meets_the_floor_and_never_goes_through_it():
    standing, lifted = find_rest(stooped(lift_mm=0)), find_rest(stooped(lift_mm=60))
    assert standing.clearance_mm == pytest.approx(0, abs=0.01)
    assert 0 < standing.floor_share < 0.2
    assert standing.on_strings_g == pytest.approx(
        (stooped().mass_g - 60) * (1 - standing.floor_share), rel=1e-6
    )
    assert lifted.clearance_mm is not None
    assert lifted.clearance_mm > 20


# The outside judge


@pytest.mark.parametrize("seed", range(16))
def test_general_engine_lets_the_figure_settle_at_the_same_lean(seed):
    figure = random_figure(seed)
    starts: list[dict[str, float] | None] = [None]
    if figure.head_share == 0:
        starts += [{"head": 25.0}, {"head": -25.0}]
    lean, _ = min((settled_lean(figure, start) for start in starts), key=lambda rest: rest[1])
    assert find_rest(figure).lean_deg == pytest.approx(lean, abs=0.2)


def test_segment_tables_add_up_to_the_published_leg():
    # Lengths as shares of stature: thigh 0.245, lower leg 0.246 (Drillis and Contini 1966, as in
    # Winter, Biomechanics and Motor Control of Human Movement, fig. 4.1). Masses and centres:
    # thigh 0.100 at 0.433, leg 0.0465 at 0.433, foot 0.0145; whole leg 0.161 at 0.447 from the
    # hip (Dempster 1955, via Winter). The foot's centre lies near the ankle's end of the leg.
    thigh, leg, foot = 0.245, 0.246, 0.0145
    figure = Figure(
        (
            Piece("torso", 0, 0, 0),
            Piece("thigh", 0.100, 0, -0.433 * thigh),
            Piece("shank", 0.0465, 0, -thigh - 0.433 * leg),
            Piece("foot", foot, 0, -thigh - leg - 0.02),
        ),
        (),
        0,
        0,
    )
    assert figure.mass_g == pytest.approx(0.161)
    assert -figure.centre[1] / (thigh + leg) == pytest.approx(0.447, abs=0.015)


# Laws


@settings(max_examples=20, deadline=None)
@given(figures)
def test_mirrored_figure_leans_the_other_way(figure):
    lean = find_rest(figure).lean_deg
    assert find_rest(mirrored(figure)).lean_deg == pytest.approx(-lean, abs=1e-3)


@settings(max_examples=20, deadline=None)
@given(figures, st.floats(0.3, 4))
def test_heavier_in_proportion_changes_nothing(figure, times):
    assert find_rest(heavier(figure, times)).lean_deg == pytest.approx(
        find_rest(figure).lean_deg, abs=1e-3
    )


@settings(max_examples=20, deadline=None)
@given(figures)
def test_trued_figure_does_not_lean(figure):
    clear = replace(figure, lift_mm=80.0)
    moment = moment_about_holes(clear)
    at = (-60.0 if moment > 0 else 60.0, 380.0)
    truing = find_truing(clear, at)
    assert truing.ballast is not None
    assert truing.holes is not None
    held_up = with_ballast(clear, truing.ballast.mass_g, at)
    assert moment_about_holes(held_up) == pytest.approx(0, abs=1e-3 * figure.mass_g)
    # Above a neck that lets it fall the head may find a lower rest elsewhere: then it is said.
    if figure.head_share > 0:
        assert truing.ballast.lean_deg == pytest.approx(0, abs=0.02)
        assert find_rest(held_up).lean_deg == pytest.approx(0, abs=0.02)
        assert truing.holes.lean_deg == pytest.approx(0, abs=0.02)
    for piece in truing.lighter:
        assert abs(piece.lean_deg) < 0.25


@settings(max_examples=20, deadline=None)
@given(figures)
def test_what_remains_with_the_feet_on_the_floor_is_said_honestly(figure):
    moment = moment_about_holes(figure)
    at = (-60.0 if moment > 0 else 60.0, 380.0)
    ballast = find_truing(figure, at).ballast
    assert ballast is not None
    remains = find_rest(with_ballast(figure, ballast.mass_g, at)).lean_deg
    assert ballast.lean_deg == pytest.approx(remains, abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(figures, st.integers(0, 2**16))
def test_no_pose_within_the_stops_has_less_energy(figure, seed):
    chain = build_chain(figure)
    rest = find_rest(figure)
    q = np.array([[math.radians(rest.bent_deg[kind]) for kind in chain.kinds]])
    least = float(energy(chain, place(chain, q))[0])
    rng = np.random.default_rng(seed)
    many = np.clip(q + rng.normal(0, 0.3, (400, q.shape[1])), chain.low, chain.high)
    wide = build_chain(figure, count=400)
    assert float(energy(wide, place(wide, many)).min()) >= least - 1e-6 * abs(least)


@settings(max_examples=15, deadline=None)
@given(figures, st.integers(0, 2**16))
def test_slopes_and_bends_agree_with_differences(figure, seed):
    chain = build_chain(figure)
    q = np.random.default_rng(seed).normal(0, 0.2, (1, len(chain.kinds)))
    gradient, bend = slopes(chain, place(chain, q))
    step = 1e-6
    for k in range(q.shape[1]):
        more, less = q.copy(), q.copy()
        more[0, k] += step
        less[0, k] -= step
        rise = energy(chain, place(chain, more)) - energy(chain, place(chain, less))
        scale = float(np.abs(gradient).max()) + 1
        assert gradient[0, k] == pytest.approx(float(rise[0]) / (2 * step), abs=1e-4 * scale)
        turned = (slopes(chain, place(chain, more))[0] - slopes(chain, place(chain, less))[0])[0]
        size = float(np.abs(bend).max()) + 1
        assert bend[0, k] == pytest.approx(turned / (2 * step), abs=1e-3 * size)


def test_drawn_points_move_with_their_piece():
    figure = stooped(lift_mm=60)
    rest = find_rest(figure)
    for piece in figure.pieces:
        if piece.kind != "head":
            moved = rest.moved(piece.kind, (piece.x_mm, piece.y_mm))
            assert moved == pytest.approx(rest.centres[piece.kind], abs=1e-9)
    assert rest.moved("torso", (0, 480)) == pytest.approx((0, 480))


def test_bad_figures_are_refused_by_name():
    with pytest.raises(ValueError, match="forbid the drawn pose"):
        Joint("knee", 0, 160, back_deg=5, forward_deg=90)
    with pytest.raises(ValueError, match="hangs by its torso"):
        Figure((Piece("head", 10, 0, 0),), (), 0, 0)
    with pytest.raises(ValueError, match="not nought or more"):
        Piece("torso", -1, 0, 0)
    with pytest.raises(ValueError, match="stands twice"):
        Figure((Piece("torso", 1, 0, 0), Piece("torso", 1, 0, 0)), (), 0, 0)
    with pytest.raises(ValueError, match="head_share"):
        replace(rigid(), head_share=1.2)


def test_load_on_a_part_that_is_not_there_hangs_on_the_next_one_up():
    figure = replace(rigid(x=0), loads=(Load("hand", 50, 30, 300),))
    assert find_rest(figure).lean_deg > 0
