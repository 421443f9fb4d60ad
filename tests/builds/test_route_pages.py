"""The pages of routes: who may see and do what, what they say, what wrong input gets."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.fixtures import DjangoAssertNumQueries

from builds.core.route_defaults import DEFAULT_ROUTES
from builds.forms.routes import StageForm, WaitField
from builds.models import Equipment, Route, Stage
from builds.services.routes import add_default_routes, route_for
from builds.services.stages import strike_stage
from company.models import Company, Role, User
from tests.factories import CompanyFactory, CraftFactory, person

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


class House:
    """A company with the string route; a lead, a maker, a reader, a stranger."""

    def __init__(self) -> None:
        self.company: Company = CompanyFactory(name="Driftmoor Figure Theatre")
        self.users: dict[str, User] = {
            "lead": person(self.company, Role.LEAD, "Ines"),
            "maker": person(self.company, Role.MAKER, "Tomas"),
            "reader": person(self.company, Role.READER, "Odile"),
            "stranger": person(CompanyFactory(), Role.LEAD, "Bertha"),
        }
        self.route: Route = route_for(company=self.company, kind="string")
        self.frame = Equipment.objects.get()

    def client(self, who: str) -> Client:
        client = Client()
        client.force_login(self.users[who])
        return client

    def stage(self, key: str) -> Stage:
        return Stage.objects.get(route=self.route, key=key)


@pytest.fixture
def house() -> House:
    return House()


def words_of(response: Any) -> str:
    """What the page says, its mark-up taken out."""
    text = re.sub(r"<(script|style)[^>]*>.*?</\1>|<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", text.replace("\xa0", " ").replace("&#x27;", "'"))


# Who may


def get_pages(h: House) -> dict[str, list[Any]]:
    return {"route_list": [h.company.pk], "route_detail": [h.route.pk]}


def lead_pages(h: House) -> dict[str, list[Any]]:
    return {
        "stage_add": [h.route.pk],
        "stage_edit": [h.stage("carve").pk],
        "equipment_edit": [h.frame.pk],
    }


def lead_posts(h: House) -> dict[str, list[Any]]:
    carve = h.stage("carve").pk
    return {
        "route_add": [h.company.pk],
        "route_rename": [h.route.pk],
        "stage_move": [carve],
        "stage_copy": [carve],
        "stage_strike": [carve],
        "stage_take_back": [carve],
        "equipment_add": [h.company.pk],
        "equipment_strike": [h.frame.pk],
    }


@pytest.mark.parametrize(
    ("who", "status"), [("lead", 200), ("maker", 200), ("reader", 200), ("stranger", 404)]
)
def test_everybody_of_the_company_sees_the_routes(house: House, who: str, status: int) -> None:
    for name, args in get_pages(house).items():
        response = house.client(who).get(reverse(f"builds:{name}", args=args))
        assert response.status_code == status, name


@pytest.mark.parametrize(
    ("who", "status"), [("lead", 200), ("maker", 403), ("reader", 403), ("stranger", 404)]
)
def test_only_a_lead_gets_the_forms(house: House, who: str, status: int) -> None:
    for name, args in lead_pages(house).items():
        response = house.client(who).get(reverse(f"builds:{name}", args=args))
        assert response.status_code == status, name


@pytest.mark.parametrize(("who", "status"), [("maker", 403), ("reader", 403), ("stranger", 404)])
def test_nobody_but_a_lead_changes_anything(house: House, who: str, status: int) -> None:
    before = list(Stage.objects.values())
    for name, args in (lead_posts(house) | lead_pages(house)).items():
        response = house.client(who).post(reverse(f"builds:{name}", args=args), {})
        assert response.status_code == status, name
    assert list(Stage.objects.values()) == before


@pytest.mark.parametrize("who", ["maker", "reader"])
def test_pages_offer_no_form_to_those_who_may_not(house: House, who: str) -> None:
    for name, args in get_pages(house).items():
        page = house.client(who).get(reverse(f"builds:{name}", args=args)).content.decode()
        posts = re.findall(r'<form[^>]*method="post"[^>]*action="([^"]*)"', page)
        assert set(posts) <= {reverse("company:sign_out")}, name


def test_looking_at_a_post_address_changes_nothing(house: House) -> None:
    for name, args in lead_posts(house).items():
        response = house.client("lead").get(reverse(f"builds:{name}", args=args))
        assert response.status_code == 405, name


# What the pages say


def test_list_says_the_hours_of_each_route(house: House) -> None:
    """Check values: common practice, no source."""
    page = words_of(house.client("reader").get(f"/company/{house.company.pk}/routes/"))
    assert "a string figure takes about 136 h in a smock, its twin 90 h." in page
    assert "136 h in a smock, 153 h in a coat" in page
    assert "stringing frame" in page


def test_list_without_routes_offers_the_usual_ones(house: House) -> None:
    Route.objects.all().delete()
    address = f"/company/{house.company.pk}/routes/"
    assert "No routes yet" in words_of(house.client("lead").get(address))
    house.client("lead").post(reverse("builds:route_add", args=[house.company.pk]))
    assert Route.objects.filter(company=house.company).count() == 3


def test_route_of_one_kind_is_laid_and_an_unknown_kind_is_not(house: House) -> None:
    address = reverse("builds:route_add", args=[house.company.pk])
    response = house.client("lead").post(address, {"kind": "object"}, follow=True)
    assert "The route 'Object' is in. Make it your own." in words_of(response)
    assert Route.objects.filter(kind="object").exists()
    assert house.client("lead").post(address, {"kind": "ufo"}).status_code == 404


def test_route_says_its_hours_and_every_stage_with_its_words(house: House) -> None:
    response = house.client("reader").get(f"/routes/{house.route.pk}/")
    page = words_of(response)
    assert "A first figure takes about 136 h in a smock and 153 h in a coat" in page
    assert "a twin of it 90 h and 107 h" in page
    for stage in DEFAULT_ROUTES["string"]:
        assert stage.name in page
        assert stage.cautions in page.replace("&#39;", "'")
    assert response.content.count(b"thread-line") == 18  # a red thread between 19 stages
    assert b'href="#stage-' in response.content


def test_route_in_a_circle_says_so_instead_of_failing(house: House) -> None:
    house.stage("carve").afters.create(after=house.stage("joint"))
    page = words_of(house.client("lead").get(f"/routes/{house.route.pk}/"))
    assert "This route goes in a circle: nothing can be built by it until that is mended." in page
    assert "a circle never begins" in page
    listed = words_of(house.client("lead").get(f"/company/{house.company.pk}/routes/"))
    assert "a circle never begins" in listed


def test_route_without_stages_offers_the_first(house: House) -> None:
    Stage.objects.all().delete()
    page = words_of(house.client("lead").get(f"/routes/{house.route.pk}/"))
    assert "No stages yet." in page
    assert "Add the first stage" in page


def test_problems_of_a_route_stand_on_its_page(house: House) -> None:
    strike_stage(stage=house.stage("bag"), user=None)
    page = words_of(house.client("reader").get(f"/routes/{house.route.pk}/"))
    assert "No stage is marked 'ready': no figure would ever be ready." in page
    assert "Struck stages: 1" in page


# Query counts

COUNTS = {"route_list": 8, "route_detail": 6}


@pytest.mark.parametrize("kinds", [1, 6])
def test_list_asks_as_often_with_one_route_as_with_six(
    house: House, kinds: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    add_default_routes(company=house.company, kinds=tuple(DEFAULT_ROUTES)[:kinds])
    client = house.client("lead")
    with django_assert_num_queries(COUNTS["route_list"]):
        client.get(f"/company/{house.company.pk}/routes/")


@pytest.mark.parametrize("stages", [1, 10, 32])
def test_route_asks_as_often_with_one_stage_as_with_all(
    house: House, stages: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    keep = list(Stage.objects.filter(route=house.route).values_list("pk", flat=True)[:stages])
    Stage.objects.exclude(pk__in=keep).delete()
    client = house.client("lead")
    with django_assert_num_queries(COUNTS["route_detail"]):
        client.get(f"/routes/{house.route.pk}/")


# Editing a stage


def form_of(house: House, key: str) -> dict[str, Any]:
    """What the browser would send of the stage's form, untouched."""
    form = StageForm(route=house.route, stage=house.stage(key))
    sent: dict[str, Any] = {}
    for field in form:
        value = field.value()
        if value in (None, False, ""):
            continue
        shown = field.field.prepare_value(value) if not isinstance(value, list) else value
        sent[field.name] = "on" if shown is True else shown
    return sent


