"""Changed copies: each does what it says, leaves the problem as it was, and can be planned."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builds.core.planning import (
    Begun,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Problem,
    Step,
    solve,
)
from builds.core.planning.load import find_loads
from builds.core.planning.shortage import find_shortages
from builds.core.planning.supposing import (
    add_capacity,
    add_mould,
    add_person,
    drop_steps,
    end_work,
    give_craft,
    hand_on,
    set_dates,
    set_work,
    take_time,
)

DAY = 1440
WEEK = tuple((day * DAY + 540, day * DAY + 1020) for day in range(5))
INES = Person("Ines", WEEK, frozenset({"carve", "sew"}), is_lead=True, craft_work={"carve": WEEK})
TOMAS = Person("Tomas", WEEK, frozenset({"sew"}))
CARVE = Step("carve", 480, craft="carve", who=("Ines",), lead_only=True, figure="J1")
SEW = Step("sew", 480, craft="sew", who=("Ines",), after=(("carve", 60),), figure="J1")
BAG = Step("bag", 60, craft="sew", who=("Ines",), after=(("sew", 0),), figure="J1")
PROBLEM = Problem(
    (CARVE, SEW, BAG), (INES,), figures=(Figure("J1", 2 * DAY),), horizon=5 * DAY, opening=4 * DAY
)


def test_one_helper_more_takes_what_is_open_to_them() -> None:
    more = add_person(PROBLEM, TOMAS, closed={"bag"})
    assert [step.who for step in more.steps] == [("Ines",), ("Ines", "Tomas"), ("Ines",)]
    assert PROBLEM.people == (INES,)
    with pytest.raises(ValueError, match="there is somebody of that name"):
        add_person(PROBLEM, INES)


def test_leaving_takes_the_capped_hours_too() -> None:
    gone = end_work(PROBLEM, "Ines", 2 * DAY)
    assert gone.people[0].work == WEEK[:2]
    assert gone.people[0].craft_work["carve"] == WEEK[:2]
    assert solve(gone, work=0, seed=1).status == "none"
    with pytest.raises(ValueError, match="nobody of that name"):
        end_work(PROBLEM, "Priya", 0)


def test_a_day_off_is_a_day_later() -> None:
    off = take_time(PROBLEM, {"Ines"}, 0, DAY)
    before, after = solve(PROBLEM, work=0, seed=1), solve(off, work=0, seed=1)
    assert before.ready is not None
    assert after.ready == before.ready + DAY


def test_other_hours_are_other_hours() -> None:
    half = tuple((a, a + 240) for a, _ in WEEK)
    assert solve(set_work(PROBLEM, "Ines", half, {}), work=0, seed=1).ready == 4 * DAY + 600


def test_a_cut_costume_passes_its_waits_on_and_takes_its_figure_along() -> None:
    cut = drop_steps(PROBLEM, {"sew"})
    assert cut.steps[1].after == (("carve", 60),)
    assert drop_steps(PROBLEM, {"carve", "sew", "bag"}).figures == ()


def test_dates_move_the_lateness_alone() -> None:
    sooner = set_dates(PROBLEM, 3 * DAY, {"J1": DAY})
    before, after = solve(PROBLEM, work=0, seed=1), solve(sooner, work=0, seed=1)
    assert (after.ready, sooner.opening) == (before.ready, 3 * DAY)
    assert after.lateness == before.lateness + DAY


def test_a_stage_given_away_leaves_begun_work_where_it_is() -> None:
    begun = replace(PROBLEM, steps=(replace(CARVE, begun=Begun("Ines", 0)), SEW, BAG), now=10)
    given = give_craft(begun, {"carve", "bag"}, "sew", ("Tomas",))
    assert [step.who for step in given.steps] == [("Ines",), ("Ines",), ("Tomas",)]
    opened = give_craft(PROBLEM, {"carve"}, "sew", ("Tomas",)).steps[0]
    assert (opened.craft, opened.who, opened.lead_only) == ("sew", ("Tomas",), False)


def pours(count: int) -> Problem:
    """A mould made already, so many pours of it, each held two days to cure."""
    made = Step("mould", 60, craft="mould", fixed=Fixed(None, 0, 60))
    steps = tuple(
        Step(
            f"pour {n}",
            60,
            craft="sew",
            holds=(Hold("mould 1", 2 * DAY),),
            after=(("mould", DAY),),
        )
        for n in range(count)
    )
    long = replace(TOMAS, work=tuple((d * DAY + 540, d * DAY + 1020) for d in range(30)))
    return Problem((made, *steps), (long,), (Equipment("mould 1"),), now=60, horizon=30 * DAY)


def test_a_second_mould_is_made_first_and_takes_every_other_pour() -> None:
    one = pours(4)
    made = Step("mould'", 60, craft="sew")
    two = add_mould(one, "mould 1", "mould 2", (made,), {"mould'": DAY})
    held = [step.holds[0].equipment for step in two.steps if step.holds]
    assert held == ["mould 1", "mould 2", "mould 1", "mould 2"]
    after = {step.id: step.after for step in two.steps}
    assert after["pour 1"] == (("mould'", DAY),)
    before, then = solve(one, work=0, seed=1), solve(two, work=20, seed=1)
    assert before.ready is not None
    assert then.ready is not None
    assert then.ready < before.ready


def test_a_second_mould_for_a_single_pour_changes_nothing() -> None:
    one = pours(1)
    made = Step("mould'", 60, craft="sew")
    assert add_mould(one, "mould 1", "mould 2", (made,), {"mould'": DAY}) == one


def test_one_more_frame_holds_two_at_once() -> None:
    two = Problem(
        tuple(Step(f"S{k}", 480, craft="sew", holds=(Hold("frame"),)) for k in range(2)),
        (TOMAS, replace(TOMAS, id="Priya")),
        (Equipment("frame"),),
        horizon=5 * DAY,
    )
    assert solve(two, work=0, seed=1).ready == DAY + 1020
    assert solve(add_capacity(two, "frame"), work=0, seed=1).ready == 1020
    with pytest.raises(ValueError, match="nothing of that name"):
        add_capacity(two, "booth")


def test_loads_count_both_pairs_of_hands_and_leave_a_craft_what_is_left() -> None:
    """Tomas sews a day, then helps Ines for four hours: of her week she has 36 h, he 28 h left."""
    second = Step("hang", 240, craft="carve", who=("Ines",), second=("Tomas",))
    sew = Step("sew", 480, craft="sew", who=("Tomas",))
    problem = Problem((sew, second), (INES, TOMAS), horizon=5 * DAY)
    loads = find_loads(problem, solve(problem, work=0, seed=1), [(0, 7 * DAY)])
    assert loads.people["Tomas"].planned_min == (720,)
    assert loads.people["Ines"].planned_min == (240,)
    assert loads.people["Ines"].room_min == (2400,)
    # sewing: Tomas has 40 h less the 4 h of hanging, Ines 40 h less hers
    assert loads.crafts["sew"].room_min == (2400 - 240 + 2400 - 240,)
    assert loads.crafts["sew"].planned_min == (480,)
    assert loads.people["Tomas"].full == (False,)


def test_a_week_is_full_when_hardly_anything_is_free() -> None:
    steps = tuple(Step(f"S{k}", 480, craft="sew") for k in range(5))
    problem = Problem(steps, (TOMAS,), horizon=5 * DAY)
    loads = find_loads(problem, solve(problem, work=0, seed=1), [(0, 7 * DAY), (7 * DAY, 14 * DAY)])
    assert loads.people["Tomas"].full == (True, False)


def test_shortages_name_who_alone_may_do_too_much() -> None:
    (short,) = find_shortages(end_work(PROBLEM, "Ines", DAY))
    assert (short.person, short.wanted_min, short.left_min) == ("Ines", 1020, 480)
    assert find_shortages(PROBLEM) == ()


class TestHandingOn:
    UNDER_WAY = replace(SEW, who=("Ines", "Tomas"), after=(), figure=None, begun=Begun("Tomas", 0))

    def test_what_its_person_can_still_finish_stays_with_them(self) -> None:
        problem = Problem((self.UNDER_WAY,), (INES, TOMAS), horizon=7 * DAY)
        assert hand_on(problem, "Tomas") == problem

    def test_what_is_left_goes_to_whoever_may(self) -> None:
        problem = Problem((self.UNDER_WAY,), (INES, TOMAS), horizon=7 * DAY)
        left = end_work(problem, "Tomas", 600)
        assert "Tomas has no hours left" in solve(left, work=0, seed=1).reasons[0]
        plan = solve(hand_on(left, "Tomas"), work=0, seed=1)
        assert [step.person for step in plan.steps] == ["Ines"]

    def test_somebody_else_s_work_is_left_alone(self) -> None:
        theirs = replace(self.UNDER_WAY, begun=Begun("Ines", 0))
        problem = end_work(Problem((theirs,), (INES, TOMAS), horizon=7 * DAY), "Tomas", 0)
        assert hand_on(problem, "Tomas") == problem

    def test_nobody_of_that_name(self) -> None:
        with pytest.raises(ValueError, match="nobody of that name"):
            hand_on(Problem((self.UNDER_WAY,), (INES, TOMAS)), "Odile")
