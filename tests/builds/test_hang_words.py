"""Sentences about a lean, where the weight sits, what limbs do and what trues a figure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builds.core.statics.lean import Lean
from builds.core.statics.rest import find_rest
from builds.core.statics.truing import Ballast, LighterPiece, MovedHoles, Truing, find_truing
from builds.queries.hang_words import say_lean, say_seat, say_swings, say_truing
from tests.builds.core.statics.figures import rigid, stooped

NEAR = Truing(0, 0.2, 80, Ballast(0, (-40, 300), 0), MovedHoles(0, 0), ())


@pytest.mark.parametrize(("lean", "said"), [
    (Lean(-2.5, -4, -1), "leans 2.5° back, between 1° and 4°"),
    (Lean(2.5, 1, 4), "leans 2.5° forward, between 1° and 4°"),
    (Lean(1.0, -0.5, 2.4), "leans 1° forward, between 0.5° back and 2.4° forward"),
    (Lean(3.0, 2.98, 3.02), "leans 3° forward"),
    (Lean(0.1, -1.2, 1.4), "hangs as drawn, within 1.2° back and 1.4° forward"),
    (Lean(0.2, 0.1, 0.4), "hangs as drawn, within 0.4°"),
])  # fmt: skip
def test_lean_is_said_with_its_range(lean, said):
    assert say_lean(lean) == said


def test_seat_of_the_weight_is_said_against_the_holes():
    assert say_seat(NEAR) == "Its weight sits under the string holes, 80 mm below them."
    behind = replace(NEAR, forward_mm=-3.2, drop_mm=69)
    assert say_seat(behind) == (
        "Its weight sits 3 mm behind the string holes and 69 mm below them."
    )
    assert "turn over" in say_seat(replace(NEAR, drop_mm=-4))


def test_limbs_and_feet_are_said_as_they_hang():
    lifted = stooped(lift_mm=80)
    said = say_swings(lifted, find_rest(lifted))
    assert any(sentence.startswith("The thighs hang") for sentence in said)
    assert any("against the stop" in sentence for sentence in said)
    assert any("clear of the floor" in sentence for sentence in said)
    fallen = stooped(lift_mm=80, head_share=0.0)
    assert any(
        "The head tips" in s and "forward" in s for s in say_swings(fallen, find_rest(fallen))
    )
    standing = stooped()
    assert any("touch the floor" in s for s in say_swings(standing, find_rest(standing)))


def test_every_cure_is_said_with_its_number():
    truing = find_truing(rigid(), (-100, 380))
    said = say_truing(replace(truing, lighter=(LighterPiece("thigh", 12, 90, 0.0),)), 5.7)
    assert said == [
        "60 g of brass at the chosen place (100 mm behind the line, 380 mm up).",
        "String holes 12.0 mm further forward.",
        "60 g hollowed out of the torso, of 500 g, 100 mm in front of the line, 380 mm up.",
        "12 g less in the thighs each, of 90 g.",
    ]


def test_ballast_that_cannot_help_says_why_and_a_true_figure_needs_none():
    refused = find_truing(rigid(), (50, 380))
    assert say_truing(refused, 5.7)[0] == (
        "No ballast helps at the chosen place: it must lie behind the string holes to turn the "
        "figure back."
    )
    assert say_truing(refused, 0.1) == ["Nothing is needed: it hangs as drawn."]
    left = replace(NEAR, ballast=Ballast(30, (-40, 300), 1.5))
    assert say_truing(left, 3)[0].endswith("1.5° forward then remains.")
