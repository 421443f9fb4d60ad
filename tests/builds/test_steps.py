"""Making steps from a company's own routes, and making them again after an edit."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from builds.models import Casting, GuisePart, Mould, Pattern, PlannedStep, Route, Stage, Step
from builds.queries.steps import key_of, live_steps, step_waits
from builds.services.bench import add_figure
from builds.services.figures import edit_step
from builds.services.hours import log_work
from builds.services.patterns import borrow_part
from builds.services.plans import make_plan
from builds.services.steps import make_steps, remake_company_steps
from builds.services.work import begin_step, finish_step
from company import clock
from company.models import Change, Craft, Hours, Maker
from scenes.models import Guise
from tests.builds.desk import Desk
from tests.factories import CharacterFactory, MakerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Desk:
    """Jory at sixty in a pilot coat, twice: J1 and J2."""
    made = Desk()
    made.jory = made.role("Jory Tarrow", "at sixty", "pilot coat")  # type: ignore[attr-defined]
    made.wear(made.jory, "1", "pilot coat", "pilot coat")
    made.accept()
    return made


def keys(desk: Desk) -> set[str]:
    return set(live_steps(desk.show).values_list("stage__key", flat=True))


def test_every_scope_has_its_subject_and_pours_their_castings(desk: Desk) -> None:
    subjects = {
        (step.stage.key, step.subject_words) for step in live_steps(desk.show)
    }  # fmt: skip
    assert ("choose-sketch", "Jory Tarrow at sixty") in subjects
    assert ("sculpt-head", "Jory Tarrow at sixty") in subjects
    assert ("pour-head", "Jory Tarrow at sixty, pour 2") in subjects
    assert ("carve", "J2") in subjects
    assert ("sew", "J1 pilot coat") in subjects
    codes = {casting.code: str(casting.figure) for casting in Casting.objects.all()}
    assert codes["JORY60-01"] == "J1"
    assert codes["JORY60-02"] == "J2"
    assert set(Mould.objects.values_list("state", flat=True)) == {Mould.State.WANTED}
    assert Pattern.objects.get(code="JORY60").made_for == desk.jory


def test_a_first_figure_and_its_twin_take_the_hours_of_the_trade(desk: Desk) -> None:
    """About 150 hours in a coat, and 110 for the twin (common practice, no source)."""
    coat = desk.costume(desk.jory, "pilot coat")
    coat.sewing_min = 25 * 60
    coat.save()
    make_steps(show=desk.show)
    whole = sum(step.planned_min for step in live_steps(desk.show)) / 60
    twin = Step.objects.filter(figure=desk.figure("J2"))
    twin_h = sum(step.planned_min for step in twin) / 60
    assert 95 <= twin_h <= 120
    assert 135 <= whole - twin_h <= 165


def test_learning_follows_the_number_within_the_guise(desk: Desk) -> None:
    assert desk.step("J1", "carve").planned_min == 28 * 60
    # 28 x 2^log2(0.9) = 25.2 hours, in whole quarters 25.25.
    assert desk.step("J2", "carve").planned_min == 25 * 60 + 15


def test_the_twin_cuts_no_pattern_and_waits_for_the_first_ones(desk: Desk) -> None:
    assert not Step.objects.filter(figure=desk.figure("J2"), stage__key="pattern").exists()
    toile = desk.step("J2", "toile")
    first = desk.step("J1", "pattern", "pilot coat")
    assert (first.pk, 0) in step_waits(desk.show)[toile.pk]


def test_waits_carry_the_drying(desk: Desk) -> None:
    pour = Step.objects.get(stage__key="pour-head", pour__castings__figure=desk.figure("J1"))
    waits = dict(step_waits(desk.show)[pour.pk])
    mould = Step.objects.get(stage__key="mould-head")
    assert waits[mould.pk] == mould.stage.wait_min > 0


def test_a_stage_for_two_is_left_out_where_nobody_could_be_the_second(desk: Desk) -> None:
    assert "act-out" not in keys(desk)
    stage = Stage.objects.get(key="act-out", route__kind="string")
    helper = MakerFactory(company=desk.company, name="Tomas")
    helper.crafts.add(stage.second_craft or stage.craft)
    make_steps(show=desk.show)
    assert "act-out" in keys(desk)


def test_moving_eyes_ask_for_their_stage(desk: Desk) -> None:
    assert "working" not in keys(desk)
    Guise.objects.filter(pk=desk.jory.pk).update(has_working=True)
    make_steps(show=desk.show)
    assert "working" in keys(desk)


def test_making_steps_again_changes_nothing_and_writes_nothing(desk: Desk) -> None:
    before = list(Step.objects.values_list("pk", "version", "planned_min"))
    changes = Change.objects.count()
    assert not make_steps(show=desk.show)
    assert list(Step.objects.values_list("pk", "version", "planned_min")) == before
    assert Change.objects.count() == changes


# A route is edited


def test_a_route_edit_reaches_only_steps_nobody_touched(desk: Desk) -> None:
    figure = add_figure(show=desk.show, user=desk.lead, guise=desk.jory)
    begin_step(step=desk.step("J1", "carve"), user=desk.lead, reason="the wood is here")
    edit_step(step=desk.step("J2", "carve"), user=desk.lead, version=None, note="left-handed")
    Stage.objects.filter(key="carve").update(hours_min=40 * 60)
    assert remake_company_steps(company=desk.company, user=desk.lead) == 1
    assert desk.step("J1", "carve").planned_min == 28 * 60
    assert desk.step("J2", "carve").planned_min == 25 * 60 + 15
    assert desk.step(str(figure), "carve").planned_min > 28 * 60


@pytest.mark.parametrize("mark", ["own", "pin", "not before", "hours", "begun", "lead"])
def test_every_mark_of_a_person_counts_as_touched(desk: Desk, mark: str) -> None:
    step = desk.step("J1", "shoes")
    if mark == "own":
        edit_step(step=step, user=desk.lead, version=None, own_min=60)
    elif mark == "pin":
        desk.ines.crafts.add(step.stage.craft)
        edit_step(step=step, user=desk.lead, version=None, pinned_maker=desk.ines)
    elif mark == "not before":
        day = clock.today(desk.company)
        edit_step(step=step, user=desk.lead, version=None, not_before=day)
    elif mark == "hours":
        log_work(step=step, user=desk.lead, minutes=15)
    elif mark == "begun":
        begin_step(step=step, user=desk.lead, reason="why not")
    else:
        Step.objects.filter(pk=step.pk).update(needs_lead=True)
    Stage.objects.filter(key="shoes").update(struck_at=clock.now())
    make_steps(show=desk.show)
    assert desk.step("J1", "shoes").struck_at == clock.now()
    assert not Step.objects.filter(figure=desk.figure("J2"), stage__key="shoes").exists()


def test_a_step_that_stands_in_a_plan_is_struck_and_taken_up_with_its_id(desk: Desk) -> None:
    desk.ines.crafts.set(Craft.objects.filter(company=desk.company))
    Maker.objects.filter(pk=desk.ines.pk).update(is_saw_trained=True)
    helper = MakerFactory(company=desk.company, name="Tomas", is_saw_trained=True)
    helper.crafts.set(desk.ines.crafts.all())
    make_steps(show=desk.show)
    for maker in (desk.ines, helper):
        for weekday in range(5):
            Hours.objects.create(maker=maker, weekday=weekday, start_min=600, end_min=1020)
    assert make_plan(show=desk.show, user=desk.lead).status != "none"
    step = desk.step("J1", "shoes")
    assert PlannedStep.objects.filter(step=step).exists()
    Stage.objects.filter(key="shoes").update(struck_at=clock.now())
    make_steps(show=desk.show)
    assert desk.step("J1", "shoes").struck_at is not None
    Stage.objects.filter(key="shoes").update(struck_at=None, hours_min=240)
    make_steps(show=desk.show)
    again = desk.step("J1", "shoes")
    assert (again.pk, again.struck_at, again.planned_min) == (step.pk, None, 240)


def test_what_waits_for_a_struck_stage_waits_past_it(desk: Desk) -> None:
    joint = Stage.objects.get(key="joint", route__kind="string")
    before = {key for key, _ in step_waits(desk.show)[desk.step("J1", "joint").pk]}
    assert desk.step("J1", "carve").pk in before
    Stage.objects.filter(key="carve").update(struck_at=clock.now())
    make_steps(show=desk.show)
    assert joint.struck_at is None
    assert desk.step("J1", "joint").pk in step_waits(desk.show)


# Borrowing


def test_a_borrowed_head_is_made_once_and_learning_goes_on(desk: Desk) -> None:
    young = desk.role("Jory Tarrow", "at thirty", "grey coat")
    desk.wear(young, "2", "grey coat")
    desk.accept()
    assert Step.objects.filter(stage__key="sculpt-head", struck_at=None).count() == 2
    # Ten hours, so that what is learnt shows in whole quarters.
    Stage.objects.filter(key="pour-head").update(hours_min=600)
    borrow_part(guise=young, part="head", lender=desk.jory, user=desk.lead)
    assert Step.objects.filter(stage__key="sculpt-head", struck_at=None).count() == 1
    poured = Casting.objects.get(figure=desk.figure("J3"), pattern__code="JORY60")
    assert poured.code == "JORY60-03"
    third = Step.objects.get(stage__key="pour-head", pour=poured.pour)
    first = Step.objects.get(stage__key="pour-head", pour__castings__figure=desk.figure("J1"))
    assert third.planned_min < first.planned_min
    shared = desk.step("J3", "trim")
    assert (third.pk, third.stage.wait_min) in step_waits(desk.show)[shared.pk]


def test_a_head_given_back_is_its_own_again_with_all_that_was_done(desk: Desk) -> None:
    young = desk.role("Jory Tarrow", "at thirty", "grey coat")
    desk.wear(young, "2", "grey coat")
    desk.accept()
    own = GuisePart.objects.get(guise=young, part="head").pattern
    begun = Step.objects.get(stage__key="sculpt-head", pattern=own)
    log_work(step=begun, user=desk.lead, minutes=120)
    borrow_part(guise=young, part="head", lender=desk.jory, user=desk.lead)
    begun.refresh_from_db()
    assert begun.struck_at == clock.now()
    borrow_part(guise=young, part="head", lender=young, user=desk.lead)
    begun.refresh_from_db()
    assert (begun.struck_at, GuisePart.objects.get(guise=young, part="head").pattern) == (
        None,
        own,
    )
    assert Pattern.objects.filter(made_for=young, part="head").count() == 1


def test_borrowing_from_a_borrower_passes_it_on_and_works_before_any_figure() -> None:
    desk = Desk()
    old, mid, young = (desk.role("Jory Tarrow", age, "coat") for age in ("sixty", "thirty", "nine"))
    borrow_part(guise=mid, part="head", lender=old, user=desk.lead)
    borrow_part(guise=young, part="head", lender=mid, user=desk.lead)
    assert {use.pattern.code for use in GuisePart.objects.filter(part="head")} == {"JORY60"}
    assert not Step.objects.exists()
    desk.wear(young, "1", "coat")
    desk.accept()
    step = Step.objects.get(stage__key="sculpt-head")
    assert (step.pattern.code, desk.tags()) == ("JORY60", ["J1"])


def test_borrowing_elsewhere_or_of_another_kind_is_refused(desk: Desk) -> None:
    heron = desk.role("The Heron", "", "grey", kind="rod")
    with pytest.raises(ValidationError, match="does not fit the other"):
        borrow_part(guise=desk.jory, part="head", lender=heron, user=desk.lead)
    with pytest.raises(ValidationError, match="head, hands or body"):
        borrow_part(guise=desk.jory, part="tail", lender=desk.jory, user=desk.lead)
    other = Guise.objects.create(character=CharacterFactory(), name="at sixty", kind=desk.jory.kind)
    with pytest.raises(ValidationError, match="a guise of the same show"):
        borrow_part(guise=desk.jory, part="head", lender=other, user=desk.lead)


# At rest


def test_what_was_finished_on_a_spare_stays_and_the_rest_waits(desk: Desk) -> None:
    for key in ("shoes", "control"):  # more work lies in the one that goes on playing
        finish_step(step=desk.step("J1", key), user=desk.lead, minutes=60, reason="first")
    finish_step(step=desk.step("J2", "shoes"), user=desk.lead, minutes=60, reason="first")
    begin_step(step=desk.step("J2", "control"), user=desk.lead, reason="first")
    desk.wear(desk.jory, "1", "pilot coat")
    desk.accept()
    rows = Step.objects.filter(figure=desk.figure("J2"))
    assert {(s.stage.key, s.struck_at is None) for s in rows} == {
        ("shoes", True),
        ("control", False),
    }
    desk.wear(desk.jory, "1", "pilot coat", "pilot coat")
    desk.accept()
    assert desk.step("J2", "control").struck_at is None
    assert desk.step("J2", "carve").struck_at is None


def test_kinds_take_their_own_routes_and_a_new_kind_gets_one(desk: Desk) -> None:
    cloud = desk.role("The Cloud", "", "grey", kind="object")
    desk.wear(cloud, "2", "grey")
    assert not Route.objects.filter(kind="object").exists()
    desk.accept()
    assert Route.objects.filter(kind="object", company=desk.company).exists()
    kinds = {s.stage.route.kind for s in Step.objects.filter(figure=desk.figure("C1"))}
    assert kinds == {"object"}


def test_queries_of_making_and_reading_do_not_grow(
    desk: Desk, django_assert_num_queries: object
) -> None:
    with django_assert_num_queries(15):  # type: ignore[operator]
        step_waits(desk.show)
    for _ in range(8):
        add_figure(show=desk.show, user=desk.lead, guise=desk.jory)
    with django_assert_num_queries(15):  # type: ignore[operator]
        waits = step_waits(desk.show)
    assert (
        len(waits) == len(live_steps(desk.show)) == len({key_of(s) for s in live_steps(desk.show)})
    )
