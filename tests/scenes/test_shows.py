"""Beginning a show and editing its dates, people and stage."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from company import clock
from company.models import Change, Company, Role
from company.services.changes import StaleEdit
from scenes.models import Draft, Scene, Show
from scenes.services.shows import edit_show, start_show
from tests.factories import CompanyFactory, ShowFactory, person

pytestmark = pytest.mark.django_db

TODAY = date(2026, 3, 4)
OPENING = date(2026, 9, 16)


@pytest.fixture
def company():
    return CompanyFactory(name="Driftmoor Figure Theatre")


@pytest.fixture
def lead(company, client):
    user = person(company, Role.LEAD)
    client.force_login(user)
    return user


def typed(**fields):
    """What the form sends, all else blank."""
    return {"title": "The Salt Almanac", "crossing_s": "0", "reset_s": "0:30", **fields}


def new(company):
    return reverse("scenes:show_new", args=[company.pk])


def edit(show):
    return reverse("scenes:show_edit", args=[show.pk])


def sentences(response):
    return [sentence for said in response.context["form"].errors.values() for sentence in said]


# The service


def test_show_starts_with_draft_one_and_half_a_minute_of_reset(company, lead):
    show = start_show(company=company, user=lead, title="  The  Salt Almanac ")

    show.refresh_from_db()
    assert show.title == "The Salt Almanac"
    assert show.reset_s == 30
    assert show.crossing_s == 0
    assert show.current_draft.number == 1
    assert show.current_draft.frozen_at is None
    change = Change.objects.get(noun="show")
    assert (change.user, change.before, change.after["title"]) == (lead, None, "The Salt Almanac")


def test_everything_wrong_with_a_show_is_said_at_once_and_nothing_made(company):
    ShowFactory(company=company, title="The Salt Almanac")

    with pytest.raises(ValidationError) as refused:
        start_show(
            company=company,
            user=None,
            title="the salt ALMANAC",
            opening=date(2026, 2, 1),
            first_day=date(2026, 2, 1),
            needed_by=date(2026, 2, 2),
        )

    assert set(refused.value.message_dict) == {"title", "opening", "first_day", "needed_by"}
    assert Show.objects.count() == 1
    assert not Draft.objects.exists()


def test_title_is_free_in_another_company(company):
    ShowFactory(title="The Salt Almanac")

    assert start_show(company=company, user=None, title="The Salt Almanac").pk


@pytest.mark.parametrize(
    ("dates", "field", "words"),
    [
        ({"opening": OPENING, "first_day": OPENING}, "first_day", "must come before the opening"),
        ({"opening": OPENING, "needed_by": date(2026, 9, 17)}, "needed_by", "after the opening"),
        (
            {"first_day": date(2026, 5, 1), "needed_by": date(2026, 4, 30)},
            "needed_by",
            "before the first day",
        ),
        ({"opening": date(2026, 3, 3)}, "opening", "is past"),
        ({"needed_by": date(2026, 3, 3)}, "needed_by", "is past"),
        ({"opening": date(2062, 1, 1)}, "opening", "more than 30 years away"),
        ({"first_day": date(1990, 1, 1)}, "first_day", "more than 30 years away"),
    ],
)
def test_date_that_cannot_be_names_its_field(company, dates, field, words):
    with pytest.raises(ValidationError) as refused:
        start_show(company=company, user=None, title="The Salt Almanac", **dates)

    assert words in refused.value.message_dict[field][0]


def test_opening_today_is_not_past(company):
    assert start_show(company=company, user=None, title="Salt", opening=TODAY).opening == TODAY


def test_today_is_the_day_where_the_company_works(company, settings):
    settings.TODAY = clock.now().replace(hour=23)
    Company.objects.filter(pk=company.pk).update(time_zone="Pacific/Auckland")
    company.refresh_from_db()

    with pytest.raises(ValidationError):
        start_show(company=company, user=None, title="Salt", opening=TODAY)


def test_first_day_may_lie_in_the_past(company):
    show = start_show(
        company=company, user=None, title="Salt", opening=OPENING, first_day=date(2025, 11, 1)
    )

    assert show.first_day == date(2025, 11, 1)


def test_show_that_has_opened_may_be_entered_when_it_is_said(company):
    show = start_show(
        company=company, user=None, title="Salt", opening=date(2024, 5, 2), has_opened=True
    )

    assert show.opening == date(2024, 5, 2)


def test_edit_leaves_a_date_that_time_has_passed_alone(company):
    show = ShowFactory(company=company, opening=date(2026, 1, 10), title="Salt")

    edited = edit_show(show=show, user=None, title="Salt and Tide")

    assert edited.title == "Salt and Tide"
    assert edited.opening == date(2026, 1, 10)


def test_edit_writes_before_and_after_and_takes_a_version(company, lead):
    show = ShowFactory(company=company, title="Salt", opening=OPENING)

    edit_show(show=show, user=lead, version=1, opening=OPENING + timedelta(days=7))

    show.refresh_from_db()
    assert show.version == 2
    change = Change.objects.get(noun="show")
    assert change.before["opening"] == "2026-09-16"
    assert change.after["opening"] == "2026-09-23"


def test_stale_edit_changes_nothing(company):
    show = ShowFactory(company=company, title="Salt", version=3)

    with pytest.raises(StaleEdit):
        edit_show(show=show, user=None, version=2, title="Tide")

    show.refresh_from_db()
    assert (show.title, show.version) == ("Salt", 3)


# The pages


def test_new_show_goes_to_its_scenes(company, lead, client):
    response = client.post(
        new(company),
        typed(
            opening="2026-09-16", first_day="2026-01-12", performers="2", crossing_s="1:30",
        ),
    )  # fmt: skip

    show = Show.objects.get()
    assert response.status_code == 302
    assert response.url == reverse("scenes:scene_list", args=[show.pk])
    assert (show.performers, show.bridge_mm, show.crossing_s, show.reset_s) == (2, None, 90, 30)


def test_new_show_has_no_bridge_before_rail_and_edge_are_seen_to(company, lead, client):
    """The height that was typed is asked about where every height is: rail and edge first."""
    response = client.post(new(company), typed(bridge_mm="1.5 m"), follow=True)

    show = Show.objects.get()
    assert show.bridge_mm is None
    assert response.redirect_chain == [
        (reverse("builds:bridge", args=[show.pk]) + "?bridge_mm=1500+mm", 302)
    ]
    page = response.content.decode()
    assert "First the rail and the edge" in page
    assert 'value="1500 mm"' in page

    change = reverse("builds:bridge_change", args=[show.pk])
    asked = {"version": show.version, "bridge_mm": "1500 mm"}
    assert client.post(change, asked).status_code == 422
    seen = {"rail_mm": "1100", "has_edge_board": "on", "looked_at_by": "the rigger"}
    assert client.post(change, asked | seen).status_code == 302
    show.refresh_from_db()
    assert show.bridge_mm == 1500


def test_blank_minutes_are_none(company, lead, client):
    client.post(new(company), typed(crossing_s="", reset_s=""))

    show = Show.objects.get()
    assert (show.crossing_s, show.reset_s) == (0, 0)


def test_form_says_everything_at_once_and_keeps_what_was_typed(company, lead, client):
    response = client.post(
        new(company),
        typed(
            title="", opening="2026-02-30", first_day="soon", performers="-1", dressers="x",
            rail_hooks="1000", bridge_mm="high", crossing_s="4:99", reset_s="61",
        ),
    )  # fmt: skip

    assert response.status_code == 422
    errors = response.context["form"].errors
    wrong = {"title", "opening", "first_day", "performers", "dressers", "rail_hooks", "bridge_mm"}
    assert set(errors) == wrong | {"crossing_s", "reset_s"}
    assert 'value="high"' in response.content.decode()
    assert not Show.objects.exists()


def test_rules_between_dates_are_told_beside_a_field_that_cannot_be_read(company, lead, client):
    response = client.post(
        new(company), typed(performers="many", opening="2026-09-16", first_day="2026-09-16")
    )

    assert set(response.context["form"].errors) == {"performers", "first_day"}


def test_past_opening_offers_a_way_on(company, lead, client):
    response = client.post(new(company), typed(opening="2024-05-02"))
    assert response.status_code == 422
    assert "or say below that the show has opened" in sentences(response)[0]
    assert 'type="checkbox" name="has_opened"' in response.content.decode()

    response = client.post(new(company), typed(opening="2024-05-02", has_opened="on"))
    assert response.status_code == 302


def test_title_of_forty_letters_and_more_is_kept_whole(company, lead, client):
    title = "Ä" * 120
    client.post(new(company), typed(title=title))
    assert Show.objects.get().title == title

    assert client.post(new(company), typed(title="b" * 121)).status_code == 422


def test_bridge_is_read_and_written_in_the_units_of_the_company(company, lead, client):
    Company.objects.filter(pk=company.pk).update(units="us")
    response = client.post(new(company), typed(bridge_mm="59"), follow=True)
    assert 'value="59.02 in"' in response.content.decode()
    Show.objects.update(bridge_mm=1499)
    show = Show.objects.get()

    assert 'value="59.02 in"' in client.get(edit(show)).content.decode()


def test_edit_page_saves_and_says_so(company, lead, client):
    show = ShowFactory(company=company, title="Salt")

    response = client.post(edit(show), typed(version="1", performers="3"), follow=True)

    assert "Saved." in response.content.decode()
    assert Show.objects.get().performers == 3


def test_opening_moved_before_a_scene_is_wanted_is_said(company, lead, client):
    show = start_show(company=company, user=lead, title="Salt", opening=OPENING)
    Scene.objects.create(
        draft=show.current_draft, label="9", length_s=60, needed_by=date(2026, 9, 1)
    )

    response = client.post(
        edit(show), typed(title="Salt", version="1", opening="2026-08-01"), follow=True
    )

    assert "Scene 9 is now wanted after the opening" in response.content.decode()


def test_stale_form_is_answered_409_with_both_texts(company, lead, client):
    show = ShowFactory(company=company, title="Salt", version=2)

    response = client.post(edit(show), typed(title="Tide", version="1"))

    assert response.status_code == 409
    assert "Tide" in response.content.decode()
    assert "Salt" in response.content.decode()
    show.refresh_from_db()
    assert show.title == "Salt"


@pytest.mark.parametrize(
    ("role", "status"), [(Role.LEAD, 200), (Role.MAKER, 403), (Role.READER, 403), (None, 404)]
)
def test_only_a_lead_begins_and_edits(company, client, role, status):
    show = ShowFactory(company=company)
    user = person(company, role) if role else person(CompanyFactory(), Role.LEAD)
    client.force_login(user)

    assert client.get(new(company)).status_code == status
    assert client.get(edit(show)).status_code == status
    assert client.post(new(company), typed(title="X")).status_code == {200: 302}.get(status, status)


def test_nobody_signed_in_is_sent_to_the_door(company, client):
    assert client.get(new(company)).url.startswith(reverse("company:sign_in"))


@pytest.mark.parametrize("shows", [1, 10])
def test_pages_ask_the_same_of_the_database_however_many_shows(
    company, lead, client, django_assert_num_queries, shows
):
    made = [ShowFactory(company=company) for _ in range(shows)]

    with django_assert_num_queries(4):
        client.get(new(company))
    with django_assert_num_queries(6):
        client.get(edit(made[0]))
