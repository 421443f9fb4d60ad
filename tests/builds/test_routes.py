"""Routes as rows: laying the defaults, editing stages, and what an edit does to steps."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from pytest_django.fixtures import DjangoAssertNumQueries

from builds.core.route_defaults import CRAFTS, DEFAULT_ROUTES
from builds.models import Equipment, Figure, Route, Stage, StageAfter, Step
from builds.queries.routes import equipment_of, stages_of, view_route, view_routes
from builds.services.equipment import add_equipment, edit_equipment, strike_equipment
from builds.services.routes import add_default_routes, route_for
from builds.services.stages import (
    add_stage,
    copy_words,
    edit_route,
    edit_stage,
    move_stage,
    reorder_stages,
    strike_stage,
    take_back_stage,
)
from builds.services.steps import make_steps
from company.models import Change, Company, Craft
from company.services.changes import StaleEdit
from company.services.companies import start_company
from tests.factories import (
    CharacterFactory,
    CompanyFactory,
    CraftFactory,
    GuiseFactory,
    MakerFactory,
    ShowFactory,
)

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 4, 12, tzinfo=UTC)


@pytest.fixture
def company() -> Company:
    return CompanyFactory(name="Driftmoor Figure Theatre")


@pytest.fixture
def route(company: Company) -> Route:
    return route_for(company=company, kind="string")


def stage_of(route: Route, key: str) -> Stage:
    return Stage.objects.select_related("route__company").get(route=route, key=key)


def waits_of(stage: Stage) -> set[str]:
    return set(stage.afters.values_list("after__key", flat=True))


# Laying the defaults


def test_default_routes_stand_in_the_rows_as_they_are_written(company: Company) -> None:
    add_default_routes(company=company)
    for route in Route.objects.filter(company=company):
        default = DEFAULT_ROUTES[route.kind]
        assert view_route(route).plain == tuple(
            stage.but(after=tuple(a.key for a in default if a.key in stage.after))
            for stage in default
        )


def test_default_routes_are_laid_once(company: Company) -> None:
    made = add_default_routes(company=company)
    assert [route.kind for route in made] == ["string", "rod", "hand"]
    before = (Stage.objects.count(), Craft.objects.count(), Equipment.objects.count())
    stage = stage_of(made[0], "carve")
    Stage.objects.filter(pk=stage.pk).update(hours_min=60)
    assert add_default_routes(company=company) == []
    assert (Stage.objects.count(), Craft.objects.count(), Equipment.objects.count()) == before
    assert stage_of(made[0], "carve").hours_min == 60


def test_crafts_and_equipment_that_are_there_are_used(company: Company) -> None:
    carve = CraftFactory(company=company, name="Carve", daily_cap_min=240)
    frame = add_equipment(company=company, user=None, name="Stringing frame", capacity=2)
    route = route_for(company=company, kind="string")
    assert stage_of(route, "carve").craft == carve
    assert stage_of(route, "string").equipment == frame
    assert set(Craft.objects.values_list("name_key", flat=True)) == set(CRAFTS)


def test_lead_gets_new_crafts_and_a_helper_none(company: Company) -> None:
    ines = MakerFactory(company=company, name="Ines", is_lead=True)
    tomas = MakerFactory(company=company, name="Tomas")
    add_default_routes(company=company)
    assert ines.crafts.count() == len(CRAFTS)
    assert tomas.crafts.count() == 0


def test_route_for_a_kind_is_laid_when_it_is_missing(company: Company) -> None:
    first = route_for(company=company, kind="shadow")
    assert route_for(company=company, kind="shadow") == first
    assert first.stages.count() == len(DEFAULT_ROUTES["shadow"].stages)
    assert Route.objects.filter(company=company).count() == 1


def test_a_new_company_has_its_routes() -> None:
    company, lead = start_company(name="Driftmoor", lead_name="Ines")
    assert set(Route.objects.filter(company=company).values_list("kind", flat=True)) == {
        *("string", "rod", "hand"),
    }
    assert lead.makers.get().crafts.exists()


# Editing


def test_edit_stage_saves_columns_and_waits_and_writes_both(route: Route) -> None:
    stage = stage_of(route, "control")
    edit_stage(
        stage=stage,
        user=None,
        version=1,
        values={"hours_min": 300, "name": " Control  bar "},
        after=[stage_of(route, "saw-blanks")],
    )
    stage.refresh_from_db()
    assert (stage.name, stage.hours_min, stage.version) == ("Control bar", 300, 2)
    assert waits_of(stage) == {"saw-blanks"}
    change = Change.objects.filter(noun="stage").get()
    assert change.before["hours_min"] == 240  # type: ignore[index]
    assert change.before["after"] == [stage_of(route, "drawing").pk]  # type: ignore[index]
    assert change.after["after"] == [stage_of(route, "saw-blanks").pk]  # type: ignore[index]


def test_edit_stage_names_everything_wrong_at_once(company: Company, route: Route) -> None:
    stage = stage_of(route, "carve")
    foreign = CraftFactory(name="sew")
    other = route_for(company=company, kind="rod")
    strike_stage(stage=stage_of(route, "working"), user=None)
    with pytest.raises(ValidationError) as wrong:
        edit_stage(
            stage=stage,
            user=None,
            version=None,
            values={
                "name": "DRESS",
                "each_min": 5000,
                "rate": 1.5,
                "craft": foreign,
                "second": "craft",
                "hours_by_costume": True,
                "scope": "guise",
                "holds_mould": True,
                "first_of_costume": True,
            },
            after=[
                stage_of(other, "trim"),
                stage_of(route, "working"),
                stage_of(route, "joint"),
            ],
        )
    found = wrong.value.message_dict
    assert found["name"] == ["This route has a stage of this name already."]
    assert found["craft"] == ["'sew' is not in this company's list."]
    assert found["after"] == [
        "'Trim head and hands' is a stage of another route.",
        "'Eye or mouth working' is struck: nothing can wait for it.",
        "'DRESS' waits for 'Dry-joint, stops, ballast', and 'Dry-joint, stops, ballast' for "
        "'DRESS': a circle never begins.",
    ]
    assert set(found) == {
        *("name", "each_min", "rate", "craft", "second_craft", "hours_by_costume"),
        *("holds_mould", "first_of_costume", "after"),
    }
    stage.refresh_from_db()
    assert (stage.name, waits_of(stage)) == ("Carve the body", {"saw-blanks"})


def test_a_stage_that_waits_for_itself_is_named(route: Route) -> None:
    stage = stage_of(route, "carve")
    with pytest.raises(ValidationError, match="'Carve the body' waits for itself"):
        edit_stage(stage=stage, user=None, version=None, values={}, after=[stage])


def test_stale_stage_is_refused(route: Route) -> None:
    stage = stage_of(route, "carve")
    edit_stage(stage=stage_of(route, "carve"), user=None, version=1, values={"hours_min": 1500})
    with pytest.raises(StaleEdit):
        edit_stage(stage=stage, user=None, version=1, values={"hours_min": 1200})
    assert stage_of(route, "carve").hours_min == 1500


def test_columns_that_are_not_to_be_edited_are_a_mistake_of_the_caller(route: Route) -> None:
    with pytest.raises(ValueError, match="key"):
        edit_stage(stage=stage_of(route, "carve"), user=None, version=None, values={"key": "x"})


def test_stage_is_added_behind_what_it_waits_for_with_a_key_of_its_own(route: Route) -> None:
    values = {"name": "Weigh it", "strand": "body", "hours_min": 15}
    first = add_stage(route=route, user=None, values=values, after=[stage_of(route, "joint")])
    second = add_stage(route=route, user=None, values=values | {"name": "Weigh  it!"})
    assert (first.key, second.key) == ("weigh-it", "weigh-it-2")
    keys = [stage.key for stage in stages_of(route)]
    assert keys[keys.index("joint") + 1] == "weigh-it"
    assert keys[-1] == "weigh-it-2"
    with pytest.raises(ValidationError) as wrong:
        add_stage(route=route, user=None, values={"name": " ", "strand": "air"})
    assert set(wrong.value.message_dict) == {"name", "strand"}


def test_struck_stage_lets_what_waited_for_it_wait_for_what_it_waited_for(route: Route) -> None:
    strike_stage(stage=stage_of(route, "dress"), user=None)
    assert waits_of(stage_of(route, "string")) == {
        *("control", "sew", "unstring", "eyes", "wig", "others")
    }
    view = view_route(route)
    assert [row.key for row in view.struck] == ["dress"]
    assert view.problems == ()
    change = Change.objects.filter(noun="stage").get()
    assert change.before["waited_for_it"] == [stage_of(route, "string").pk]  # type: ignore[index]


def test_struck_stage_is_taken_back_with_its_own_waits(route: Route) -> None:
    stage = stage_of(route, "dress")
    strike_stage(stage=stage, user=None)
    strike_stage(stage=stage_of(route, "wig"), user=None)
    take_back_stage(stage=stage_of(route, "dress"), user=None)
    assert stage_of(route, "dress").struck_at is None
    assert waits_of(stage) == {"sew", "eyes", "others"}
    assert [p.words for p in view_route(route).problems] == [
        "A figure would be ready without 'Dress': nothing waits for it."
    ]


def test_taking_back_a_stage_into_a_circle_is_refused(route: Route) -> None:
    wig = stage_of(route, "wig")
    strike_stage(stage=wig, user=None)
    eyes = stage_of(route, "eyes")
    StageAfter.objects.create(stage=eyes, after=wig)
    with pytest.raises(ValidationError, match="a circle never begins"):
        take_back_stage(stage=wig, user=None)
    assert stage_of(route, "wig").struck_at is not None


def test_stages_are_moved_and_put_in_order(route: Route) -> None:
    keys = [stage.key for stage in stages_of(route)]
    move_stage(stage=stage_of(route, keys[0]), user=None, is_up=True)
    assert [stage.key for stage in stages_of(route)] == keys
    move_stage(stage=stage_of(route, keys[0]), user=None, is_up=False)
    assert [s.key for s in stages_of(route)] == [keys[1], keys[0], *keys[2:]]
    order = [stage.pk for stage in reversed(stages_of(route))]
    reorder_stages(route=route, user=None, order=order)
    assert [stage.pk for stage in stages_of(route)] == order
    with pytest.raises(ValidationError, match="once"):
        reorder_stages(route=route, user=None, order=order[:-1])


def test_words_are_taken_over_from_a_stage_or_from_the_beginning(
    company: Company, route: Route
) -> None:
    stage, source = stage_of(route, "carve"), stage_of(route, "control")
    copy_words(stage=stage, user=None, source=source)
    assert stage_of(route, "carve").looks_right == source.looks_right
    copy_words(stage=stage, user=None, source=None)
    assert (
        stage_of(route, "carve").looks_right == DEFAULT_ROUTES["string"].stage("carve").looks_right
    )
    own = add_stage(route=route, user=None, values={"name": "Weigh it", "strand": "body"})
    with pytest.raises(ValidationError, match="it began blank"):
        copy_words(stage=own, user=None, source=None)
    foreign = stage_of(route_for(company=CompanyFactory(), kind="hand"), "bag")
    with pytest.raises(ValidationError, match="another company"):
        copy_words(stage=stage, user=None, source=foreign)


def test_route_is_renamed(route: Route) -> None:
    edit_route(route=route, user=None, version=1, name=" String, 60 cm ")
    route.refresh_from_db()
    assert (route.name, route.version) == ("String, 60 cm", 2)
    with pytest.raises(ValidationError, match="Give the route a name"):
        edit_route(route=route, user=None, version=None, name=" ")
    with pytest.raises(StaleEdit):
        edit_route(route=route, user=None, version=1, name="Other")


# What an edit does to steps


def make_figure(company: Company) -> Figure:
    show = ShowFactory(company=company)
    guise = GuiseFactory(character=CharacterFactory(show=show, letters="J"))
    figure = Figure.objects.create(show=show, guise=guise, letters="J", number=1, made_at=NOON)
    make_steps(show=show)
    return figure


def step_of(figure: Figure, key: str) -> Any:
    return Step.objects.get(figure=figure, stage__key=key)


def test_an_edit_reaches_only_steps_that_nobody_has_touched(company: Company, route: Route) -> None:
    figure = make_figure(company)
    shoes = step_of(figure, "shoes")
    shoes.begun_at, shoes.begun_by = NOON, MakerFactory(company=company)
    shoes.save()
    for key in ("shoes", "control"):
        edit_stage(stage=stage_of(route, key), user=None, version=None, values={"hours_min": 600})
    assert step_of(figure, "shoes").planned_min == 180
    assert step_of(figure, "control").planned_min == 600


def test_a_struck_stage_drops_untouched_steps_and_strikes_touched_ones(
    company: Company, route: Route
) -> None:
    figure = make_figure(company)
    shoes = step_of(figure, "shoes")
    shoes.note = "felt soles"
    shoes.save()
    for key in ("shoes", "control"):
        strike_stage(stage=stage_of(route, key), user=None)
    assert step_of(figure, "shoes").struck_at is not None
    assert step_of(figure, "shoes").note == "felt soles"
    assert not Step.objects.filter(figure=figure, stage__key="control").exists()
    take_back_stage(stage=stage_of(route, "shoes"), user=None)
    assert step_of(figure, "shoes").struck_at is None


def test_a_new_stage_gives_every_figure_its_step(company: Company, route: Route) -> None:
    figure = make_figure(company)
    values = {"name": "Weigh it", "strand": "body", "hours_min": 15}
    add_stage(route=route, user=None, values=values, after=[stage_of(route, "joint")])
    assert step_of(figure, "weigh-it").planned_min == 15


# Reading


@pytest.mark.parametrize("kinds", [1, 6])
def test_routes_are_read_in_three_queries(
    company: Company, kinds: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    add_default_routes(company=company, kinds=tuple(DEFAULT_ROUTES)[:kinds])
    with django_assert_num_queries(3):
        views = view_routes(company)
    assert [view.usual.first_min > 0 for view in views if view.usual] == [True] * kinds


def test_view_of_a_route_in_a_circle_adds_nothing_up(route: Route) -> None:
    StageAfter.objects.create(stage=stage_of(route, "carve"), after=stage_of(route, "joint"))
    view = view_route(route)
    assert view.usual is view.in_smock is view.in_coat is None
    assert view.problems[0].stops


# Equipment


def test_equipment_is_added_changed_and_struck(company: Company, route: Route) -> None:
    booth = add_equipment(company=company, user=None, name="spray booth")
    edit_equipment(equipment=booth, user=None, name="booth", capacity=2)
    assert [(e.name, e.capacity, e.stage_count) for e in equipment_of(company)] == [
        ("booth", 2, 0),
        ("stringing frame", 1, 1),
    ]
    strike_equipment(equipment=booth, user=None)
    frame = Equipment.objects.get(name="stringing frame")
    with pytest.raises(ValidationError, match="'String at the frame' of String figure still asks"):
        strike_equipment(equipment=frame, user=None)
    assert [e.name for e in equipment_of(company)] == ["stringing frame"]


@pytest.mark.parametrize(
    ("name", "capacity", "fields"),
    [
        ("", 0, {"name", "capacity"}),
        ("x" * 81, 21, {"name", "capacity"}),
        ("STRINGING  frame", 1, {"name"}),
    ],
)
def test_wrong_equipment_is_refused(
    company: Company, route: Route, name: str, capacity: int, fields: set[str]
) -> None:
    with pytest.raises(ValidationError) as wrong:
        add_equipment(company=company, user=None, name=name, capacity=capacity)
    assert set(wrong.value.message_dict) == fields
