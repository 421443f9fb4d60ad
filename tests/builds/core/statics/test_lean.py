"""The range of a lean, what changes it, what trues it, and what a trial hang teaches."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builds.core.statics.lean import believed, find_effects, find_lean, first_beliefs
from builds.core.statics.rest import find_rest
from builds.core.statics.scaling import scale_figure
from builds.core.statics.trials import Trial, learn, say_learnt
from builds.core.statics.truing import find_truing
from builds.core.statics.values import Figure, Joint, Piece
from tests.builds.core.statics.figures import figures, rigid, stooped


def test_range_of_one_rigid_piece_is_that_of_its_centre():
    # Only the centre matters: x is good to 3 mm as two deviations, 120 mm below the holes; nine
    # in ten lie within 1.645 deviations (normal table).
    lean = find_lean(rigid(x=0), samples=4000)
    wide = math.degrees(math.atan(1.645 * 1.5 / 120))
    assert lean.low_deg == pytest.approx(-wide, abs=0.08)
    assert lean.high_deg == pytest.approx(wide, abs=0.08)


def test_weighed_and_balanced_parts_narrow_the_range():
    plain = stooped(lift_mm=60)
    sure = replace(
        plain,
        pieces=tuple(replace(p, mass_within=0.01, centre_within_mm=1.0) for p in plain.pieces),
    )
    wide, narrow = find_lean(plain), find_lean(sure)
    assert narrow.high_deg - narrow.low_deg < 0.5 * (wide.high_deg - wide.low_deg)
    assert narrow.lean_deg == pytest.approx(wide.lean_deg)


def test_same_seed_same_range_and_the_lean_lies_within():
    first, again = find_lean(stooped()), find_lean(stooped())
    assert first == again
    assert first.low_deg <= first.lean_deg <= first.high_deg


def test_effects_say_what_a_millimetre_and_ten_grams_do():
    effects = {effect.words: effect.degrees for effect in find_effects(rigid(), (-100, 400))}
    plain = find_rest(rigid()).lean_deg
    by_hand = math.degrees(math.atan(11 / 120)) - plain
    assert effects["string holes 1 mm further forward"] == pytest.approx(by_hand, abs=1e-6)
    x = (500 * 12 - 10 * 100) / 510
    y = (500 * 120 + 10 * 100) / 510
    with_ten = math.degrees(math.atan2(x, y)) - plain
    assert effects["10 g of ballast at the chosen place"] == pytest.approx(with_ten, abs=1e-6)
    # A rigid piece hangs the same, however heavy it is.
    assert effects["torso 10 g heavier"] == pytest.approx(0, abs=1e-6)


def test_truing_gives_the_textbook_numbers():
    # 500 g at 12 mm forward: 60 g at 100 mm behind, or the holes 12 mm forward.
    truing = find_truing(rigid(), (-100, 380))
    assert truing.moment_gmm == pytest.approx(6000)
    assert (truing.forward_mm, truing.drop_mm) == pytest.approx((12, 120))
    assert truing.ballast is not None
    assert truing.ballast.mass_g == pytest.approx(60)
    assert truing.holes is not None
    assert truing.holes.by_mm == pytest.approx(12)


def test_hollowing_across_trues_as_ballast_does():
    truing = find_truing(rigid(), (-100, 380))
    assert truing.hollow is not None
    assert (truing.hollow.mass_g, truing.hollow.at) == (pytest.approx(60), (100, 380))
    # 500 g at 12 mm less 60 g at 100 mm is nought.
    assert truing.hollow.lean_deg == pytest.approx(0, abs=1e-6)
    # 300 g would be needed from 20 mm off: more than half of it is not there to take.
    assert find_truing(rigid(), (-20, 380)).hollow is not None
    assert find_truing(rigid(), (-15, 380)).hollow is None


def test_free_limb_counts_at_its_joint_in_where_the_weight_sits():
    # 500 g at 10 behind and 120 below; 400 g that hang free from a hip 30 forward, 200 below.
    torso, leg = Piece("torso", 500, -10, 380), Piece("thigh", 200, 90, 260, 2)
    truing = find_truing(Figure((torso, leg), (Joint("hip", 30, 300),), 0, 500), (-50, 400))
    assert truing.forward_mm == pytest.approx(7000 / 900)
    assert truing.drop_mm == pytest.approx(140_000 / 900, rel=1e-4)


def test_ballast_on_the_wrong_side_is_refused_with_the_right_one():
    truing = find_truing(rigid(), (40, 380))
    assert truing.ballast is None
    assert "behind the string holes" in truing.ballast_refused
    under = find_truing(rigid(), (0.2, 380))
    assert "turns nothing" in under.ballast_refused


def test_lighter_part_is_found_where_one_weighs_too_much():
    forward = replace(
        stooped(lift_mm=60, head_share=0.5),
        pieces=tuple(replace(p, x_mm=-1.0) if p.kind == "torso" else p for p in stooped().pieces),
        hole_x_mm=-0.3,
    )
    truing = find_truing(forward, (-40, 400))
    for piece in truing.lighter:
        parts = tuple(
            replace(p, mass_g=p.mass_g - piece.less_g) if p.kind == piece.kind else p
            for p in forward.pieces
        )
        assert abs(find_rest(replace(forward, pieces=parts)).lean_deg) < 0.25


@settings(max_examples=15, deadline=None)
@given(figures, st.floats(-4, 4))
def test_measured_lean_is_what_the_corrected_figure_gives(figure, off):
    if figure.head_share == 0:
        figure = replace(figure, head_share=0.5)
    figure = replace(figure, lift_mm=60.0)
    measured = find_rest(figure).lean_deg + off
    beliefs = learn(figure, [Trial(figure, measured, 0.05)])
    after = find_rest(believed(figure, beliefs)).lean_deg
    assert after == pytest.approx(measured, abs=0.15)
    lean = find_lean(figure, beliefs)
    before = find_lean(figure)
    assert lean.high_deg - lean.low_deg < before.high_deg - before.low_deg


def test_trial_moves_what_was_least_sure_and_says_so():
    figure = replace(
        stooped(lift_mm=60),
        pieces=tuple(
            replace(p, mass_within=0.01, centre_within_mm=0.2) if p.kind != "torso" else p
            for p in stooped().pieces
        ),
    )
    learnt = say_learnt(figure, learn(figure, [Trial(figure, 4.0, 0.2)]))
    assert learnt[0].kind == "torso"
    assert learnt[0].forward_mm > 0
    assert all(abs(row.forward_mm) < 0.5 for row in learnt[1:])


def test_rough_measuring_moves_less_than_a_sharp_one():
    figure = rigid(x=0)
    sharp = find_lean(figure, learn(figure, [Trial(figure, 3, 0.1)])).lean_deg
    rough = find_lean(figure, learn(figure, [Trial(figure, 3, 3)])).lean_deg
    assert 0 < rough < sharp <= 3.001


def test_two_trials_are_surer_than_one():
    figure = stooped(lift_mm=60)
    trial = Trial(figure, 2.0, 1.0)
    one, two = learn(figure, [trial]), learn(figure, [trial, trial])
    spread = [
        lean.high_deg - lean.low_deg for lean in (find_lean(figure, one), find_lean(figure, two))
    ]
    assert spread[1] < spread[0]


def test_trial_of_another_sort_of_figure_is_refused():
    with pytest.raises(ValueError, match="other pieces"):
        learn(stooped(), [Trial(rigid(), 1.0)])
    with pytest.raises(ValueError, match="within_deg"):
        learn(rigid(), [Trial(rigid(), 1.0, 0)])


def test_beliefs_start_from_each_pieces_own_bounds():
    beliefs = first_beliefs(rigid())
    assert beliefs.kinds == ("torso",)
    assert beliefs.mean.tolist() == [0, 0, 0]


@pytest.mark.parametrize(("scale", "mass"), [(1.2, 1728), (0.5, 125), (1.0, 1000)])
def test_weight_goes_with_the_cube_of_the_scale(scale, mass):
    # Square-cube law (Galilei 1638, Discorsi): 1.2 times as tall weighs 1.728 times as much.
    assert scale_figure(600, 1000, scale).mass_g == pytest.approx(mass)


def test_small_figure_is_warned_of_and_a_full_one_is_not():
    assert scale_figure(600, 1200, 0.6).is_too_light
    assert not scale_figure(600, 1200, 0.95).is_too_light
    assert not scale_figure(600, 300, 1.0).is_too_light
    assert scale_figure(600, 1600, 1.2).is_heavy
    with pytest.raises(ValueError, match="scale"):
        scale_figure(600, 1000, 0)


def test_believed_figure_is_the_same_where_nothing_was_learnt():
    figure = stooped()
    assert believed(figure, first_beliefs(figure)) == figure
    assert Piece("torso", 1, 0, 0).count == 1
