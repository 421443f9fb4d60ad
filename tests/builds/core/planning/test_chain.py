"""What sets the date: a chain without gaps in its reasons, from a beginning to the last finish."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given

from builds.core.planning import (
    Begun,
    Equipment,
    Fixed,
    Hold,
    Person,
    Plan,
    Problem,
    Step,
    solve,
)
from builds.core.planning.chain import chain_to, what_sets_the_date
from tests.builds.core.planning.companies import problems

DAY = 1440
DAYS = tuple((day * DAY + 540, day * DAY + 840) for day in range(40))
INES = Person("Ines", DAYS, frozenset({"carve"}), is_lead=True)
PRIYA = Person("Priya", DAYS[3::7], frozenset({"sew"}))


def words(*steps: Step, **changes: object) -> list[str]:
    problem = Problem(steps, (INES, PRIYA), (Equipment("booth"),), horizon=40 * DAY)
    problem = replace(problem, **changes)  # type: ignore[arg-type]
    return [link.words for link in what_sets_the_date(problem, solve(problem, work=30, seed=1))]


def test_each_reason_is_told_in_words() -> None:
    found = words(
        Step("carve", 300, craft="carve"),
        Step("pass", 30, craft="carve", gate=True, after=(("carve", 0),)),
        Step("seal", 60, craft="carve", holds=(Hold("booth", 120),), after=(("pass", 0),)),
        Step("prime", 60, craft="carve", after=(("seal", DAY),)),
        Step("sew", 60, craft="sew", after=(("prime", 0),)),
    )
    assert found == [
        "carve waits for nothing else: Ines begins with it.",
        "pass waits until carve is finished. Then it waits until Ines comes in.",
        "seal waits until pass is passed.",
        "prime waits 1 day after seal.",
        "sew waits until prime is finished. Then it waits until Priya comes in.",
    ]


def test_person_and_equipment_and_date_are_named() -> None:
    found = words(Step("a", 200, craft="carve", not_before=600), Step("b", 100, craft="carve"))
    assert found[-1] == "a waits for Ines, who is at work on b."
    spray = Step("spray", 60, craft="sew", holds=(Hold("booth", 20 * DAY - 420),), words="Spray it")
    last = Step("varnish", 60, craft="carve", holds=(Hold("booth"),), after=(("spray", 0),))
    assert words(spray, last)[-1] == (
        "varnish waits for booth, which Spray it holds to its end and 19 days 17 h after it. "
        "Then it waits until Ines comes in."
    )
    assert words(Step("a", 60, craft="carve", not_before=DAY))[0] == (
        "a may not begin before its day."
    )
    assert words(Step("a", 60, craft="carve", begun=Begun("Ines", 0)), now=10) == [
        "a is under way and goes on first."
    ]


def test_fixed_step_stands_where_it_is() -> None:
    found = words(
        Step("a", 60, craft="carve", fixed=Fixed("Ines", 540, 900)),
        Step("b", 60, craft="carve", after=(("a", 0),)),
    )
    assert found == [
        "a stands where it is.",
        "b waits until a is finished. Then it waits until Ines comes in.",
    ]


def test_no_plan_no_chain_and_unknown_steps() -> None:
    problem = Problem((Step("a", 60, craft="carve"),), (INES,), horizon=40 * DAY)
    assert what_sets_the_date(problem, Plan("none", reasons=("why",))) == ()
    with pytest.raises(ValueError, match="last is 'b'"):
        chain_to(problem, solve(problem, work=0, seed=1), "b")


@given(problems())
def test_chain_of_a_random_plan_is_whole(problem: Problem) -> None:
    plan = solve(problem, work=2, seed=1)
    links = what_sets_the_date(problem, plan)
    put = {step.id: step for step in plan.steps}
    assert bool(links) == bool(plan.steps)
    for one, other in pairwise(links):
        assert other.before == one.id
        assert put[one.id].finish + other.wait_min <= put[other.id].finish
    if links:
        assert links[0].before is None
        assert put[links[-1].id].finish == plan.ready
        assert all(link.words and link.away_min >= 0 for link in links)
