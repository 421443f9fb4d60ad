"""Three points learnt from the record: what they begin as, where they go, how they are drawn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.planning import Person, Problem, Step, solve
from builds.core.planning.pace import (
    HIGH,
    LOW,
    SOUND_STEPS,
    ThreePoint,
    blend,
    learn_pace,
)
from builds.core.planning.risk import sample_factors, sample_plan, three_point

RATIOS = st.lists(st.floats(0.2, 4), max_size=60)


def test_a_company_begins_with_common_practice() -> None:
    pace = learn_pace({})
    assert pace.company == ThreePoint(LOW, 1, HIGH) == pace.of("anything")
    assert (pace.steps, pace.took, pace.is_sound) == (0, 1, False)


def test_mean_is_the_one_of_malcolm_et_al() -> None:
    """Malcolm et al. 1959, as printed by Taylor (activity 1: 5, 8, 17 has the mean 9)."""
    assert ThreePoint(5, 8, 17).mean == three_point(5, 8, 17)[0] == 9


def test_much_on_record_outweighs_what_was_thought() -> None:
    pace = learn_pace({"carve": [1.3] * 400})
    assert pace.of("carve").usual == pytest.approx(1.3, abs=0.01)
    assert pace.of("carve").high == pytest.approx(1.3, abs=0.02)
    assert pace.took == pytest.approx(1.3)


def test_a_stage_leans_on_the_company_until_it_has_a_record_of_its_own() -> None:
    pace = learn_pace({"carve": [1.5] * 30, "sew": [0.9]})
    assert pace.of("sew").usual == pytest.approx(pace.company.usual, abs=0.06)
    assert pace.of("carve").usual > pace.of("sew").usual > 0.9
    assert pace.steps == 31 > SOUND_STEPS
    assert pace.is_sound


def test_a_slip_of_the_pen_does_not_run_away() -> None:
    assert learn_pace({"sew": [400.0]}).company.high < 2


@given(RATIOS, RATIOS)
def test_points_never_fall(one: list[float], other: list[float]) -> None:
    pace = learn_pace({"a": one, "b": other})
    for points in (pace.company, pace.of("a"), pace.of("b"), pace.of("c")):
        assert points.low <= points.usual <= points.high


@given(RATIOS)
def test_a_longer_record_is_never_a_shorter_mean(ratios: list[float]) -> None:
    longer = blend(ThreePoint(), [ratio + 0.1 for ratio in ratios])
    assert longer.mean >= blend(ThreePoint(), ratios).mean


@pytest.mark.parametrize("points", [ThreePoint(), ThreePoint(0.9, 1.2, 3), ThreePoint(1, 1, 1)])
def test_drawn_factors_keep_their_ends_and_their_mean(points: ThreePoint) -> None:
    drawn = sample_factors((20, 10_000), 7, [points] * 20)
    assert drawn.min() >= points.low
    assert drawn.max() <= points.high
    assert np.mean(drawn) == pytest.approx(points.mean, abs=0.003)


def test_odds_follow_the_pace_of_the_stage() -> None:
    ines = Person("Ines", ((0, 100_000),), frozenset({"carve"}), True)
    steps = tuple(Step(f"S{k}", 1000, craft="carve") for k in range(10))
    problem = Problem(steps, (ines,), horizon=100_000, opening=12_000)
    plan = solve(problem, work=0, seed=1)
    usual = sample_plan(problem, plan, seed=1)
    slow = sample_plan(
        problem, plan, seed=1, points={step.id: ThreePoint(1.2, 1.4, 1.6) for step in steps}
    )
    assert usual is not None
    assert slow is not None
    assert slow.half_by == pytest.approx(14_000, rel=0.01)
    assert usual.chance is not None
    assert usual.chance > 0.99
    assert slow.chance == 0
    assert [share for share, _ in usual.dates] == sorted(share for share, _ in usual.dates)
    assert dict(usual.dates)[50] == usual.half_by
    assert dict(usual.dates)[95] == usual.nearly_sure_by
