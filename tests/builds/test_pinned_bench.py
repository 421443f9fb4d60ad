"""Pins at the bench: what is built is what the lead pinned, and one more plays nothing yet."""

from __future__ import annotations

import pytest
from django.urls import reverse

from scenes.models import Appearance, Count, Pin
from scenes.services.pins import lift_pin, set_pin
from tests.builds.desk import Desk
from tests.scenes.test_pins import stop

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    made = Desk()
    made.jory = made.role("Jory Tarrow", "at nine", "smock")
    for label in ("1", "3"):
        made.wear(made.jory, label, "smock")
    return made


def pin(desk, kind, *labels):
    guise = desk.jory
    guise.character.show = desk.show
    stops = tuple(stop(guise, label) for label in labels)
    return set_pin(show=desk.show, user=desk.lead, guise=guise, kind=kind, stops=stops)


def test_two_pinned_apart_are_two_figures_at_the_bench(desk):
    pin(desk, "apart", "1", "3")

    desk.accept()

    assert desk.tags() == ["J1", "J2"]
    assert desk.played() == {"J1": {"1"}, "J2": {"3"}}
    assert Count.objects.get().figures == 1


def test_one_more_with_nothing_to_play_is_built_all_the_same(desk):
    for _ in range(2):
        pin(desk, "more")
    assert desk.bench().needed == 3

    taken = desk.accept()

    assert len(taken.made) == 3
    assert desk.tags() == ["J1", "J2", "J3"]
    assert sorted(map(len, desk.played().values())) == [0, 1, 1]
    assert [line for line in desk.bench().lines if line.asks] == []
    assert desk.accept().made == []


def test_the_next_draft_keeps_all_of_them(desk):
    pin(desk, "more")
    pin(desk, "more")
    desk.accept()

    desk.wear(desk.jory, "4", "smock")

    bench = desk.bench()
    assert {line.kind for line in bench.lines} == {"kept"}
    assert len(bench.lines) == 3
    desk.accept()
    assert desk.tags() == ["J1", "J2", "J3"]


def test_a_lifted_pin_strands_what_it_asked_for_and_loses_nothing(desk):
    pin(desk, "apart", "1", "3")
    desk.accept()

    lift_pin(show=desk.show, user=desk.lead, key=Pin.objects.get().key)

    kinds = sorted(line.kind for line in desk.bench().lines)
    assert kinds == ["gone", "kept"]
    assert desk.tags() == ["J1", "J2"]
    assert Appearance.objects.filter(draft=desk.show.current_draft).count() == 2


def test_the_pages_stand_with_one_that_plays_nothing(desk, client):
    pin(desk, "more")
    pin(desk, "more")
    client.force_login(desk.lead)
    for name in ("builds:bench", "builds:figure_list", "builds:sheet_plot", "scenes:plot"):
        assert client.get(reverse(name, args=[desk.show.pk])).status_code == 200, name
    desk.accept()
    html = client.get(reverse("scenes:plot", args=[desk.show.pk])).content.decode()
    assert "it plays nothing yet" in html
    assert client.get(reverse("builds:bench", args=[desk.show.pk])).status_code == 200
