"""Laws of planning: what never changes, never gets worse, and the optimum of tiny problems."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from builds.core.planning import (
    ANYBODY,
    Begun,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Plan,
    Problem,
    Step,
    check_plan,
    solve,
)
from tests.builds.core.planning.companies import problems
from tests.builds.core.planning.oracles import best_score

DAY = 1440
QUARTER = 15
WEEKDAYS = tuple((day * DAY + 540, day * DAY + 1020) for day in range(60) if day % 7 < 5)
TUESDAYS = tuple((day * DAY + 600, day * DAY + 960) for day in range(60) if day % 7 == 1)
INES = Person("Ines", WEEKDAYS, frozenset({"carve", "sew"}), is_lead=True)
TOMAS = Person("Tomas", TUESDAYS, frozenset({"sew"}))


@st.composite
def tiny(draw: st.DrawFn) -> Problem:
    """Up to four steps, two people, hours of a few minutes: small enough to try everything."""
    crew = []
    for k in range(2):
        at, slots = draw(st.integers(0, 4)), []
        for _ in range(5):
            length = draw(st.integers(2, 6))
            slots.append((at, at + length))
            at += length + draw(st.integers(1, 5))
        crafts = frozenset("ab") if k == 0 else frozenset(draw(st.sets(st.sampled_from("ab"))))
        crew.append(Person(f"P{k}", tuple(slots), crafts, k == 0))
    steps = []
    for i in range(draw(st.integers(1, 4))):
        after = draw(st.lists(st.integers(0, i - 1), unique=True, max_size=1)) if i else []
        steps.append(
            Step(
                f"S{i}",
                draw(st.integers(1, 5)),
                craft=draw(st.sampled_from("ab")),
                second=ANYBODY if draw(st.integers(0, 4)) == 0 else None,
                one_go=draw(st.integers(0, 4)) == 0,
                holds=(Hold("frame", draw(st.integers(0, 3))),) if draw(st.booleans()) else (),
                after=tuple((f"S{k}", draw(st.integers(0, 4))) for k in after),
                not_before=draw(st.none() | st.integers(0, 6)),
                figure="J1" if draw(st.booleans()) else None,
            )
        )
    figures = (Figure("J1", needed_by=draw(st.integers(1, 30)), weight=2),)
    return Problem(tuple(steps), tuple(crew), (Equipment("frame"),), figures, 0, 60)


@given(tiny())
def test_bound_optimum_and_plan_stand_in_order(problem: Problem) -> None:
    plan = solve(scaled(problem, QUARTER), work=0, seed=1)
    best = best_score(problem)
    assume(plan.steps)
    assert best is not None
    goal = (best[0] * QUARTER, best[1] * QUARTER)
    assert plan.score >= goal
    for seed in range(5):
        if plan.score > goal:
            plan = solve(scaled(problem, QUARTER), work=1000, seed=seed)
    assert plan.score == goal
    # the bound holds whatever is late: below the least ready of all plans, dates left out
    soonest = best_score(replace(problem, figures=(Figure("J1"),)))
    assert soonest is not None
    assert plan.bound is not None
    assert plan.bound <= soonest[1] * QUARTER


@given(problems())
def test_same_seed_and_work_give_the_same_plan(problem: Problem) -> None:
    assert solve(problem, work=6, seed=9) == solve(problem, work=6, seed=9)


@given(problems())
def test_more_work_is_never_worse(problem: Problem) -> None:
    little, much = solve(problem, work=2, seed=4), solve(problem, work=12, seed=4)
    assume(little.steps)
    assert much.score <= little.score


@given(problems())
def test_one_more_helper_never_makes_the_bound_later(problem: Problem) -> None:
    before = solve(problem, work=0, seed=1)
    assume(before.bound is not None)
    twin = replace(problem.people[-1], id="Priya")
    after = solve(replace(problem, people=(*problem.people, twin)), work=0, seed=1)
    assert before.bound is not None
    assert after.bound is None or after.bound <= before.bound


@given(problems())
def test_a_longer_step_never_makes_the_bound_earlier(problem: Problem) -> None:
    before = solve(problem, work=0, seed=1)
    longer = tuple(
        replace(step, minutes=step.minutes + 30) if step.fixed is None else step
        for step in problem.steps
    )
    after = solve(replace(problem, steps=longer), work=0, seed=1)
    assume(before.bound is not None and after.bound is not None)
    assert before.bound is not None
    assert after.bound is not None
    assert after.bound >= before.bound


@given(problems())
def test_what_is_fixed_or_begun_stays_put(problem: Problem) -> None:
    plan = solve(problem, work=8, seed=2)
    put = {step.id: step for step in plan.steps}
    assume(plan.steps)
    for step in problem.steps:
        if step.fixed is not None:
            found = put[step.id]
            assert (found.start, found.finish) == (step.fixed.start, step.fixed.finish)
        if step.begun is not None:
            assert (put[step.id].person, put[step.id].start) == (
                step.begun.person,
                step.begun.start,
            )


@given(problems())
def test_fixing_what_the_plan_does_changes_nothing(problem: Problem) -> None:
    plan = solve(problem, work=3, seed=2)
    assume(plan.steps)
    put = {step.id: step for step in plan.steps}
    nailed = replace(
        problem,
        steps=tuple(
            replace(
                step,
                begun=None,
                fixed=Fixed(
                    put[step.id].person,
                    put[step.id].start,
                    put[step.id].finish,
                    put[step.id].second,
                ),
            )
            for step in problem.steps
        ),
    )
    again = solve(nailed, work=3, seed=2)
    assert again.score == plan.score


def scaled(problem: Problem, k: int) -> Problem:
    """All times k times as long."""
    return replace(
        problem,
        steps=tuple(
            replace(
                step,
                minutes=step.minutes * k,
                holds=tuple(
                    replace(h, hold_min=h.hold_min * k, rest_min=h.rest_min * k) for h in step.holds
                ),
                after=tuple((before, wait * k) for before, wait in step.after),
                not_before=None if step.not_before is None else step.not_before * k,
            )
            for step in problem.steps
        ),
        people=tuple(
            replace(person, work=tuple((a * k, b * k) for a, b in person.work))
            for person in problem.people
        ),
        figures=tuple(
            replace(figure, needed_by=None if figure.needed_by is None else figure.needed_by * k)
            for figure in problem.figures
        ),
        horizon=problem.horizon * k,
    )


@given(tiny(), st.sampled_from((2, 15)))
def test_longer_minutes_scale_the_bound(problem: Problem, k: int) -> None:
    problem = scaled(problem, QUARTER)
    plan, long = solve(problem, work=0, seed=1), solve(scaled(problem, k), work=0, seed=1)
    assume(plan.steps)
    assert plan.bound is not None
    assert long.bound is not None
    assert (plan.bound - 1) * k < long.bound <= plan.bound * k


@given(problems())
def test_latest_starts_lie_after_starts_and_keep_their_dates(problem: Problem) -> None:
    plan = solve(problem, work=2, seed=6)
    for step in plan.steps:
        assert step.in_hand_min >= 0
        at = step.start if step.resumed is None else step.resumed
        assert step.latest_start == at + step.in_hand_min


def test_step_with_all_it_needs_waits_for_a_common_day() -> None:
    string = Step("string", 240, craft="carve", second=("Tomas",))
    plan = solve(Problem((string,), (INES, TOMAS), horizon=60 * DAY), work=0, seed=1)
    assert (plan.steps[0].person, plan.steps[0].second) == ("Ines", "Tomas")
    assert plan.steps[0].start == DAY + 600  # the first Tuesday


def test_pause_overnight_and_at_the_weekend() -> None:
    carve = Step("carve", 6 * 480, craft="carve")
    plan = solve(Problem((carve,), (INES,), horizon=60 * DAY), work=0, seed=1)
    assert (plan.steps[0].start, plan.steps[0].finish) == (540, 7 * DAY + 1020)


def test_pour_in_one_go_waits_for_a_long_enough_stretch() -> None:
    short = ((0, 100), (200, 400))
    problem = Problem(
        (Step("pour", 150, craft="cast", one_go=True),),
        (Person("Ines", short, frozenset({"cast"})),),
        horizon=500,
    )
    plan = solve(problem, work=0, seed=1)
    assert (plan.steps[0].start, plan.steps[0].finish) == (200, 350)


def test_mould_rests_before_the_next_pour() -> None:
    pours = tuple(
        Step(f"pour {k}", 60, craft="carve", holds=(Hold("mould", 900, 600),)) for k in (1, 2)
    )
    plan = solve(Problem(pours, (INES,), (Equipment("mould"),), horizon=60 * DAY), work=5, seed=1)
    first, second = sorted(step.start for step in plan.steps)
    assert (first, second) == (540, 600 + 1500)  # the next day, at 11 o'clock


def test_begun_step_keeps_its_person_and_start_and_goes_first() -> None:
    steps = (
        Step("sew", 60, craft="sew"),
        Step("carve", 90, craft="carve", begun=Begun("Ines", 100)),
    )
    plan = solve(Problem(steps, (INES,), now=2 * DAY, horizon=60 * DAY), work=5, seed=1)
    sew, carve = plan.steps
    assert (carve.person, carve.start, carve.resumed) == ("Ines", 100, 2 * DAY + 540)
    assert sew.start == carve.finish == 2 * DAY + 630


def test_parts_of_a_long_step_share_their_person() -> None:
    parts = tuple(
        Step(
            f"sew {k}",
            240,
            craft="sew",
            part_of="coat",
            after=((f"sew {k - 1}", 0),) if k else (),
        )
        for k in range(4)
    )
    problem = Problem(parts, (INES, TOMAS), horizon=60 * DAY)
    plan = solve(problem, work=10, seed=1)
    assert {step.person for step in plan.steps} == {"Ines"}


def test_company_is_needed_but_its_time_is_not_taken() -> None:
    steps = (
        Step("saw", 120, craft="carve", company_needed=ANYBODY),
        Step("sew", 360, who=("Tomas",)),
    )
    plan = solve(Problem(steps, (INES, TOMAS), horizon=60 * DAY), work=0, seed=1)
    saw, sew = plan.steps
    assert saw.start == sew.start == DAY + 600


def test_dates_come_before_the_day_all_is_ready() -> None:
    steps = (
        Step("long", 480, craft="carve", figure="J1"),
        Step("short", 60, craft="carve", figure="J2"),
    )
    figures = (Figure("J1", needed_by=90 * DAY), Figure("J2", needed_by=600))
    problem = Problem(steps, (INES,), figures=figures, horizon=60 * DAY)
    plan = solve(problem, work=10, seed=1)
    assert plan.lateness == 0
    assert plan.steps[1].start == 540


def test_steps_after_the_rehearsal_do_not_make_a_figure_late() -> None:
    steps = (
        Step("true", 60, craft="carve", figure="J1"),
        Step("bag", 60, craft="carve", figure="J1", for_needed_by=False, after=(("true", 7200),)),
    )
    problem = Problem(steps, (INES,), figures=(Figure("J1", DAY),), horizon=60 * DAY)
    plan = solve(problem, work=0, seed=1)
    assert plan.lateness == 0
    assert plan.figures[0].ready == 600


def test_stop_ends_the_work_and_every_better_plan_is_reported() -> None:
    steps = tuple(
        Step(f"S{k}", 30 + 17 * k % 200, craft="carve" if k % 3 else "sew", figure=f"J{k % 4}")
        for k in range(24)
    )
    figures = tuple(Figure(f"J{k}", needed_by=(k + 1) * 1000) for k in range(4))
    problem = Problem(steps, (INES, TOMAS), figures=figures, horizon=60 * DAY)
    asked: list[int] = []
    seen: list[Plan] = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 3

    plan = solve(problem, work=1000, seed=1, stop=stop, report=seen.append)
    assert len(asked) == 4
    assert plan.work < 1000
    assert [one.score for one in seen] == sorted((one.score for one in seen), reverse=True)
    assert seen[-1].score == plan.score
    assert all(check_plan(problem, one) == [] for one in seen)


def test_nothing_to_do_is_a_plan() -> None:
    plan = solve(Problem((), (INES,), horizon=DAY), work=3, seed=1)
    assert (plan.status, plan.steps, plan.ready) == ("proved", (), 0)


def test_negative_work_is_refused() -> None:
    with pytest.raises(ValueError, match="work is -1"):
        solve(Problem((), horizon=10), work=-1, seed=1)
