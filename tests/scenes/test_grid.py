"""The writing grid: its page, who may write in it, its reads and the size of its answers."""

from __future__ import annotations

import re
import time
from statistics import median
from uuid import uuid4

import pytest
from django.urls import reverse

from company.models import Role
from scenes.loading import stamp_of
from scenes.models import Appearance, Costume, Guise, Scene
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on
from tests.scenes.sent import HTMX, address, cell, sent, stamp

MOST_BYTES = 30_000
PAGE_QUERIES = 17
PANEL_QUERIES = 12
PICK_QUERIES = 37

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
def heron(show):
    return Guise.objects.get(character__show=show, character__name="The Heron")


# The page


def test_page_shows_scenes_across_and_a_row_a_guise(show, lead, client):
    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert len(re.findall(r'<tr id="row-', html)) == 8
    assert len(re.findall(r'<a id="c\d+-\d+"', html)) == 80
    assert "<b>12 figures</b> for 6 roles" in html
    assert "then 20 min interval" in html
    assert re.search(r'id="plot-total">12<', html)
    assert html.count(">nothing<") == 80 - 22
    row = html[html.index("<b>The Heron</b>") :].split("</tr>")[0]
    assert re.findall(r'<span class="cloth cloth-(\d)">(\w+)</span>', row) == [
        ("5", "flying"),
        ("6", "standing"),
        ("6", "standing"),
    ]
    assert row.count('class="between"') == 2
    assert 'row-count" title="two costumes, no change possible">2<' in row


def test_page_says_what_is_special_about_an_appearance(show, lead, heron, client):
    flying = heron.costumes.get(name="flying")
    put_on(show.current_draft, heron, flying, "2", copies=3, rig="flight", enters_s=90)

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "flying <small>×3 flight 1:30–6</small>" in html
    assert '<path class="thread-line" d="M25 2H100"/>' in html


def test_those_who_only_look_get_a_table_without_links(show, heron, client):
    client.force_login(person(show.company, Role.READER))

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "flying" in html
    assert "grid.js" not in html
    assert '<a id="c' not in html
    assert "data-plot-grid" not in html


@pytest.mark.parametrize("arrange", ["nothing", "scenes", "roles"])
def test_page_with_nothing_to_write_in_offers_the_way_on(arrange, client):
    show = ShowFactory()
    client.force_login(person(show.company, Role.LEAD))
    if arrange == "scenes":
        lay_draft(show, SALT_SCENES)
    if arrange == "roles":
        show.characters.create(name="Jory", letters="J").guises.create()

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "Nothing to count yet" in html
    assert "Write scenes and roles" in html
    assert 'role="grid"' not in html
    assert "<table" not in html


def test_page_keeps_to_the_strict_policy(show, lead, client):
    response = client.get(reverse("scenes:plot_grid", args=[show.pk]))

    assert "default-src 'self'" in response["Content-Security-Policy"]
    assert not re.search(r'\sstyle="|<style|\son\w+="|<script>|data:', response.content.decode())


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 1, 1), (10, 10, 60)])
def test_reads_are_the_same_for_one_row_and_for_ten(
    roles, scenes, appearances, client, django_assert_num_queries
):
    show = lay_large_plot(roles, scenes, appearances)
    client.force_login(person(show.company, Role.LEAD))
    row = Appearance.objects.select_related("scene", "guise").first()
    page = reverse("scenes:plot_grid", args=[show.pk])
    panel = reverse("scenes:plot_cell", args=[show.pk, row.guise.pk, row.scene.key])
    pick = reverse("scenes:cell_pick", args=[show.pk, row.guise.pk, row.scene.key])
    client.get(page)

    with django_assert_num_queries(PAGE_QUERIES):
        client.get(page)
    with django_assert_num_queries(PANEL_QUERIES):
        client.get(panel, headers=HTMX)
    with django_assert_num_queries(PICK_QUERIES):
        client.post(pick, {"costume": "undecided", "stamp": stamp_of([row])}, headers=HTMX)
    row.refresh_from_db()
    assert row.costume is None


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
def test_who_may_look_and_who_may_write(who, page, write, show, heron, client):
    if who == "stranger":
        client.force_login(person(CompanyFactory(), Role.LEAD))
    elif who != "nobody":
        client.force_login(person(show.company, Role(who)))
    flying = heron.costumes.get(name="flying").pk

    assert client.get(reverse("scenes:plot_grid", args=[show.pk])).status_code == page
    panel = client.get(address(show, heron, "7")).status_code
    assert panel == (200 if who == "lead" else write)
    for name, data in [
        ("plot_cell", {**sent(), "new-costume": str(flying)}),
        ("cell_pick", {"costume": str(flying), "stamp": ""}),
        ("cell_copy", {"copy-until": str(Scene.objects.get(label="2").key)}),
        ("cell_clear", {}),
    ]:
        response = client.post(address(show, heron, "1", name), data)
        assert response.status_code == write, name
    is_written = who == "lead"
    assert bool(cell(show, heron, "2")) == is_written
    if who == "nobody":
        assert response["Location"].startswith(reverse("company:sign_in"))


def test_guise_and_scene_of_another_show_are_not_found(show, lead, heron, client):
    other = lay_large_plot(1, 1, 1, company=show.company)
    stranger = Guise.objects.get(character__show=other)
    elsewhere = Scene.objects.get(draft=other.current_draft)

    for guise, key in [
        (stranger, Scene.objects.get(draft=show.current_draft, label="1").key),
        (heron, elsewhere.key),
        (heron, uuid4()),
    ]:
        url = reverse("scenes:plot_cell", args=[show.pk, guise.pk, key])
        assert client.get(url).status_code == 404
        assert client.post(url, sent()).status_code == 404


# Size and speed at 40 roles, 60 scenes and 400 appearances


def test_answer_to_an_edit_of_a_large_plot_is_small(client, capsys):
    """The answer's size is asserted; the time is printed for whoever looks (pytest -s)."""
    show = lay_large_plot()
    client.force_login(person(show.company, Role.LEAD))
    client.get(reverse("scenes:plot_grid", args=[show.pk]))
    guises = list(Guise.objects.filter(character__show=show).prefetch_related("costumes"))
    times_ms, sizes = [], []
    for n, guise in enumerate(guises[:20]):
        label = str(3 * n + 1)
        url = address(show, guise, label, "cell_pick")
        chosen = next(
            c for c in guise.costumes.all()
            if c.pk not in [a.costume_id for a in cell(show, guise, label)]
        )  # fmt: skip
        data = {"costume": str(chosen.pk), "stamp": stamp(show, guise, label)}
        started = time.perf_counter()
        response = client.post(url, data, headers=HTMX)
        times_ms.append((time.perf_counter() - started) * 1000)
        assert response.status_code == 200
        sizes.append(len(response.content))

    with capsys.disabled():
        print(
            f"\n  one edit at 40 x 60 x 400: median {median(times_ms):.0f} ms, "
            f"worst {max(times_ms):.0f} ms, largest answer {max(sizes)} bytes"
        )
    assert max(sizes) < MOST_BYTES


def test_answer_stays_small_in_a_row_that_is_full_of_long_names(client):
    show = lay_large_plot(3, 60, 180)
    client.force_login(person(show.company, Role.LEAD))
    Costume.objects.update(name="the uniform of the old harbour guard, wet")
    guise = Guise.objects.first()

    response = client.post(
        address(show, guise, "1", "cell_pick"),
        {"costume": "undecided", "stamp": stamp(show, guise, "1")},
        headers=HTMX,
    )

    assert response.status_code == 200
    assert len(response.content) < MOST_BYTES