@pytest.mark.parametrize("key", [stage.key for stage in DEFAULT_ROUTES["string"]])
def test_saving_a_stage_untouched_changes_nothing(house: House, key: str) -> None:
    stage = house.stage(key)
    before = Stage.objects.filter(pk=stage.pk).values().get()
    afters = set(stage.afters.values_list("after_id", flat=True))
    response = house.client("lead").post(
        reverse("builds:stage_edit", args=[stage.pk]), form_of(house, key)
    )
    assert response.status_code == 302, words_of(response)
    after = Stage.objects.filter(pk=stage.pk).values().get()
    assert after | {"version": 1} == before
    assert set(stage.afters.values_list("after_id", flat=True)) == afters


def test_stage_is_edited_with_every_sort_of_field(house: House) -> None:
    stage = house.stage("prime")
    sent = form_of(house, "prime") | {
        "hours_min": "1¾ h",
        "wait_min": "4 h",
        "rate": "0,9".replace(",", "."),
        "second": "craft",
        "second_craft": CraftFactory(company=house.company, name="glue").pk,
        "after": [house.stage("trial-hang").pk],
        "looks_right": "Even and dull.",
    }
    response = house.client("lead").post(reverse("builds:stage_edit", args=[stage.pk]), sent)
    assert response.headers["Location"] == f"/routes/{house.route.pk}/#stage-{stage.pk}"
    stage.refresh_from_db()
    assert (stage.hours_min, stage.wait_min, stage.second) == (105, 240, "craft")
    assert stage.looks_right == "Even and dull."
    assert stage.afters.get().after.key == "trial-hang"


