"""Lateness that cannot be helped: by hand, against every plan of tiny problems, and scipy."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from builds.core.planning import Figure, Person, Problem, Step, least_late, solve
from tests.builds.core.planning.oracles import best_score
from tests.builds.core.planning.test_solve import QUARTER, scaled, tiny

DAY = 1440


def hour_a_day(weights: tuple[int, ...]) -> Problem:
    """Ines sews an hour a day from midnight; every coat takes an hour and is due the first day."""
    ines = Person("Ines", tuple((d * DAY, d * DAY + 60) for d in range(30)), frozenset({"sew"}))
    steps = tuple(Step(f"sew {k}", 60, craft="sew", figure=f"J{k}") for k, _ in enumerate(weights))
    figures = tuple(Figure(f"J{k}", DAY, weight) for k, weight in enumerate(weights))
    return Problem(steps, (ines,), (), figures, 0, 30 * DAY)


def test_coats_that_wait_for_one_pair_of_hands() -> None:
    # one coat a day: done at 60, 1500 and 2940, so 0 + 60 + 1500 minutes after the first day
    plan = solve(hour_a_day((1, 1, 1)), work=0, seed=1)
    assert plan.lateness == 1560
    assert 1500 <= plan.lateness_bound <= 1560


def test_the_heaviest_coat_comes_first_at_best() -> None:
    # 5 x 0 + 2 x 60 + 1 x 1500
    plan = solve(hour_a_day((1, 5, 2)), work=0, seed=1)
    assert plan.lateness == 1620
    assert 1500 <= plan.lateness_bound <= 1620


def test_nothing_late_asks_for_no_bound() -> None:
    plan = solve(hour_a_day((1,)), work=0, seed=1)
    assert (plan.lateness, plan.lateness_bound) == (0, 0)


@given(tiny(), st.integers(1, 12), st.integers(1, 12), st.integers(1, 3))
def test_no_plan_of_a_tiny_problem_is_less_late(
    problem: Problem, one: int, other: int, weight: int
) -> None:
    steps = tuple(
        replace(step, figure=("J1", "J2", None)[k % 3]) for k, step in enumerate(problem.steps)
    )
    figures = (Figure("J1", one, 2), Figure("J2", other, weight))
    two = replace(problem, steps=steps, figures=figures)
    best = best_score(two)
    plan = solve(scaled(two, QUARTER), work=0, seed=1)
    assume(best is not None and plan.steps)
    assert best is not None
    assert plan.lateness_bound <= best[0] * QUARTER <= plan.lateness


@pytest.mark.parametrize("seed", range(20))
def test_the_most_that_hours_finish_is_the_knapsacks_optimum(seed: int) -> None:
    """Judged by HiGHS: whole figures with what they share, and the linear relaxation."""
    dice = random.Random(seed)
    figures = 7
    behind = tuple(
        tuple(sorted(dice.sample(range(figures), dice.choice((1, 1, 1, 2, 3))))) for _ in range(20)
    )
    demand = np.array([dice.randint(0, 9) * 15 for _ in behind])
    weight = np.array([dice.randint(1, 9) for _ in range(figures)])
    open_now = np.array([[dice.random() < 0.7 for _ in range(figures)] for _ in range(3)])
    hours = np.array([dice.randint(0, int(demand.sum())) for _ in range(3)])
    exact = least_late._most_of_few(demand, behind, weight, open_now, hours)
    work = least_late._shared_out(demand, behind, figures)
    most = least_late._most_at_best(work, weight, open_now, hours)
    for row in range(3):
        assert exact[row] == round(_by_milp(demand, behind, weight, open_now[row], hours[row]))
        relaxed = linprog(
            -weight,
            A_ub=[work],
            b_ub=[hours[row]],
            bounds=[(0, int(may)) for may in open_now[row]],
        )
        assert most[row] == int(-relaxed.fun + 1e-6)
        assert most[row] >= exact[row]


def _by_milp(
    demand: np.ndarray,
    behind: tuple[tuple[int, ...], ...],
    weight: np.ndarray,
    may: np.ndarray,
    hours: int,
) -> float:
    """Choose figures and steps; a chosen figure needs each step that it waits for."""
    count, steps = len(weight), len(demand)
    rows, most = [], []
    rows.append(np.concatenate((np.zeros(count), demand)))
    most.append(float(hours))
    for i, some in enumerate(behind):
        for k in some:
            row = np.zeros(count + steps)
            row[k], row[count + i] = 1, -1
            rows.append(row)
            most.append(0.0)
    found = milp(
        np.concatenate((-weight, np.zeros(steps))),
        constraints=LinearConstraint(np.array(rows), -np.inf, most),
        bounds=Bounds(0, np.concatenate((may.astype(float), np.ones(steps)))),
        integrality=np.ones(count + steps),
    )
    return -found.fun
