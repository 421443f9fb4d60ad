"""The checker holds every plan to the rules, and notices each way of breaking one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from builds.core.planning import (
    ANYBODY,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Plan,
    PlannedStep,
    Problem,
    Step,
    check_plan,
    solve,
)
from tests.builds.core.planning.companies import problems

INES = Person("Ines", ((480, 720), (1920, 2160), (3360, 3600)), frozenset({"carve", "sew"}), True)
PRIYA = Person("Priya", ((540, 780), (1980, 2220), (3420, 3660)), frozenset({"sew"}))

PROBLEM = Problem(
    steps=(
        Step("drawing", 30, craft="carve", fixed=Fixed("Ines", -100, -70)),
        Step("carve", 200, craft="carve", lead_only=True, after=(("drawing", 600),)),
        Step("seal", 30, craft="sew", holds=(Hold("booth", 60),), not_before=500),
        Step("prime", 30, craft="sew", holds=(Hold("booth", 60),)),
        Step("string", 60, craft="carve", second=ANYBODY, after=(("carve", 0),), figure="J1"),
        Step("cut", 60, craft="sew", part_of="coat"),
        Step("stitch", 60, craft="sew", part_of="coat", after=(("cut", 0),)),
        Step("pour", 60, craft="sew", one_go=True),
    ),
    people=(INES, PRIYA),
    equipment=(Equipment("booth"),),
    figures=(Figure("J1", needed_by=1000, weight=2),),
    horizon=4320,
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return solve(PROBLEM, work=3, seed=1)


def moved(plan: Plan, one: str, **changes: object) -> Plan:
    """The plan with one step changed."""
    return replace(
        plan,
        steps=tuple(
            replace(step, **changes) if step.id == one else step  # type: ignore[arg-type]
            for step in plan.steps
        ),
    )


def find(plan: Plan, one: str) -> PlannedStep:
    return next(step for step in plan.steps if step.id == one)


def test_plan_as_made_breaks_no_rule(plan: Plan) -> None:
    assert check_plan(PROBLEM, plan) == []


@pytest.mark.parametrize(
    ("one", "changes", "said"),
    [
        ("drawing", {"start": 0, "finish": 30}, "fixed but was moved"),
        ("carve", {"person": "Priya"}, "Priya may not do carve"),
        ("carve", {"person": "Priya"}, "for the lead"),
        ("carve", {"start": 479}, "starts when its people are away"),
        ("carve", {"second": "Priya"}, "needs no second"),
        ("string", {"second": None}, "lacks a second"),
        ("string", {"second": "Ines"}, "lacks a second"),
        ("seal", {"start": 485, "finish": 515}, "before its day"),
        ("prime", {"person": None}, "has nobody"),
        ("prime", {"resumed": 600}, "has not been begun"),
        ("pour", {"finish": 5000}, "after the hours that are known"),
        ("pour", {"in_hand_min": -1}, "less than nothing in hand"),
    ],
)
def test_step_that_breaks_a_rule_is_named(
    plan: Plan, one: str, changes: dict[str, object], said: str
) -> None:
    assert any(said in line for line in check_plan(PROBLEM, moved(plan, one, **changes)))


def test_work_at_once_by_one_person_is_named(plan: Plan) -> None:
    cut = find(plan, "cut")
    clash = moved(plan, "stitch", start=cut.start, finish=cut.finish, person=cut.person)
    said = check_plan(PROBLEM, clash)
    assert f"{cut.person} would do cut and stitch at once." in said
    assert any("stitch starts before cut is finished" in line for line in said)


def test_parts_with_two_people_are_named(plan: Plan) -> None:
    other = "Ines" if find(plan, "cut").person == "Priya" else "Priya"
    said = check_plan(PROBLEM, moved(plan, "cut", person=other))
    assert "The parts of coat have different people." in said


def test_equipment_held_twice_is_named(plan: Plan) -> None:
    seal = find(plan, "seal")
    said = check_plan(PROBLEM, moved(plan, "prime", start=seal.finish, finish=seal.finish + 30))
    assert any("booth is held by more than 1" in line for line in said)


def test_pause_in_one_go_is_named(plan: Plan) -> None:
    said = check_plan(PROBLEM, moved(plan, "pour", person="Ines", start=700, finish=1960))
    assert "pour is not done in one go." in said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"ready": 1}, "All is ready at minute"),
        ({"lateness": 7}, "weighted minutes late, not 7"),
        ({"bound": 4000}, "before the bound of 4000"),
        ({"steps": ()}, "is not planned"),
    ],
)
def test_sums_that_do_not_hold_are_named(plan: Plan, changes: dict[str, object], said: str) -> None:
    assert any(said in line for line in check_plan(PROBLEM, replace(plan, **changes)))  # type: ignore[arg-type]


def test_no_plan_needs_a_reason() -> None:
    assert check_plan(PROBLEM, Plan("none")) == ["There is no plan and no reason for it."]
    assert check_plan(PROBLEM, Plan("none", reasons=("Nobody carves.",))) == []


@given(problems())
def test_random_companies_get_a_plan_that_holds_or_reasons(problem: Problem) -> None:
    plan = solve(problem, work=4, seed=3)
    assert check_plan(problem, plan) == []
    assert bool(plan.steps) != bool(plan.reasons)


@given(problems())
def test_every_step_of_a_random_plan_moved_is_noticed(problem: Problem) -> None:
    plan = solve(problem, work=0, seed=1)
    for step in plan.steps:
        shorter = moved(plan, step.id, finish=step.finish - 1)
        assert check_plan(problem, shorter) != []