def test_wrong_stage_hears_all_of_it_and_keeps_what_was_typed(house: House) -> None:
    stage = house.stage("carve")
    sent = {
        "version": "1",
        "name": "",
        "strand": "air",
        "scope": "figure",
        "hours_min": "long",
        "each_min": "-1",
        "rate": "2",
        "wait_min": "a while",
        "second": "anybody",
        "after": ["999999"],
        "looks_right": "Kept words.",
    }
    response = house.client("lead").post(reverse("builds:stage_edit", args=[stage.pk]), sent)
    assert response.status_code == 422
    page = words_of(response)
    assert "7 things to put right. Nothing was saved." in page
    assert "'long' is not a time in hours" in page
    assert "'a while' is not a wait: write 5 days, 1 day or 4 h." in page
    assert "Kept words." in page
    stage.refresh_from_db()
    assert stage.name == "Carve the body"


def test_a_circle_is_refused_by_name(house: House) -> None:
    sent = form_of(house, "carve") | {"after": [house.stage("joint").pk]}
    response = house.client("lead").post(
        reverse("builds:stage_edit", args=[house.stage("carve").pk]), sent
    )
    assert response.status_code == 422
    assert "'Carve the body' waits for 'Dry-joint, stops, ballast'" in words_of(response)


def test_stage_of_another_route_cannot_be_waited_for(house: House) -> None:
    rod = route_for(company=house.company, kind="rod")
    foreign = Stage.objects.get(route=rod, key="trim")
    sent = form_of(house, "carve") | {"after": [foreign.pk]}
    response = house.client("lead").post(
        reverse("builds:stage_edit", args=[house.stage("carve").pk]), sent
    )
    assert response.status_code == 422


def test_craft_of_another_company_is_refused(house: House) -> None:
    sent = form_of(house, "carve") | {"craft": CraftFactory().pk}
    response = house.client("lead").post(
        reverse("builds:stage_edit", args=[house.stage("carve").pk]), sent
    )
    assert response.status_code == 422


