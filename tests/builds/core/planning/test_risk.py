"""Odds against closed forms and laws; bad arguments."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.planning import Figure, Fixed, Person, Plan, Problem, Step, solve
from builds.core.planning.pace import HIGH, LOW
from builds.core.planning.risk import (
    chance_by,
    critical_path,
    sample_factors,
    sample_plan,
    three_point,
)

DAY = 1440
ROUND_THE_CLOCK = Person("Ines", ((0, 10_000 * DAY),), frozenset({"carve"}), True)


def chain(count: int, needed_by: int) -> tuple[Problem, Plan]:
    """One person, day and night, one step after the other: no calendar comes in between."""
    steps = tuple(Step(f"S{k}", 1000, craft="carve", figure="J1") for k in range(count))
    problem = Problem(
        steps,
        (ROUND_THE_CLOCK,),
        figures=(Figure("J1", needed_by),),
        horizon=10_000 * DAY,
        opening=needed_by,
    )
    return problem, solve(problem, work=0, seed=1)


def test_sampled_chain_has_the_mean_and_spread_of_its_parts() -> None:
    problem, plan = chain(40, needed_by=43_000)
    odds = sample_plan(problem, plan, seed=1, runs=20_000)
    assert odds is not None
    mean, _ = three_point(LOW * 1000, 1000, HIGH * 1000)
    # the spread of the beta curve that is drawn from, not the sixth of its range
    a, b = 1 + 4 * (1 - LOW) / (HIGH - LOW), 1 + 4 * (HIGH - 1) / (HIGH - LOW)
    variance = (1000 * (HIGH - LOW)) ** 2 * a * b / ((a + b) ** 2 * (a + b + 1))
    assert odds.half_by == pytest.approx(40 * mean, rel=0.005)
    assert odds.chance == pytest.approx(chance_by(43_000, 40 * mean, 40 * variance), abs=0.02)
    assert odds.figures["J1"] == odds.chance
    assert set(odds.decides.values()) == {1.0}


def test_factors_keep_their_range_and_mean() -> None:
    drawn = sample_factors((50, 4000), seed=3)
    assert drawn.min() >= LOW
    assert drawn.max() <= HIGH
    assert np.mean(drawn) == pytest.approx((LOW + 4 + HIGH) / 6, abs=0.002)


def test_later_date_is_never_harder() -> None:
    words, chances = [], []
    for needed_by in (38_000, 41_000, 42_500, 46_000):
        problem, plan = chain(40, needed_by)
        odds = sample_plan(problem, plan, seed=1)
        assert odds is not None
        words.append(odds.word)
        chances.append(odds.chance)
    assert words == ["tight", "tight", "fair", "easy"]
    assert chances == sorted(chances)


def test_finished_work_is_certain_and_the_same_seed_gives_the_same_odds() -> None:
    problem, _ = chain(3, needed_by=4000)
    done = replace(problem.steps[0], fixed=Fixed("Ines", 0, 900))
    problem = replace(problem, steps=(done, *problem.steps[1:]), now=900)
    plan = solve(problem, work=0, seed=1)
    odds = sample_plan(problem, plan, seed=5)
    assert odds == sample_plan(problem, plan, seed=5)
    assert odds is not None
    assert odds.nearly_sure_by < 900 + 2 * 1000 * HIGH
    assert "S0" not in odds.decides


def test_no_plan_has_no_odds() -> None:
    problem, _ = chain(1, needed_by=1)
    assert sample_plan(problem, Plan("none", reasons=("why",)), seed=1) is None


def test_wrong_arguments_are_refused() -> None:
    problem, plan = chain(1, needed_by=1)
    with pytest.raises(ValueError, match="runs is 0"):
        sample_plan(problem, plan, seed=1, runs=0)
    with pytest.raises(ValueError, match="must not fall"):
        three_point(3, 2, 4)
    with pytest.raises(ValueError, match="has no duration"):
        critical_path({"a": 1}, {"a": ["b"]})
    with pytest.raises(ValueError, match="ring"):
        critical_path({"a": 1, "b": 1}, {"a": ["b"], "b": ["a"]})


def test_equal_guesses_have_no_variance_and_a_certain_date() -> None:
    assert three_point(3, 3, 3) == (3, 0)
    assert (chance_by(3, 3, 0), chance_by(2.9, 3, 0)) == (1, 0)


@given(st.lists(st.integers(0, 50), min_size=1, max_size=12), st.data())
def test_critical_path_is_the_longest_chain(lengths: list[int], data: st.DataObject) -> None:
    durations = {str(k): length for k, length in enumerate(lengths)}
    after = {
        str(k): [str(j) for j in range(k) if data.draw(st.booleans())] for k in range(len(lengths))
    }
    longest: dict[str, int] = {}
    for one in durations:
        longest[one] = durations[one] + max((longest[b] for b in after[one]), default=0)
    times = critical_path(durations, after)
    end = max(longest.values())
    assert {one: t.earliest_finish for one, t in times.items()} == longest
    assert all(t.spare >= 0 and t.latest_finish <= end for t in times.values())
    assert any(t.spare == 0 and t.earliest_finish == end for t in times.values())
