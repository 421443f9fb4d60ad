"""Least change: promises are kept where they can be, and nothing else moves for nothing."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given

from builds.core.planning import Begun, Fixed, Person, Plan, Problem, Step, check_plan, solve
from builds.core.planning.keeping import fix_steps, solve_keeping
from builds.core.planning.promises import find_kept
from tests.builds.core.planning.companies import problems

DAY = 1440
WEEK = tuple((day * DAY + 540, day * DAY + 1020) for day in range(40) if day % 7 < 5)
INES = Person("Ines", WEEK, frozenset({"carve", "sew"}), is_lead=True)
PRIYA = Person("Priya", WEEK, frozenset({"sew"}))
CREW = (INES, PRIYA)


def company(*steps: Step, now: int = 0) -> Problem:
    return Problem(steps, CREW, now=now, horizon=40 * DAY)


def standing(plan: Plan) -> dict[str, Fixed]:
    return {
        put.id: Fixed(put.person, put.start, put.finish, put.second)
        for put in plan.steps
        if put.person is not None and put.resumed is None
    }


def test_a_helpers_next_days_stand_though_another_order_were_better() -> None:
    """Priya was told 'habit' today and 'smock' tomorrow; the lead's own work is free to move."""
    habit, smock = Step("habit", 480, craft="sew"), Step("smock", 480, craft="sew")
    problem = company(replace(habit, who=("Priya",)), replace(smock, who=("Priya",)))
    told = {"habit": Fixed("Priya", DAY + 540, DAY + 1020), "smock": Fixed("Priya", 540, 1020)}
    found = solve_keeping(problem, told, keep_until=14 * DAY, work=5, seed=1)
    assert found.kept == {"habit", "smock"}
    assert {put.id: put.start for put in found.plan.steps} == {"habit": DAY + 540, "smock": 540}
    assert check_plan(problem, found.plan) == []
    assert found.plan.status == "proved"


def test_a_promise_that_is_pushed_stays_in_its_hands() -> None:
    """Priya did not begin the habit this morning. Ines could sew it at once, but Priya was told."""
    habit, hem = Step("habit", 480, craft="sew"), Step("hem", 60, craft="sew")
    problem = company(habit, hem, now=700)
    told = {"habit": Fixed("Priya", 540, 1020), "hem": Fixed("Priya", DAY + 540, DAY + 600)}
    found = solve_keeping(problem, told, keep_until=14 * DAY, work=50, seed=1)
    assert found.kept == {"hem"}
    put = {step.id: step for step in found.plan.steps}
    assert (put["habit"].person, put["hem"].start) == ("Priya", DAY + 540)
    assert check_plan(problem, found.plan) == []
    free = solve_keeping(problem, told, keep_until=0, work=50, seed=1).plan
    assert free.ready is not None
    assert found.plan.ready is not None
    assert free.ready < found.plan.ready
    assert found.plan.bound == free.bound


def test_pushed_promises_keep_their_order() -> None:
    first, then = Step("first", 300, craft="sew"), Step("then", 300, craft="sew")
    problem = company(then, first, now=700)
    told = {"first": Fixed("Priya", 540, 840), "then": Fixed("Priya", 600, 900)}
    found = solve_keeping(problem, told, keep_until=14 * DAY, work=50, seed=1)
    put = {step.id: step for step in found.plan.steps}
    assert found.kept == frozenset()
    assert {step.person for step in found.plan.steps} == {"Priya"}
    assert put["first"].finish <= put["then"].start


def test_nobody_waits_for_a_helper_who_is_ill() -> None:
    habit = Step("habit", 480, craft="sew")
    away = replace(PRIYA, work=tuple(pair for pair in WEEK if pair[0] > 13 * DAY))
    problem = replace(company(habit, now=700), people=(INES, away))
    told = {"habit": Fixed("Priya", 540, 1020)}
    found = solve_keeping(problem, told, keep_until=14 * DAY, work=50, seed=1)
    assert [step.person for step in found.plan.steps] == ["Ines"]


