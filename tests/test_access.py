"""Who may go where: every address of the resolver, tried by everybody.

The lead, a maker and a reader of the company, the lead of another one, and nobody signed in. The
table of what is right is tests/ways.py; an address that it does not list fails here by name.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from company.models import Role, User
from tests.laid import Twins, read_rows, say_changed
from tests.ways import (
    ANYBODY,
    SIGNED_IN,
    WAYS,
    Way,
    address_of,
    forms_by_address,
    read_pages,
    url_names,
    values_sent,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("laid_media")]

LET_IN = (200, 302, 409, 422)
# Forms that the pages of the laid show do not offer, and why.
NOT_OFFERED = {
    "company:sign_in": "the person is signed in",
    "company:holiday_take": "days are ticked once a country is chosen",
    "scenes:sketch_give": "a lead has nobody to give a sketch to",
    "scenes:cell_pick": "a letter typed in the grid; without scripts the cell's own page does it",
    "builds:draft_back": "an older draft is looked at first, and offers it",
    "builds:plan_improve": "a search is under way",
    "builds:help_stop": "nobody has asked what helps",
    "builds:parts_lay": "every part has its sizes",
    "builds:step_photo_add": "the step is open: the photo goes with the answer",
}


@pytest.fixture(scope="module")
def sent(laid: Twins, django_db_blocker: Any) -> dict[str, dict[str, Any]]:
    """What the lead's own pages would send to each address, with what a person types."""
    with django_db_blocker.unblock():
        return values_sent(sign_in(laid.ours.lead), laid.ours)


def sign_in(user: User | None) -> Client:
    client = Client()
    if user is not None:
        client.force_login(user)
    return client


def is_sent_out(name: str, answer: Any) -> bool:
    return "/sign-in/" in answer.headers.get("Location", "") and name != "company:sign_out"


def expected(way: Way, role: Role | None) -> tuple[int, ...]:
    """The status codes that are right. `role` None: a member of another company."""
    if way.who in (ANYBODY, SIGNED_IN):
        return (*LET_IN, 410)
    if role is None:
        return (404,)
    if role.rank < Role(way.who).rank:
        return (403,)
    if way.owner and way.owner != role:
        return (404,)
    return LET_IN


def go(client: Client, method: str, address: str, values: dict[str, Any], way: Way) -> Any:
    if method == "GET":
        answer = client.get(address)
    else:
        answer = client.post(address, {**values, **way.upload()})
    if answer.streaming:
        b"".join(answer.streaming_content)
    return answer


def test_every_address_is_listed_and_every_listed_one_is_there():
    there = list(url_names())
    assert sorted(set(there) - set(WAYS)) == [], "say in tests/ways.py who may go there"
    assert sorted(set(WAYS) - set(there)) == [], "these are gone: take them out of tests/ways.py"
    assert len(there) == len(set(there)), "two addresses with one name"


def test_there_is_no_back_door():
    """No admin site is mounted, so there is none to leave out; its usual address leads nowhere."""
    spaces = {name.partition(":")[0] for name in url_names()}
    assert spaces == {"company", "scenes", "builds"}
    assert "django.contrib.admin" not in settings.INSTALLED_APPS
    assert Client().get("/admin/").status_code == 404


@pytest.mark.parametrize("name", sorted(WAYS))
def test_who_may(name: str, laid: Twins, sent: dict[str, dict[str, Any]]):
    way, ours = WAYS[name], laid.ours
    address = address_of(name, ours)
    people = {
        "lead": (ours.lead, Role.LEAD),
        "maker": (ours.maker, Role.MAKER),
        "reader": (ours.reader, Role.READER),
        "another company's lead": (laid.theirs.lead, None),
    }
    faults = []
    before = read_rows()
    # Those who may not go first: those who may would change what the others are tried on.
    for may in (False, True):
        for who, (user, role) in people.items():
            right = expected(way, role)
            if may is not (right[0] in LET_IN):
                continue
            for method in way.how:
                answer = go(sign_in(user), method, address, sent[name], way)
                if answer.status_code not in right or is_sent_out(name, answer):
                    faults.append(f"{method} by {who}: {answer.status_code}, not {right}")
        if not may:
            faults += say_changed(before, read_rows())
    assert faults == []