def test_stale_stage_answers_409(house: House) -> None:
    address = reverse("builds:stage_edit", args=[house.stage("carve").pk])
    client = house.client("lead")
    sent = form_of(house, "carve")
    assert client.post(address, sent | {"name": "Carve it"}).status_code == 302
    assert client.post(address, sent | {"name": "Carve him"}).status_code == 409
    assert house.stage("carve").name == "Carve it"


def test_stage_is_added_struck_taken_back_and_moved(house: House) -> None:
    client = house.client("lead")
    sent = {
        "name": "Weigh it",
        "strand": "body",
        "scope": "figure",
        "hours_min": "15 min",
        "rate": "1",
        "second": "nobody",
        "after": [house.stage("joint").pk],
    }
    response = client.post(reverse("builds:stage_add", args=[house.route.pk]), sent, follow=True)
    assert "'Weigh it' is in. Say now what waits for it." in words_of(response)
    assert "A figure would be ready without 'Weigh it'" in words_of(response)
    stage = house.stage("weigh-it")
    place = stage.position
    client.post(reverse("builds:stage_move", args=[stage.pk]), {"up": "1"})
    assert house.stage("weigh-it").position == place - 1
    client.post(reverse("builds:stage_strike", args=[stage.pk]))
    assert house.stage("weigh-it").struck_at is not None
    client.post(reverse("builds:stage_take_back", args=[stage.pk]))
    assert house.stage("weigh-it").struck_at is None


def test_words_are_taken_over_and_a_wrong_choice_refused(house: House) -> None:
    client = house.client("lead")
    carve, control = house.stage("carve"), house.stage("control")
    address = reverse("builds:stage_copy", args=[carve.pk])
    client.post(address, {"source": control.pk})
    assert house.stage("carve").looks_right == control.looks_right
    client.post(address, {"source": ""})
    assert house.stage("carve").looks_right == carve.looks_right
    foreign = route_for(company=CompanyFactory(), kind="hand").stages.first()
    assert foreign is not None
    refused = client.post(address, {"source": foreign.pk}, follow=True)
    assert "Choose whose words to take over. Nothing was changed." in words_of(refused)


def test_route_is_renamed_and_a_blank_name_refused(house: House) -> None:
    address = reverse("builds:route_rename", args=[house.route.pk])
    client = house.client("lead")
    assert client.post(address, {"version": "1", "name": "Sixty"}).status_code == 302
    assert client.post(address, {"version": "2", "name": ""}).status_code == 422
    assert Route.objects.get(pk=house.route.pk).name == "Sixty"


# Waits as they are written


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("5 days", 7200), ("1 day", 1440), ("0.5 d", 720), ("4 h", 240), ("0", 0), ("none", 0)],
)
def test_wait_is_read(text: str, minutes: int) -> None:
    field = WaitField()
    assert field.clean(text) == minutes
    assert field.clean(field.write(minutes)) == minutes


@pytest.mark.parametrize("text", ["-1 days", "nan days", "400 days", "9000 h", "soon", "inf d"])
def test_wrong_wait_is_refused(text: str) -> None:
    from django.core.exceptions import ValidationError

    with pytest.raises(ValidationError):
        WaitField().clean(text)


# Equipment


def test_equipment_is_added_changed_and_struck(house: House) -> None:
    client = house.client("lead")
    add = reverse("builds:equipment_add", args=[house.company.pk])
    fragment = client.post(add, {"name": "booth", "capacity": "1"}, headers=HTMX)
    assert b"<html" not in fragment.content
    booth = Equipment.objects.get(name="booth")
    edit = reverse("builds:equipment_edit", args=[booth.pk])
    assert client.post(edit, {"name": "booth", "capacity": "2"}).status_code == 302
    assert client.post(edit, {"name": "", "capacity": "x"}).status_code == 422
    assert client.post(add, {"name": "Booth", "capacity": "0"}).status_code == 422
    client.post(reverse("builds:equipment_strike", args=[booth.pk]))
    booth.refresh_from_db()
    assert (booth.capacity, booth.struck_at is None) == (2, False)
    refused = client.post(reverse("builds:equipment_strike", args=[house.frame.pk]))
    assert refused.status_code == 422
    assert "It stays. Nothing was changed." in words_of(refused)