def test_released_days_move_where_that_helps() -> None:
    late = Step("carve", 480, craft="carve")
    sew = Step("sew", 480, craft="sew", after=(("carve", 0),), who=("Priya",))
    problem = company(late, sew)
    told = {"sew": Fixed("Priya", 7 * DAY + 540, 7 * DAY + 1020)}
    kept = solve_keeping(problem, told, keep_until=14 * DAY, work=5, seed=1).plan
    free = solve_keeping(problem, told, keep_until=0, work=5, seed=1).plan
    # what the promise waits for was not pinned up itself, so the promise cannot be kept by it
    assert free.ready == kept.ready == DAY + 1020
    told["carve"] = Fixed("Ines", 540, 1020)
    kept = solve_keeping(problem, told, keep_until=14 * DAY, work=5, seed=1).plan
    assert kept.ready == 7 * DAY + 1020


def test_what_a_promise_waits_for_stands_too() -> None:
    carve = Step("carve", 240, craft="carve")
    sew = Step("sew", 240, craft="sew", after=(("carve", 0),), who=("Priya",))
    told = {"carve": Fixed("Ines", 540, 780), "sew": Fixed("Priya", 780, 1020)}
    kept = find_kept(company(carve, sew), told, 14 * DAY, only_helpers=True)
    assert set(kept) == {"carve", "sew"}


def test_work_under_way_goes_first_and_pushes_a_promise_aside() -> None:
    under = Step("paint", 300, craft="sew", begun=Begun("Priya", 100))
    sew = Step("sew", 240, craft="sew", who=("Priya",))
    told = {"sew": Fixed("Priya", 540, 780)}
    problem = company(under, sew, now=500)
    found = solve_keeping(problem, told, keep_until=14 * DAY, work=5, seed=1)
    assert found.kept == frozenset()
    put = {step.id: step for step in found.plan.steps}
    assert (put["paint"].resumed, put["sew"].start) == (540, 840)


def test_missed_days_and_changed_hours_are_no_promise() -> None:
    sew = Step("sew", 240, craft="sew", who=("Priya",))
    told = {"sew": Fixed("Priya", 540, 780)}
    assert find_kept(company(sew, now=600), told, 14 * DAY, only_helpers=True) == {}
    longer = company(replace(sew, minutes=300))
    assert find_kept(longer, told, 14 * DAY, only_helpers=True) == {}
    closed = company(replace(sew, who=("Ines",)))
    assert find_kept(closed, told, 14 * DAY, only_helpers=True) == {}
    later = company(replace(sew, not_before=DAY))
    assert find_kept(later, told, 14 * DAY, only_helpers=True) == {}


def test_what_costs_nothing_stays_beyond_the_promised_days() -> None:
    """Two steps that could change places stay in the order in which they were pinned up."""
    steps = tuple(Step(f"S{k}", 480, craft="carve") for k in range(6))
    order = (3, 1, 5, 0, 4, 2)
    told = {f"S{k}": Fixed("Ines", WEEK[at][0], WEEK[at][1]) for at, k in enumerate(order)}
    found = solve_keeping(company(*steps), told, keep_until=0, work=5, seed=1).plan
    assert {put.id: put.start for put in found.steps} == {k: v.start for k, v in told.items()}


@given(problems())
def test_keeping_all_of_a_plan_changes_nothing_and_is_never_worse(problem: Problem) -> None:
    plan = solve(problem, work=3, seed=2)
    assume(plan.steps)
    again = solve_keeping(problem, standing(plan), keep_until=problem.now, work=0, seed=2).plan
    assert again.score <= plan.score
    assert check_plan(problem, again) == []
    if again.score == plan.score and not any(step.begun for step in problem.steps):
        kept = find_kept(problem, standing(plan), problem.horizon, only_helpers=False)
        put = {step.id: step for step in again.steps}
        assert all(put[one].start == at.start for one, at in kept.items())


@given(problems())
def test_what_is_kept_still_fits(problem: Problem) -> None:
    """Whatever find_kept lets stand is a part of some plan that the checker passes."""
    plan = solve(problem, work=0, seed=5)
    assume(plan.steps)
    told = standing(plan)
    later = replace(problem, now=problem.now + 700)
    assume(not later.problems())
    kept = find_kept(later, told, later.now + 5 * DAY, only_helpers=True)
    assert all(at.start >= later.now for at in kept.values())
    found = solve(fix_steps(later, kept), work=0, seed=1)
    if found.steps:
        assert {s.id: s.start for s in found.steps if s.id in kept} == {
            one: at.start for one, at in kept.items()
        }
