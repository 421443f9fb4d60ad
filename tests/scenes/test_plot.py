"""The page of the costume plot: sentence, tracks, count with reasons, changes and times."""

from __future__ import annotations

import re

import pytest
from django.template import Context, Template
from django.urls import reverse

from company.models import Role
from scenes.models import Appearance, ChangeRule, Guise, Scene
from scenes.queries.plot import FigureTag, read_plot, say_ordinal
from scenes.queries.tracks import to_tracks
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on
from tests.scenes.sent import edit_of, new_rule, times

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
PAGE_QUERIES = 19


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
