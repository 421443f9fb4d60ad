"""Tests of the wall plan: the thread passes every pin that sets the date, and no words."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from builds.drawings import Slip, WallDay, WallPlan, WallWeek, hang_plan
from builds.drawings.wall import (
    GAP_REM,
    HEAD_REM,
    PASS_REM,
    SLIP_REM,
    Run,
    find_pins,
    pin_height,
    run_thread,
)

MONDAY = date(2027, 5, 10)
WALL_CSS = Path(__file__).resolve().parents[2] / "company/static/company/css/wall.css"


def plan_of(*weeks: list[list[int | None]], days: int = 6) -> WallPlan:
    """Weeks of days of slips, each given as its place on the thread or None."""
    built = []
    for at, week in enumerate(weeks):
        monday = MONDAY + timedelta(weeks=at)
        built.append(
            WallWeek(
                f"{monday.day} May",
                tuple(
                    WallDay(
                        monday + timedelta(days=column),
                        tuple(
                            Slip("Ines", f"carve J{column}", 300, sets_date=order)
                            for order in (week[column] if column < len(week) else [])
                        ),
                    )
                    for column in range(days)
                ),
            )
        )
    return WallPlan(tuple(built))


@st.composite
def plans(draw: st.DrawFn) -> WallPlan:
    order = 0
    weeks = []
    for _ in range(draw(st.integers(0, 4))):
        week: list[list[int | None]] = []
        for _ in range(6):
            day: list[int | None] = []
            for _ in range(draw(st.integers(0, 3))):
                on_thread = draw(st.booleans())
                order += on_thread
                day.append(order if on_thread else None)
            week.append(day)
        weeks.append(week)
    return plan_of(*weeks)


def points(runs: list[Run]) -> list[tuple[float, float]]:
    return [(runs[0].x1, runs[0].y1), *((run.x2, run.y2) for run in runs)] if runs else []


@given(plans())
def test_thread_is_one_piece_that_passes_every_pin_in_order(plan: WallPlan) -> None:
    pins = find_pins(plan)
    runs = run_thread(plan)

    passed = []
    for week, pieces in enumerate(runs):
        for one, other in pairwise(pieces):
            assert (one.x2, one.y2) == (other.x1, other.y1)
        for x, y in points(pieces):
            passed.append((week, x, y))
    wanted = [(pin.week, pin.column + 0.5, pin_height(pin.slot)) for pin in pins]
    if len(pins) > 1:
        places = iter(passed)
        assert all(pin in places for pin in wanted)


@given(plans())
def test_thread_keeps_to_upper_edges_and_gutters(plan: WallPlan) -> None:
    edges = {pin_height(slot) for slot in range(4)} | {PASS_REM}

    for runs in run_thread(plan):
        for run in runs:
            if run.y1 == run.y2:
                assert run.y1 in edges
            else:
                assert run.x1 == run.x2
                assert run.x1 == int(run.x1)


@given(plans())
def test_thread_leaves_a_week_at_its_right_edge_and_comes_back_at_the_left(plan: WallPlan) -> None:
    pins = find_pins(plan)
    for week, runs in enumerate(run_thread(plan)):
        if runs and pins[-1].week > week:
            assert points(runs)[-1][0] == 6
        if runs and pins[0].week < week:
            assert points(runs)[0][0] == 0


@given(plans())
def test_thread_runs_along_no_slip_that_is_not_on_it(plan: WallPlan) -> None:
    """Along an upper edge it runs over days alone that have a pin of it on that edge."""
    pins = {(pin.week, pin.column, pin_height(pin.slot)) for pin in find_pins(plan)}
    for week, runs in enumerate(run_thread(plan)):
        for run in runs:
            if run.y1 == run.y2 != PASS_REM:
                low, high = sorted((run.x1, run.x2))
                over = [day for day in range(6) if min(high, day + 1) - max(low, day) > 0]
                assert all((week, day, run.y1) in pins for day in over)


def test_thread_passes_above_the_days_between() -> None:
    (runs,) = run_thread(plan_of([[1], [None], [2]]))

    assert points(runs) == [
        (0.5, pin_height(0)),
        (1, pin_height(0)),
        (1, PASS_REM),
        (2, PASS_REM),
        (2, pin_height(0)),
        (2.5, pin_height(0)),
    ]


def test_thread_goes_straight_over_a_week_with_nothing_to_pin() -> None:
    plan = plan_of([[1]], [[]], [[2]])

    assert [(run.x1, run.x2) for run in run_thread(plan)[1]] == [(0, 6)]


def test_thread_of_one_pin_is_no_thread() -> None:
    assert run_thread(plan_of([[1]])) == [[]]


def test_two_pins_of_a_day_are_joined_by_the_gutter_after_it() -> None:
    (runs,) = run_thread(plan_of([[1, None, 2]], days=1))

    assert points(runs) == [
        (0.5, pin_height(0)),
        (1, pin_height(0)),
        (1, pin_height(2)),
        (0.5, pin_height(2)),
    ]


def test_an_empty_plan_hangs_as_nothing() -> None:
    hung = hang_plan(WallPlan(()))

    assert hung.weeks == ()
    assert hung.columns == 0


def test_heights_agree_with_the_style_sheet() -> None:
    css = WALL_CSS.read_text(encoding="utf-8")
    said = {name: float(rem) for name, rem in re.findall(r"--([\w-]+): ([\d.]+)rem;", css)}

    assert said["slip"] == SLIP_REM
    assert said["slip-gap"] == GAP_REM
    assert said["day-head"] == HEAD_REM


def render_wall(*slips: Slip, **day: object) -> str:
    monday = WallDay(MONDAY, slips, **day)  # type: ignore[arg-type]
    hung = hang_plan(WallPlan((WallWeek("10 May", (monday,)),)))
    return render_to_string("parts/wall_plan.html", {"hung": hung})


def test_page_says_in_words_what_the_thread_says_in_red() -> None:
    html = render_wall(Slip("Ines", "joint J3", 300, sets_date=1, second="Tomas", late="J3 late"))

    assert "sets the date" in html
    assert "with Tomas" in html
    assert "5\u00a0h" in html
    assert ">J3 late<" in html


def test_page_carries_no_style_and_escapes_words() -> None:
    html = render_wall(
        Slip("<i>Ines</i>", "<b>carve</b>", 300, sets_date=1, full_words='"><script>'),
        Slip("Priya", "sew", 60, sets_date=2),
    )

    assert "style=" not in html
    assert "<script" not in html
    assert "<b>carve" not in html
    assert "<i>Ines" not in html


def test_other_work_has_no_hours_and_a_holiday_its_name() -> None:
    html = render_wall(
        Slip("Ines", "write", is_other_work=True), off="Ascension Day", mark="opening"
    )

    assert "slip-other" in html
    assert "Ascension Day" in html
    assert ">opening<" in html
    assert "\u00a0h" not in html