@pytest.mark.parametrize("name", sorted(n for n, way in WAYS.items() if way.who != ANYBODY))
def test_nobody_signed_in_is_sent_to_sign_in(
    name: str, laid: Twins, sent: dict[str, dict[str, Any]]
):
    way, address = WAYS[name], address_of(name, laid.ours)
    before = read_rows()
    for method in way.how:
        answer = go(Client(), method, address, sent[name], way)
        assert answer.status_code == 302
        assert answer["Location"] == f"{reverse('company:sign_in')}?next={quote(address)}"
    assert say_changed(before, read_rows()) == []


@pytest.mark.parametrize("name", sorted(WAYS))
def test_other_methods_are_refused(name: str, laid: Twins):
    """A look changes nothing: what is sent by a form cannot be reached by a link."""
    client, address = sign_in(laid.ours.lead), address_of(name, laid.ours)
    before = read_rows()
    refused = [m for m in ("GET", "POST", "PUT", "DELETE") if m not in WAYS[name].how]
    codes = {method: client.generic(method, address).status_code for method in refused}
    assert codes == dict.fromkeys(refused, 405)
    assert say_changed(before, read_rows()) == []


@pytest.mark.parametrize(
    "name", sorted(n for n, way in WAYS.items() if "GET" in way.how and way.who != ANYBODY)
)
def test_a_look_changes_nothing(name: str, laid: Twins):
    client = sign_in(laid.ours.lead)
    before = read_rows()
    go(client, "GET", address_of(name, laid.ours), {}, WAYS[name])
    assert say_changed(before, read_rows()) == []


def test_every_form_is_offered_on_a_page(laid: Twins):
    """Whatever can be done can be done without scripts: some page has the plain form for it."""
    forms = forms_by_address(read_pages(sign_in(laid.ours.lead), laid.ours))
    missing = {
        name
        for name, way in WAYS.items()
        if "POST" in way.how and address_of(name, laid.ours) not in forms
    }
    assert missing == set(NOT_OFFERED)


def test_pages_offer_only_what_the_person_may(laid: Twins):
    """No form on a maker's or reader's page that would answer 'you may not'."""
    by_address = {address_of(name, laid.ours): WAYS[name] for name in WAYS}
    for user, role in ((laid.ours.maker, Role.MAKER), (laid.ours.reader, Role.READER)):
        forms = forms_by_address(read_pages(sign_in(user), laid.ours))
        offered = {address: by_address[address] for address in forms if address in by_address}
        beyond = [
            address
            for address, way in offered.items()
            if way.who not in (ANYBODY, SIGNED_IN) and Role(way.who).rank > role.rank
        ]
        assert beyond == [], role


@pytest.mark.parametrize("who", ["lead", "maker", "reader"])
def test_a_sketch_that_is_not_chosen_is_its_owners_alone(who: str, laid: Twins):
    ours = laid.ours
    user: User = getattr(ours, who)
    client = sign_in(user)
    pages = "".join(read_pages(client, ours).values())
    for sketch, is_seen in (
        (ours.chosen_sketch, True),
        (ours.own_sketch, who == "lead"),
        (ours.makers_sketch, who == "maker"),
    ):
        address = reverse("scenes:sketch_file", args=[ours.show.pk, sketch.pk])
        answer = go(client, "GET", address, {}, WAYS["scenes:sketch_file"])
        assert (answer.status_code == 200) is is_seen
        assert (f'"{address}"' in pages) is is_seen


@pytest.mark.parametrize("who", ["maker", "reader"])
def test_makers_and_readers_see_only_the_plan_that_is_pinned_up(who: str, laid: Twins):
    ours = laid.ours
    client = sign_in(getattr(ours, who))
    for name in ("wall_plan", "today", "figure_list", "sheet_list"):
        answer = client.get(reverse(f"builds:{name}", args=[ours.show.pk]))
        plan = answer.context.get("plan")
        assert plan is None or plan == ours.pinned, name
    assert client.get(reverse("builds:wall_plan", args=[ours.show.pk])).context["plan"]
    lead = sign_in(ours.lead).get(reverse("builds:wall_plan", args=[ours.show.pk]))
    assert lead.context["plan"] == ours.draft_plan != ours.pinned
