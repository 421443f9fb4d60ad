"""The first page after signing in: the shows of the person's companies."""

from __future__ import annotations

from datetime import date

import pytest
from django.urls import reverse

from company.models import Role
from tests.factories import CompanyFactory, MembershipFactory, ShowFactory, UserFactory, person

pytestmark = pytest.mark.django_db

HOME = "/"


@pytest.fixture
def company():
    return CompanyFactory(name="Driftmoor Figure Theatre")


@pytest.fixture
def lead(company, client):
    user = person(company, Role.LEAD)
    client.force_login(user)
    return user


def page(client, address=HOME):
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_one_show_goes_straight_to_its_today(company, lead, client):
    show = ShowFactory(company=company)

    assert client.get(HOME).url == reverse("builds:today", args=[show.pk])
    assert show.title in page(client, f"{HOME}?all")


def test_no_show_offers_the_one_button_to_the_lead(company, lead, client):
    html = page(client)

    assert "No show yet." in html
    assert html.count(reverse("scenes:show_new", args=[company.pk])) == 1


@pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
def test_no_show_tells_others_to_wait_for_the_lead(company, client, role):
    client.force_login(person(company, role))

    html = page(client)

    assert "As soon as your lead begins one" in html
    assert reverse("scenes:show_new", args=[company.pk]) not in html


def test_no_company_says_what_to_do(client):
    client.force_login(UserFactory())

    assert "ask the lead of yours" in page(client)


def test_the_next_opening_is_told_first_and_those_behind_are_put_away(company, lead, client):
    ShowFactory(company=company, title="The Lantern Year", opening=date(2024, 5, 2))
    ShowFactory(company=company, title="Unnamed Winter Show")
    ShowFactory(company=company, title="Tide", opening=date(2027, 1, 1))
    ShowFactory(company=company, title="The Salt Almanac", opening=date(2026, 9, 16))

    html = page(client)

    assert "<b>The Salt Almanac</b> opens in 196 days, on Wednesday 16 September." in html
    assert html.index("The Salt Almanac</a>") < html.index("Tide</a>")
    assert html.index("Tide</a>") < html.index("Unnamed Winter Show</a>")
    assert html.index("Shows that have opened: 1") < html.index("The Lantern Year</a>")


@pytest.mark.parametrize(
    ("opening", "words"),
    [
        (date(2026, 3, 4), "opens today."),
        (date(2026, 3, 5), "opens tomorrow."),
        (date(2026, 3, 6), "opens in 2 days, on Friday 6 March."),
        (date(2026, 3, 3), "Two shows, none with an opening ahead."),
    ],
)
def test_days_to_the_opening_are_said_as_one_says_them(company, lead, client, opening, words):
    ShowFactory(company=company, opening=opening)
    ShowFactory(company=company)

    assert words in " ".join(page(client).split())


def test_shows_of_other_companies_are_not_there(company, lead, client):
    ShowFactory(title="Somebody Else's Show")

    assert "Somebody Else" not in page(client)


def test_two_companies_stand_apart(company, lead, client):
    other = CompanyFactory(name="The Other Bench")
    MembershipFactory(user=lead, company=other, role=Role.READER)
    ShowFactory(company=company, title="Tide")
    ShowFactory(company=other, title="Ebb")

    html = page(client)

    assert html.index("Driftmoor Figure Theatre</h2>") < html.index("The Other Bench</h2>")
    assert reverse("scenes:show_new", args=[company.pk]) in html
    assert reverse("scenes:show_new", args=[other.pk]) not in html


def test_nobody_signed_in_is_sent_to_the_door(client):
    assert client.get(HOME).url.startswith(reverse("company:sign_in"))


@pytest.mark.parametrize("shows", [2, 10])
def test_list_asks_the_same_of_the_database_however_many_shows(
    company, lead, client, django_assert_num_queries, shows
):
    for _ in range(shows):
        ShowFactory(company=company)

    with django_assert_num_queries(4):
        client.get(HOME)
