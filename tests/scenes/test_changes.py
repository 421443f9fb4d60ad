"""Change rules and the times behind the stage: written, refused, told to two editors."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from company import clock
from company.models import Change, Role
from scenes.models import ChangeRule, Costume, Draft, Guise, Scene
from scenes.services.plot import RuleGone, add_rule, edit_rule, remove_rule
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac
from tests.scenes.sent import HTMX, edit_of, new_rule, times

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


@pytest.fixture
def bartle(show):
    return Guise.objects.get(character__show=show, character__letters="B")


@pytest.fixture
def pell(show):
    return Guise.objects.get(character__show=show, character__letters="P")


def page_of(client, show):
    return client.get(reverse("scenes:plot", args=[show.pk])).content.decode()


def rules(show):
    show.refresh_from_db()
    return [
        (rule.from_costume.name, rule.to_costume.name, rule.change_s, rule.people)
        for rule in ChangeRule.objects.filter(draft=show.current_draft)
    ]


# Change rules


def test_change_saves_a_figure_and_sentence_and_body_follow(show, lead, pell, client):
    uniform, drowned = pell.costumes.all()

    response = client.post(
        reverse("scenes:change_add", args=[show.pk, pell.pk]),
        new_rule(pell, uniform, drowned, "0:30"),
        headers=HTMX,
    )

    html = response.content.decode()
    assert response.status_code == 200
    assert "<html" not in html
    assert 'id="lede" hx-swap-oob="true"' in html
    # Scene 8 goes straight into scene 9: half a minute is not enough for a change and a reset.
    assert "<b>12 figures</b>" in html
    assert f'id="changes-{pell.pk}" open' in html
    Scene.objects.filter(label="8").update(gap_s=60)
    assert "<b>11 figures</b>" in page_of(client, show)
    assert rules(show)[-1] == ("uniform", "drowned", 30, 1)


def test_change_longer_than_any_wait_is_allowed_and_said(show, lead, pell, client):
    uniform, drowned = pell.costumes.all()

    client.post(
        reverse("scenes:change_add", args=[show.pk, pell.pk]),
        new_rule(pell, uniform, drowned, "90"),
    )

    html = page_of(client, show)
    assert rules(show)[-1] == ("uniform", "drowned", 5400, 1)
    assert "Longer than any wait: there are at most 54:30 min from uniform to drowned." in html


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"from_costume": ""}, "from_costume", "Pick a costume."),
        ({"to_costume": "stranger"}, "to_costume", "not one of the costumes of Captain Pell"),
        ({"to_costume": "zebra"}, "to_costume", "not one of the costumes of Captain Pell"),
        ({"to_costume": "same"}, "to_costume", "from one costume to another"),
        ({"minutes": ""}, "minutes", "how many minutes"),
        ({"minutes": "soon"}, "minutes", "is not a number of minutes"),
        ({"minutes": "-1"}, "minutes", "is negative"),
        ({"people": "10"}, "people", "from 0 to 9"),
        ({"people": "-1"}, "people", "from 0 to 9"),
        ({"people": ""}, "people", "how many people"),
    ],
)
@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_wrong_change_is_told_at_its_field_and_nothing_is_saved(
    headers, fields, field, sentence, show, lead, pell, client
):
    uniform, drowned = pell.costumes.all()
    stranger = Costume.objects.exclude(guise=pell).first()
    data = {"from_costume": uniform.pk, "to_costume": drowned.pk, "minutes": "2", "people": "1"}
    swap = {"stranger": stranger.pk, "same": uniform.pk}
    data |= {name: swap.get(value, value) for name, value in fields.items()}
    before = rules(show)

    response = client.post(
        reverse("scenes:change_add", args=[show.pk, pell.pk]),
        {f"g{pell.pk}-{name}": value for name, value in data.items()},
        headers=headers,
    )

    html = response.content.decode()
    assert response.status_code == 422
    assert sentence in html
    assert f'id="id_g{pell.pk}-{field}_error"' in html
    assert rules(show) == before
    assert Change.objects.count() == 0


def test_change_said_twice_is_there_once_and_with_other_minutes_is_refused(
    show, lead, pell, client
):
    uniform, drowned = pell.costumes.all()
    url = reverse("scenes:change_add", args=[show.pk, pell.pk])
    statuses = [
        client.post(url, new_rule(pell, uniform, drowned, minutes)).status_code
        for minutes in ("2", "2", "3")
    ]

    assert statuses == [302, 302, 422]
    assert rules(show).count(("uniform", "drowned", 120, 1)) == 1
    assert Change.objects.count() == 1


def test_change_is_edited_and_taken_out_on_record(show, lead, client):
    rule = ChangeRule.objects.get()
    edit = reverse("scenes:change_edit", args=[show.pk, rule.key])
    remove = reverse("scenes:change_remove", args=[show.pk, rule.key])

    assert client.post(edit, edit_of(rule, "5:30", "2")).status_code == 302
    assert rules(show) == [("apron", "tarpaulin", 330, 2)]
    assert [client.post(remove).status_code for _ in range(2)] == [302, 302]
    assert rules(show) == []

    said = [(c.noun, c.before.get("change_s"), c.after.get("change_s"))
            for c in Change.objects.order_by("pk")]  # fmt: skip
    assert said == [("change rule", 240, 330), ("change rule", 330, None)]


@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_wrong_minutes_of_a_change_are_told(headers, show, lead, client):
    rule = ChangeRule.objects.get()
    url = reverse("scenes:change_edit", args=[show.pk, rule.key])

    response = client.post(url, edit_of(rule, "soon", "1"), headers=headers)

    assert response.status_code == 422
    assert "is not a number of minutes" in response.content.decode()
    assert 'value="soon"' in response.content.decode()


def test_change_edited_by_two_answers_the_second_with_both_texts(show, lead, client):
    rule = ChangeRule.objects.get()
    url = reverse("scenes:change_edit", args=[show.pk, rule.key])
    client.post(url, edit_of(rule, "6", "1"))

    response = client.post(url, edit_of(rule, "5", "2"), headers=HTMX)

    assert response.status_code == 409
    assert rules(show) == [("apron", "tarpaulin", 360, 1)]
    html = response.content.decode()
    assert "6 min, 1 person stands now" in html
    assert 'value="5"' in html
    again = {**edit_of(rule, "5", "2"), f"r{rule.key.hex}-version": rule.version + 1}
    assert re.search(f'name="r{rule.key.hex}-version" value="{rule.version + 1}"', html)
    assert client.post(url, again, headers=HTMX).status_code == 200


def test_changes_of_a_frozen_draft_are_written_in_the_next(show, lead, client):
    frozen = show.current_draft
    Draft.objects.filter(pk=frozen.pk).update(frozen_at=clock.now())
    rule = ChangeRule.objects.get()

    client.post(reverse("scenes:change_edit", args=[show.pk, rule.key]), edit_of(rule, "6", "1"))
    client.post(reverse("scenes:change_remove", args=[show.pk, rule.key]))

    show.refresh_from_db()
    assert (show.current_draft.number, rules(show)) == (2, [])
    assert ChangeRule.objects.get(draft=frozen).change_s == 240


def test_change_that_is_gone_cannot_be_edited(show, lead, client):
    url = reverse("scenes:change_edit", args=[show.pk, uuid4()])

    assert client.post(url, {}).status_code == 404
    with pytest.raises(RuleGone):
        edit_rule(show=show, user=lead, key=uuid4(), change_s=1, people=1)
    remove_rule(show=show, user=lead, key=uuid4())
    assert Change.objects.count() == 0


def test_service_refuses_everything_wrong_at_once(show, lead, pell):
    uniform = pell.costumes.first()
    stranger = Costume.objects.exclude(guise=pell).first()

    with pytest.raises(Exception, match="another guise") as refused:
        add_rule(
            show=show,
            user=lead,
            guise=pell,
            from_costume=stranger,
            to_costume=stranger,
            change_s=-1,
            people=99,
        )

    assert set(refused.value.message_dict) == {
        "from_costume",
        "to_costume",
        "minutes",
        "people",
    }
    assert uniform is not None


# Times behind the stage


def test_times_are_set_and_the_count_follows(show, lead, client):
    response = client.post(
        reverse("scenes:times_edit", args=[show.pk]), times(show, "2", "25"), headers=HTMX
    )

    show.refresh_from_db()
    assert (show.crossing_s, show.reset_s) == (120, 1500)
    assert response.status_code == 200
    assert not re.search(r"<b>12 figures</b>", response.content.decode())
    assert show.current_draft.revision == 2


@pytest.mark.parametrize(
    ("crossing", "reset", "sentence"),
    [("", "1", "required"), ("1", "-1", "is negative"), ("soon", "1", "not a number of minutes")],
)
def test_wrong_times_are_told(crossing, reset, sentence, show, lead, client):
    response = client.post(
        reverse("scenes:times_edit", args=[show.pk]), times(show, crossing, reset)
    )

    show.refresh_from_db()
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert (show.crossing_s, show.reset_s) == (60, 30)


def test_times_edited_by_two_answer_the_second_with_both_texts(show, lead, client):
    data = times(show, "2", "1")
    show.version += 1
    show.save()

    response = client.post(reverse("scenes:times_edit", args=[show.pk]), data)

    show.refresh_from_db()
    assert response.status_code == 409
    assert "1 across, 0:30 ready stands now" in response.content.decode()
    assert show.crossing_s == 60
