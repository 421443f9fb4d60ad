"""Answers that others have printed: critical paths, three-point guesses, scarce equipment."""

from __future__ import annotations

import pytest

from builds.core.planning import Equipment, Hold, Plan, Problem, Step, check_plan, solve
from builds.core.planning.risk import chance_by, critical_path, three_point

# B. W. Taylor, Introduction to Management Science, project management chapter, problems 1 and 2,
# as printed in scribd.com/doc/47113515: activity, time, ES, EF, LS, LF, slack.
TAYLOR_1 = """
1-2 7 0 7 2 9 2
1-3 10 0 10 0 10 0
2-4 6 7 13 9 15 2
3-4 5 10 15 10 15 0
3-5 4 10 14 14 18 4
4-5 3 15 18 15 18 0
5-6 2 18 20 18 20 0
"""
TAYLOR_2 = """
1-2 8 0 8 1 9 1
1-3 10 0 10 0 10 0
1-4 9 0 9 6 15 6
2-5 6 8 14 9 15 1
2-6 4 8 12 16 20 8
3-5 5 10 15 10 15 0
4-5 0 9 9 15 15 6
4-7 7 9 16 20 27 11
5-7 12 15 27 15 27 0
5-8 15 15 30 16 31 1
6-9 18 12 30 20 38 8
7-8 4 27 31 27 31 0
8-9 7 31 38 31 38 0
"""


def network(printed: str) -> tuple[dict[str, int], dict[str, list[str]], dict[str, list[int]]]:
    """Durations, what each activity waits for, and the printed columns."""
    rows = [line.split() for line in printed.split("\n") if line]
    durations = {row[0]: int(row[1]) for row in rows}
    after = {
        one: [other for other in durations if other.split("-")[1] == one.split("-")[0]]
        for one in durations
    }
    return durations, after, {row[0]: [int(x) for x in row[2:]] for row in rows}


@pytest.mark.parametrize(
    ("printed", "length", "path"),
    [
        (TAYLOR_1, 20, ["1-3", "3-4", "4-5", "5-6"]),
        (TAYLOR_2, 38, ["1-3", "3-5", "5-7", "7-8", "8-9"]),
    ],
)
def test_critical_path_as_printed(printed: str, length: int, path: list[str]) -> None:
    durations, after, columns = network(printed)
    times = critical_path(durations, after)
    for one, printed_row in columns.items():
        t = times[one]
        found = [t.earliest_start, t.earliest_finish, t.latest_start, t.latest_finish, t.spare]
        assert found == printed_row, one
    assert max(t.earliest_finish for t in times.values()) == length
    assert [one for one, t in times.items() if t.spare == 0] == path


@pytest.mark.parametrize("printed", [TAYLOR_1, TAYLOR_2])
def test_planned_without_people_the_latest_starts_are_those_printed(printed: str) -> None:
    durations, after, columns = network(printed)
    steps = tuple(
        Step(one, minutes, unattended=True, after=tuple((before, 0) for before in after[one]))
        for one, minutes in durations.items()
    )
    plan = solve(Problem(steps, horizon=100), work=0, seed=1)
    for step in plan.steps:
        _, _, latest_start, _, spare = columns[step.id]
        assert (step.latest_start, step.in_hand_min) == (latest_start, spare), step.id
    assert plan.status == "proved"


# B. W. Taylor, the same book, as printed in flylib.com/books/en/3.287.1.117: a, m, b.
TAYLOR_PERT = {
    1: (5, 8, 17, 9, 4),
    2: (7, 10, 13, 10, 1),
    3: (3, 5, 7, 5, 0.4444),
    4: (1, 3, 5, 3, 0.4444),
    5: (4, 6, 8, 6, 0.4444),
    6: (3, 3, 3, 3, 0),
    7: (3, 4, 5, 4, 0.1111),
}


def test_three_point_guesses_as_printed() -> None:
    found = {k: three_point(*row[:3]) for k, row in TAYLOR_PERT.items()}
    for k, (mean, variance) in found.items():
        assert mean == TAYLOR_PERT[k][3]
        assert variance == pytest.approx(TAYLOR_PERT[k][4], abs=5e-5)
    mean = sum(found[k][0] for k in (1, 3, 5, 7))
    variance = sum(found[k][1] for k in (1, 3, 5, 7))
    assert (mean, variance) == (24, pytest.approx(5.0))
    # the book's table of the normal curve gives 0.9633; Phi(1.7889) is 0.9632
    assert chance_by(28, mean, variance) == pytest.approx(0.9632, abs=5e-5)


def classical(rows: str, capacity: int) -> Problem:
    """'name duration demand before,before' lines with one renewable resource."""
    steps = []
    for line in rows.strip().split("\n"):
        name, minutes, demand, *before = line.split()
        steps.append(
            Step(
                name,
                int(minutes),
                unattended=True,
                holds=(Hold("R", amount=int(demand)),),
                after=tuple((one, 0) for one in before),
            )
        )
    total = sum(step.minutes for step in steps)
    return Problem(tuple(steps), equipment=(Equipment("R", capacity),), horizon=total)


# Kolisch and Hartmann 1999 (in Weglarz, Project Scheduling, 147-178), figure 1: optimum 13. The
# data are from memory; trying every order by hand agrees with the printed optimum.
KOLISCH_HARTMANN = "1 3 2\n2 4 3\n3 2 4 1\n4 2 4 2\n5 1 3 3\n6 4 2 4"
# Made here, solved by trying all orders: optimum 14.
MADE_HERE = "A 4 1\nB 3 2\nC 2 1 A\nD 5 1 A\nE 3 1 B\nF 2 2 C E"


@pytest.mark.parametrize(
    ("rows", "capacity", "optimum"), [(KOLISCH_HARTMANN, 4, 13), (MADE_HERE, 2, 14)]
)
def test_resource_limited_optimum_is_found(rows: str, capacity: int, optimum: int) -> None:
    problem = classical(rows, capacity)
    plan = solve(problem, work=100, seed=1)
    assert plan.ready == optimum
    assert plan.bound is not None
    assert plan.bound <= optimum
    assert check_plan(problem, plan) == []


# ft06: Fisher and Thompson 1963 (in Muth and Thompson, Industrial Scheduling), optimum 55. Machine
# and duration pairs from memory; branch and bound on them proves 55.
FT06 = """
2 1 0 3 1 6 3 7 5 3 4 6
1 8 2 5 4 10 5 10 0 10 3 4
2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9
2 9 1 3 4 5 5 4 0 3 3 1
1 3 3 3 5 9 0 10 4 4 2 1
"""


def job_shop() -> Problem:
    steps = []
    for job, line in enumerate(FT06.strip().split("\n")):
        numbers = [int(word) for word in line.split()]
        for k in range(6):
            machine, minutes = numbers[2 * k : 2 * k + 2]
            after = ((f"{job}.{k - 1}", 0),) if k else ()
            holds = (Hold(f"M{machine}"),)
            steps.append(Step(f"{job}.{k}", minutes, unattended=True, holds=holds, after=after))
    return Problem(tuple(steps), equipment=tuple(Equipment(f"M{m}") for m in range(6)), horizon=300)


def test_job_shop_optimum_is_found() -> None:
    plan: Plan = solve(job_shop(), work=2000, seed=1)
    assert plan.ready == 55
    assert plan.bound is not None
    assert plan.bound <= 55
