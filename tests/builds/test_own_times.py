"""Tests of the clock of a company's own materials: in the plan, on cards, before any pour."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.urls import reverse

from builds.core.planning import check_plan, solve
from builds.loading import load_problem
from builds.models import Mould, OwnMaterial, PlannedStep, Step
from builds.queries.drying import read_drying
from builds.queries.materials import Materials
from builds.queries.mould_states import state_of
from builds.queries.mould_times import mould_hold_min, mould_rest_min
from builds.queries.moulds import read_mould
from builds.queries.sheets.desk import read_desk
from builds.queries.sheets.rows import drying_words
from builds.queries.steps import live_steps, step_waits
from builds.services.bench import add_figure
from builds.services.materials import add_own_material, edit_own_material, strike_own_material
from builds.services.mould_materials import choose_materials
from builds.services.plans import make_plan
from company import clock
from company.models import Maker
from tests.builds.foundry import DAY_MIN, Foundry

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
# Latex slip by the data sheet of a bucket: drained after 3 h, opened 5 h later, hard after 40 h.
SLIP = {
    "kind": "cast", "name": "Grey slip", "like": "neoprene slip",
    "drain_min": 180, "open_min": 300, "ready_min": 2400,
}  # fmt: skip
STONE = {"kind": "mould", "name": "Hard stone", "like": "plaster", "ready_min": 3 * DAY_MIN}


@pytest.fixture
def foundry() -> Foundry:
    return Foundry()


def own(foundry: Foundry, values: dict[str, Any], **more: Any) -> OwnMaterial:
    return add_own_material(company=foundry.company, user=foundry.lead, values=values | more)


def choose(foundry: Foundry, *, moulded: str = "plaster", cast: str = "neoprene slip") -> Mould:
    return choose_materials(
        mould=foundry.mould(), user=foundry.lead, version=None,
        sculpt="water clay", moulded=moulded, cast=cast,
    )  # fmt: skip


def waits_of(foundry: Foundry, step: Step) -> dict[int, int]:
    return dict(step_waits(foundry.show)[step.pk])


def pour_step(foundry: Foundry, number: int = 1) -> Step:
    found: Step = live_steps(foundry.show).get(pour__castings__number=number)
    return found


def test_what_is_cast_in_an_own_material_waits_by_its_data_sheet(foundry: Foundry) -> None:
    slip = own(foundry, SLIP)
    choose(foundry, cast=slip.key)
    pour, trim = pour_step(foundry), foundry.step("J1", "trim")

    # The step is an hour of work and ends before the slip is drained: 180 + 300 + 2400 - 60.
    assert waits_of(foundry, trim)[pour.pk] == 2820
    known = Materials(foundry.company)
    assert mould_hold_min(pour, known) == 180 + 300
    # A day from pour to pour, less eight hours of night, less what the mould held.
    assert mould_rest_min(foundry.mould(), known) == DAY_MIN - 8 * 60 - 480


def test_the_plan_goes_by_the_own_clock_before_any_pour(foundry: Foundry) -> None:
    slip = own(foundry, SLIP, open_min=5 * DAY_MIN)
    choose(foundry, cast=slip.key)
    foundry.make_mould()
    plan = make_plan(show=foundry.show, user=foundry.lead)

    pours = list(PlannedStep.objects.filter(plan=plan, step__pour__isnull=False).order_by("start"))
    trims = PlannedStep.objects.filter(plan=plan, step__stage__key="trim")
    held = timedelta(minutes=180 + 5 * DAY_MIN)
    assert len(pours) == 4
    assert all(b.start - a.finish >= held for a, b in pairwise(pours))
    assert min(row.start for row in trims) >= pours[0].start + held + timedelta(minutes=2400)
    problem = load_problem(foundry.show).problem
    assert check_plan(problem, solve(problem, work=0, seed=1)) == []


def test_an_own_mould_material_dries_by_its_data_sheet(foundry: Foundry) -> None:
    making = Step.objects.get(stage__key="mould")
    choose(foundry, moulded=own(foundry, STONE).key)
    assert waits_of(foundry, pour_step(foundry))[making.pk] == 3 * DAY_MIN
    mould = foundry.make_mould(days_ago=1)
    assert mould.made_at is not None
    assert mould.first_use == mould.made_at + 3 * DAY


@pytest.mark.parametrize(
    ("values", "days"),
    [
        ({"ready_min": None}, 2),  # like plaster, nothing of its own: as long as the route says
        ({"ready_min": None, "like": "tin silicone"}, 1),
        ({"ready_min": None, "open_min": 2880, "like": ""}, 2),
        ({"ready_min": 0}, 0),
    ],
)
def test_what_is_left_blank_is_as_what_it_is_like(
    foundry: Foundry, values: dict[str, Any], days: int
) -> None:
    making = Step.objects.get(stage__key="mould")
    choose(foundry, moulded=own(foundry, STONE, **values).key)
    assert waits_of(foundry, pour_step(foundry))[making.pk] == days * DAY_MIN


def test_a_struck_one_keeps_its_clock_where_it_is_used(foundry: Foundry) -> None:
    stone = own(foundry, STONE)
    choose(foundry, moulded=stone.key)
    strike_own_material(material=stone, user=foundry.lead)
    making = Step.objects.get(stage__key="mould")
    assert waits_of(foundry, pour_step(foundry))[making.pk] == 3 * DAY_MIN


def test_the_state_of_a_mould_goes_by_what_the_own_one_is_like(foundry: Foundry) -> None:
    mould = choose(foundry, cast=own(foundry, SLIP).key)
    state = state_of(mould, Materials(foundry.company))
    assert (state.rest_min, state.dry_every) == (DAY_MIN, 5)  # those of neoprene slip
    foundry.make_mould()
    foundry.cast()
    with clock.fixed_at(clock.now() + timedelta(hours=1)):
        said = read_mould(foundry.mould(), foundry.lead).ready.warnings
    assert any("rest" in words or "day" in words for words in said)


def test_the_wall_and_the_papers_say_how_long_it_dries(foundry: Foundry, client: Client) -> None:
    choose(foundry, moulded=own(foundry, STONE).key, cast=own(foundry, SLIP).key)
    plan = make_plan(show=foundry.show, user=foundry.lead)
    now = clock.now()
    rows = read_drying(foundry.show, plan, now, now + 90 * DAY).rows
    dries = {row.name: [s for s in row.spans if s.sort == "dries"] for row in rows}
    (span,) = next(spans for name, spans in dries.items() if not name.startswith("mould of"))
    assert span.finish - span.start == 3 * DAY
    held = next(spans for name, spans in dries.items() if name.startswith("mould of"))
    assert {one.finish - one.start for one in held} == {timedelta(minutes=480)}

    desk = read_desk(foundry.show, plan)
    row = next(r for r in desk.rows if r.step.stage.key == "mould")
    assert drying_words(desk, [row])[0] == "3 days"
    client.force_login(foundry.lead, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(reverse("builds:step_detail", args=[row.step_id])).content.decode()
    said = page.replace("\N{NO-BREAK SPACE}", " ")
    assert "<dt>Then wait</dt><dd>72 h on the clock</dd>" in said


def test_changing_the_data_sheet_moves_the_plan(
    foundry: Foundry, django_capture_on_commit_callbacks: Any
) -> None:
    slip = own(foundry, SLIP)

    def moves(**values: Any) -> int:
        connection.run_on_commit.clear()  # what was asked for before
        with django_capture_on_commit_callbacks() as moved:
            edit_own_material(material=slip, user=foundry.lead, version=None, values=values)
        return len(moved)

    assert moves(open_min=360) == 0  # nothing is cast in it
    choose(foundry, cast=slip.key)
    assert moves(open_min=400) == 1
    assert moves(open_min=400, density_kg_m3=1200) == 0
    assert moves(has_latex=True) == 1


def test_an_own_material_is_closed_to_whom_it_is_marked(foundry: Foundry) -> None:
    Maker.objects.filter(pk=foundry.ines.pk).update(has_latex_allergy=True)
    foundry.ines.refresh_from_db()
    choose(foundry, cast=own(foundry, SLIP, has_latex=True).key)
    foundry.make_mould()
    problem = load_problem(foundry.show).problem
    (step,) = [s for s in problem.steps if s.id == str(pour_step(foundry).pk)]
    assert problem.who_may(step) == ("Tomas",)
    with pytest.raises(ValidationError, match="latex allergy"):
        foundry.pour()


def test_own_materials_are_read_once_however_much_is_poured(
    foundry: Foundry, django_assert_num_queries: Any
) -> None:
    choose(foundry, moulded=own(foundry, STONE).key, cast=own(foundry, SLIP).key)
    with django_assert_num_queries(16):
        step_waits(foundry.show)
    for _ in range(5):
        add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
    with django_assert_num_queries(16):
        step_waits(foundry.show)
