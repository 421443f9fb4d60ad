"""Ways and trick builds on their pages, and the words of the cell's panel."""

from __future__ import annotations

import pytest
from django.urls import reverse

from company.models import Role
from scenes.models import Appearance, Guise, Rig, Walk
from scenes.services.places import add_walk, edit_walk
from scenes.services.rigs import set_rig
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac
from tests.scenes.sent import address, cell, sent

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
    return Guise.objects.select_related("character__show").get(
        character__show=show, character__letters="H"
    )


def text(answer):
    return " ".join(answer.content.decode().split())


def way(**fields):
    return {f"way-{name}": value for name, value in fields.items()}


# Ways on the plot's page


def test_a_way_is_written_and_shown(show, lead, client):
    url = reverse("scenes:way_add", args=[show.pk])
    data = way(from_place="left", to_place="bridge", minutes="1:30", back="on")

    assert client.post(url, data).status_code == 302

    assert Walk.objects.count() == 2
    page = reverse("scenes:plot", args=[show.pk])
    assert "left <span" in text(client.get(page))
    client.force_login(person(show.company, Role.READER))
    assert "left to bridge: 1:30 min" in text(client.get(page))


def test_a_wrong_way_comes_back_with_all_that_is_wrong(show, lead, client):
    url = reverse("scenes:way_add", args=[show.pk])

    answer = client.post(url, way(from_place="", to_place="pit", minutes="soon"))

    assert answer.status_code == 422
    assert "Name the place." in text(answer)
    assert 'value="soon"' in text(answer)
    answer = client.post(url, way(from_place="pit", to_place="Pit", minutes="1"))
    assert "A way leads from one place to another." in text(answer)
    assert not Walk.objects.exists()


def test_a_stale_way_keeps_what_was_typed(show, lead, client):
    (walk,) = add_walk(show=show, user=lead, from_place="left", to_place="pit", walk_s=30)
    edit_walk(show=show, user=None, pk=walk.pk, walk_s=90)
    url = reverse("scenes:way_edit", args=[show.pk, walk.pk])
    p = f"w{walk.pk}"

    answer = client.post(url, {f"{p}-version": walk.version, f"{p}-minutes": "5"})

    assert answer.status_code == 409
    assert "1:30 min stands now" in text(answer)
    assert 'value="5"' in text(answer)
    assert Walk.objects.get().walk_s == 90
    client.post(reverse("scenes:way_remove", args=[show.pk, walk.pk]))
    assert client.post(url, {f"{p}-version": 1, f"{p}-minutes": "5"}).status_code == 404


# Trick builds on the guise's page


def test_a_trick_build_is_named_turned_and_forgotten(show, heron, lead, client):
    url = reverse("scenes:rig_set", args=[show.pk, heron.pk])

    client.post(url, {"name": "flying", "plays_plain": "on"})
    html = text(client.get(heron.get_absolute_url()))
    assert '<b>flying</b> <span class="note">may play plain too' in html
    rig = Rig.objects.get()
    client.post(url, {"name": "flying", "version": rig.version})
    assert not Rig.objects.get().plays_plain
    client.post(reverse("scenes:rig_remove", args=[show.pk, heron.pk, rig.pk]))
    assert not Rig.objects.exists()


def test_a_trick_build_in_the_plot_says_where_and_stays(show, heron, lead, client):
    rig = set_rig(show=show, user=lead, guise=heron, name="flying", plays_plain=True)
    Appearance.objects.filter(guise=heron, scene__label="10").update(rig="Flying")

    html = text(client.get(heron.get_absolute_url()))
    assert "on in scene 10" in html
    answer = client.post(reverse("scenes:rig_remove", args=[show.pk, heron.pk, rig.pk]))

    assert answer.status_code == 422
    assert "The plot has it in scene 10." in text(answer)


@pytest.mark.parametrize("name", ["", "plain", "a;b"])
def test_a_wrong_trick_build_is_refused(show, heron, lead, client, name):
    answer = client.post(reverse("scenes:rig_set", args=[show.pk, heron.pk]), {"name": name})

    assert answer.status_code == 422
    assert not Rig.objects.exists()


# The panel of a cell


def test_the_panel_offers_named_places_and_rigs_and_says_what_they_mean(show, heron, lead, client):
    add_walk(show=show, user=lead, from_place="left", to_place="bridge", walk_s=30)
    set_rig(show=show, user=lead, guise=heron, name="flying", plays_plain=True)
    set_rig(show=show, user=lead, guise=heron, name="break-away", plays_plain=False)

    html = text(client.get(address(show, heron, "10")))

    assert '<option value="bridge">' in html
    assert '<option value="flying">' in html
    assert "flying may play plain entries too." in html
    assert "break-away plays nothing else." in html
    assert "Below 0 it is set before the scene" in html


def test_a_place_takes_the_spelling_that_the_show_knows(show, heron, lead, client):
    add_walk(show=show, user=lead, from_place="left", to_place="Bridge", walk_s=30)
    (entry,) = cell(show, heron, "10")
    data = sent([entry], a0__from_place=" bRIDGE", a0__to_place="Pit", a0__enters="-0:30")

    assert client.post(address(show, heron, "10"), data).status_code == 302

    (now,) = cell(show, heron, "10")
    assert (now.from_place, now.to_place, now.enters_s) == ("Bridge", "Pit", -30)
    grid = text(client.get(reverse("scenes:plot_grid", args=[show.pk])))
    assert "from Bridge to Pit -0:30–" in grid.replace("−", "-")
