"""The page of the costume plot: sentence, tracks, count with reasons, changes and times."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.template import Context, Template
from django.urls import reverse

from company import clock
from company.models import Change, Role
from scenes.models import Appearance, ChangeRule, Costume, Draft, Guise, Scene
from scenes.queries.plot import FigureTag, read_plot, say_ordinal
from scenes.queries.tracks import to_tracks
from scenes.services.plot import RuleGone, add_rule, edit_rule, remove_rule
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
PAGE_QUERIES = 13


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


# The page


def test_page_says_how_many_which_plays_what_and_why(show, lead, client):
    html = page_of(client, show)

    assert "<b>12 figures</b> for 6 roles" in html
    text = " ".join(re.sub(r"<[^>]+>", " ", html).split())
    assert "Jory Tarrow 5 figures at nine 2 two costumes, no change possible" in text
    assert "1st figure scene 3 apron change, 4 min scene 6 tarpaulin scene 9 tarpaulin" in text
    assert "5th figure scene 9 nightshirt" in text
    assert "The plot as a score: 12 figures" in html
    assert ">draft 1<" in html


def test_picture_and_count_take_tags_from_whoever_knows_the_bench(show, bartle):
    page = read_plot(show)
    key = Appearance.objects.get(guise=bartle, scene__label="6").key
    tags = {(key, 1): FigureTag("B1", "/figures/7/")}

    data = to_tracks(page, tags)

    numbers = {role.name: [track.number for track in role.tracks] for role in data.roles}
    assert numbers["Bartle, ferryman"] == ["B1"]
    assert numbers["Captain Pell"] == ["", ""]
    assert data.roles[3].tracks[0].url == "/figures/7/"
    template = Template(
        "{% load plot %}{% draw_plot page figure_tags as drawn %}{{ drawn.names }}"
        '{% include "scenes/_plot_role.html" with role=page.roles.3 %}'
        '{% include "scenes/_plot_role.html" with role=page.roles.1 %}'
    )
    html = template.render(Context({"page": page, "figure_tags": tags}))
    assert '<a href="/figures/7/">B1</a>' in html
    assert html.count(">new<") >= 2


def test_picture_without_a_bench_calls_figures_by_their_place(show):
    data = to_tracks(read_plot(show))

    assert [track.number for track in data.roles[0].tracks] == ["1st", "2nd", "3rd", "4th", "5th"]
    change = data.roles[3].tracks[0].stops[1]
    assert (change.scene, change.start_s, change.end_s, change.change_s) == (5, 0, 420, 240)


@pytest.mark.parametrize(
    ("number", "word"), [(1, "1st"), (12, "12th"), (13, "13th"), (21, "21st"), (103, "103rd")]
)
def test_ordinals(number, word):
    assert say_ordinal(number) == word


def test_crossing_and_hold_are_told_in_the_picture(show, pell):
    first, second, _ = Appearance.objects.filter(guise=pell, costume__name="uniform")
    Appearance.objects.filter(pk=first.pk).update(to_place="left")
    Appearance.objects.filter(pk=second.pk).update(from_place="right", hold="hung in view")

    stop = to_tracks(read_plot(show)).roles[1].tracks[0].stops[1]

    assert (stop.crossing, stop.hold) == ("from left to right", "hung in view")


@pytest.mark.parametrize("arrange", ["nothing", "scenes", "both"])
@pytest.mark.parametrize("role", [Role.LEAD, Role.READER])
def test_empty_page_says_what_comes_next_and_offers_one_button(arrange, role, client):
    show = ShowFactory()
    client.force_login(person(show.company, role))
    if arrange != "nothing":
        lay_draft(show, SALT_SCENES)
    if arrange == "both":
        show.characters.create(name="Jory", letters="J").guises.create()

    html = page_of(client, show)

    assert html.count('class="empty"') == 1
    assert html[html.index('class="empty"') :].split("</div>")[0].count('class="btn"') == 1


def test_warnings_say_what_to_look_at(show, lead, client):
    heron = Guise.objects.get(character__letters="H", character__show=show)
    put_on(show.current_draft, heron, None, "1")
    Appearance.objects.filter(scene__label="2").update(enters_s=0, leaves_s=360)
    Scene.objects.filter(label="2").update(length_s=240)

    html = page_of(client, show)

    assert "One costume is not decided yet." in html
    assert "Jory Tarrow at nine in scene 2 leaves at 6, later than the end of the scene (4)" in html
    put_on(show.current_draft, heron, None, "2")
    assert "2 costumes are not decided yet." in page_of(client, show)


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 1, 1), (10, 10, 60)])
def test_reads_are_the_same_for_one_row_and_for_ten(
    roles, scenes, appearances, client, django_assert_num_queries
):
    show = lay_large_plot(roles, scenes, appearances)
    client.force_login(person(show.company, Role.LEAD))
    page_of(client, show)

    with django_assert_num_queries(PAGE_QUERIES):
        page_of(client, show)


def test_page_keeps_to_the_strict_policy(show, lead, client):
    assert not re.search(r'\sstyle="|<style|\son\w+="|<script>|data:', page_of(client, show))


# Who may


@pytest.mark.parametrize(
    ("who", "page", "write"),
    [
        ("lead", 200, 302),
        ("maker", 200, 403),
        ("reader", 200, 403),
        ("stranger", 404, 404),
        ("nobody", 302, 302),
    ],
)
def test_who_may_look_and_who_may_write(who, page, write, show, bartle, client):
    if who == "stranger":
        client.force_login(person(CompanyFactory(), Role.LEAD))
    elif who != "nobody":
        client.force_login(person(show.company, Role(who)))
    apron, tarpaulin = bartle.costumes.all()
    rule = ChangeRule.objects.get()
    before = rules(show)

    assert client.get(reverse("scenes:plot", args=[show.pk])).status_code == page
    for name, args, data in [
        ("times_edit", [show.pk], times(show, "2", "1")),
        ("change_add", [show.pk, bartle.pk], new_rule(bartle, tarpaulin, apron, "3")),
        ("change_edit", [show.pk, rule.key], edit_of(rule, "5", "2")),
        ("change_remove", [show.pk, rule.key], {}),
    ]:
        response = client.post(reverse(f"scenes:{name}", args=args), data)
        assert response.status_code == write, name
    assert (rules(show) == before) == (who != "lead")
    assert (show.crossing_s == 60) == (who != "lead")


def test_those_who_only_look_see_the_changes_without_forms(show, client):
    client.force_login(person(show.company, Role.READER))

    html = page_of(client, show)

    assert "apron to tarpaulin, 4 min, 1\u00a0person" in html
    assert "1 min from one side to the other, 0:30 min to be ready again" in html
    assert 'name="times-' not in html
    assert "Read it as a grid" in html


# Change rules


def new_rule(guise, first, second, minutes, people="1"):
    p = f"g{guise.pk}"
    return {
        f"{p}-from_costume": getattr(first, "pk", first),
        f"{p}-to_costume": getattr(second, "pk", second),
        f"{p}-minutes": minutes,
        f"{p}-people": people,
    }


def edit_of(rule, minutes, people):
    p = f"r{rule.key.hex}"
    return {f"{p}-version": rule.version, f"{p}-minutes": minutes, f"{p}-people": people}


def times(show, crossing, reset):
    return {
        "times-version": show.version,
        "times-crossing": crossing,
        "times-reset": reset,
    }


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

    said = [(c.noun, c.before and c.before["change_s"], c.after and c.after["change_s"])
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
