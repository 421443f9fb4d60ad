"""The lead's pins: set, counted, not kept and why, lifted; they outlive drafts."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from company.models import Change, Role
from scenes.models import Appearance, ChangeRule, Count, Guise, Pin, TrackStop
from scenes.queries.counts import count_show
from scenes.queries.plot import read_plot
from scenes.services.counts import store_count
from scenes.services.pins import lift_pin, set_pin
from tests.factories import CompanyFactory, person
from tests.scenes.plots import lay_large_plot, lay_salt_almanac, put_on
from tests.scenes.test_plot import PAGE_QUERIES

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def bartle(show):
    return Guise.objects.get(character__show=show, character__letters="B")


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


def stop(guise, label, copy=1):
    draft = guise.character.show.current_draft
    return (Appearance.objects.get(draft=draft, guise=guise, scene__label=label).key, copy)


def built(show, guise):
    show.refresh_from_db()
    return len(count_show(show).tracks_of(guise.pk))


def why(show):
    show.refresh_from_db()
    return [pin.why for pin in read_plot(show).pins]


def pinned(show, guise, kind, *labels):
    stops = tuple(stop(guise, label) for label in labels)
    return set_pin(show=show, user=None, guise=guise, kind=kind, stops=stops)


# What a pin does to the count


def test_two_that_must_not_be_one_figure_make_one_more_to_build(show, bartle):
    """Bartle wears the tarpaulin in scenes 6 and 9 and needs one figure; pinned apart, two."""
    pinned(show, bartle, "apart", "6", "9")

    counted = count_show(show)
    assert counted.count.of(bartle.pk).figures == 1
    assert len(counted.tracks_of(bartle.pk)) == 2
    assert (counted.count.figures, counted.built.figures) == (12, 13)
    assert str(read_plot(show).lede).startswith(
        "This draft needs 12 figures for 6 roles; you build 13."
    )


def test_one_more_is_built_and_plays_its_part(show, bartle):
    pinned(show, bartle, "more")
    pinned(show, bartle, "more")

    assert built(show, bartle) == 3
    assert count_show(show).count.of(bartle.pk).figures == 1
    assert why(show) == ["", ""]


def test_one_more_than_there_is_to_play_plays_nothing(show):
    quill = Guise.objects.get(character__show=show, character__letters="Q")
    for _ in range(3):
        pinned(show, quill, "more")

    tracks = count_show(show).tracks_of(quill.pk)

    assert len(tracks) == 4
    assert sum(not track.stops for track in tracks) == 2


def test_a_pin_that_cannot_be_kept_says_why_and_the_rest_is_counted(show):
    """The two herons of scene 7 are on at once."""
    heron = Guise.objects.get(character__show=show, character__letters="H")
    first, second = Appearance.objects.filter(guise=heron, scene__label="7")
    stops = ((first.key, 1), (second.key, 1))

    set_pin(show=show, user=None, guise=heron, kind="same", stops=stops)

    (reason,) = why(show)
    assert "are on at once" in reason
    assert count_show(show).built.figures == 12


def test_pins_that_contradict_each_other_are_told_apart(show, bartle):
    pinned(show, bartle, "same", "6", "9")
    pinned(show, bartle, "apart", "6", "9")

    assert why(show) == ["", "another pin makes them one figure"]
    assert built(show, bartle) == 1


def test_a_change_that_no_rule_allows_is_said(show, bartle):
    ChangeRule.objects.all().delete()

    pinned(show, bartle, "same", "3", "6")

    (reason,) = why(show)
    assert "apron" in reason
    assert built(show, bartle) == 2


# Across drafts


def test_pins_survive_drafts_by_key(show, bartle):
    store_count(show=show, user=None)
    show.current_draft.frozen_at = "2026-03-04T08:00Z"
    show.current_draft.save()

    pinned(show, bartle, "apart", "6", "9")

    show.refresh_from_db()
    assert show.current_draft.number == 2
    assert built(show, bartle) == 2


def test_a_pin_whose_appearance_is_gone_is_said_and_can_be_lifted(show, bartle, lead, client):
    pin = pinned(show, bartle, "apart", "6", "9")
    Appearance.objects.filter(guise=bartle, scene__label="9").delete()

    assert why(show) == ["one of the two is no longer in the plot"]
    html = client.get(reverse("scenes:plot", args=[show.pk])).content.decode()
    assert "tarpaulin in scene 6 and tarpaulin in scene 9: not one figure" in html
    assert "Not kept: one of the two is no longer in the plot." in html

    client.post(reverse("scenes:pin_lift", args=[show.pk, pin.key]))
    assert not Pin.objects.exists()


def test_a_kept_count_holds_the_tracks_that_are_built(show, bartle):
    pinned(show, bartle, "apart", "6", "9")
    pinned(show, bartle, "more")

    count = store_count(show=show, user=None)

    assert count.figures == 12
    tracks = count.tracks.filter(guise=bartle)
    assert tracks.count() == 3
    played = TrackStop.objects.filter(count=count, track__in=tracks)
    assert played.count() == 3
    assert store_count(show=show, user=None).pk == count.pk


def test_a_pin_takes_the_next_revision(show, bartle):
    count = store_count(show=show, user=None)

    pin = pinned(show, bartle, "apart", "6", "9")
    again = store_count(show=show, user=None)
    lift_pin(show=show, user=None, key=pin.key)
    lift_pin(show=show, user=None, key=pin.key)

    assert again.pk != count.pk
    assert Count.objects.count() == 2
    assert [c.noun for c in Change.objects.filter(noun="pin")] == ["pin", "pin"]


# What is refused


def test_wrong_pins_are_refused_each_with_its_sentence(show, bartle):
    pell = Guise.objects.get(character__show=show, character__letters="P")
    for kind, stops, words in [
        ("same", (), "Tick two"),
        ("same", (stop(bartle, "6"),), "Tick two"),
        ("same", (stop(bartle, "6"), stop(bartle, "6")), "Tick two"),
        ("apart", tuple(stop(bartle, n) for n in ("3", "6", "9")), "Tick two"),
        ("apart", (stop(bartle, "6"), (uuid4(), 1)), "no longer in the plot"),
        ("apart", (stop(bartle, "6"), (stop(bartle, "9")[0], 2)), "no copy 2"),
        ("same", (stop(bartle, "6"), stop(pell, "3")), "two guises"),
        ("twice", (), "One figure"),
    ]:
        with pytest.raises(ValidationError) as refused:
            set_pin(show=show, user=None, guise=bartle, kind=kind, stops=stops)
        assert words in " ".join(refused.value.messages)
    assert not Pin.objects.exists()


def test_the_same_pin_twice_is_one(show, bartle):
    one = pinned(show, bartle, "apart", "6", "9")
    two = pinned(show, bartle, "apart", "9", "6")

    assert one.pk == two.pk


# On the page


def test_ticked_on_the_page_it_is_pinned_and_lifted(show, bartle, lead, client):
    url = reverse("scenes:pin_add", args=[show.pk, bartle.pk])
    stops = [f"{key}:{copy}" for key, copy in (stop(bartle, "6"), stop(bartle, "9"))]

    answer = client.post(url, {"stops": stops, "kind": "apart"})

    assert answer.status_code == 302
    assert answer["Location"].endswith(f"#pins-{bartle.pk}")
    html = client.get(reverse("scenes:plot", args=[show.pk])).content.decode()
    assert "Needs 1, you build 2" in html
    assert f"pinned by {lead}" in re.sub(r"\s+", " ", html)
    pin = Pin.objects.get()
    html = client.post(
        reverse("scenes:pin_lift", args=[show.pk, pin.key]), headers=HTMX
    ).content.decode()
    assert "you build" not in html


@pytest.mark.parametrize(
    "data", [{}, {"kind": "same"}, {"kind": "same", "stops": ["x", "y"]}, {"kind": "none"}]
)
def test_a_wrong_form_comes_back_as_it_was_sent(show, bartle, lead, client, data):
    answer = client.post(reverse("scenes:pin_add", args=[show.pk, bartle.pk]), data)

    assert answer.status_code == 422
    assert "Nothing was pinned." in answer.content.decode()
    assert not Pin.objects.exists()


@pytest.mark.parametrize(
    ("who", "status"), [("lead", 302), ("maker", 403), ("reader", 403), ("stranger", 404)]
)
def test_who_may_pin(show, bartle, client, who, status):
    company = CompanyFactory() if who == "stranger" else show.company
    client.force_login(person(company, Role.LEAD if who == "stranger" else Role(who)))
    url = reverse("scenes:pin_add", args=[show.pk, bartle.pk])

    assert client.post(url, {"kind": "more"}).status_code == status
    assert Pin.objects.count() == (1 if who == "lead" else 0)
    assert client.post(reverse("scenes:pin_lift", args=[show.pk, uuid4()])).status_code == status


def test_pins_ask_for_no_more_reads(show, bartle, lead, client, django_assert_num_queries):
    url = reverse("scenes:plot", args=[show.pk])
    set_pin(show=show, user=lead, guise=bartle, kind="more")
    client.get(url)
    with django_assert_num_queries(PAGE_QUERIES):
        client.get(url)
    for label in ("3", "6"):
        set_pin(
            show=show, user=lead, guise=bartle, kind="apart",
            stops=(stop(bartle, label), stop(bartle, "9")),
        )  # fmt: skip
    client.get(url)
    with django_assert_num_queries(PAGE_QUERIES):
        client.get(url)


# A law


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=12)
@given(data=st.data())
def test_a_kept_pin_never_lowers_the_count(data):
    """Whatever is pinned: no guise is built of fewer figures than it needs."""
    show = lay_large_plot(2, 6, 9, seed=data.draw(st.integers(0, 999)))
    guises = list(Guise.objects.filter(character__show=show).select_related("character__show"))
    for guise in guises:
        keys = list(Appearance.objects.filter(guise=guise).values_list("key", flat=True))
        for _ in range(data.draw(st.integers(0, 3))):
            kind = data.draw(st.sampled_from(["same", "apart", "more"]))
            two = data.draw(st.permutations(keys))[:2] if len(keys) > 1 else []
            if kind == "more" or len(two) == 2:
                stops = () if kind == "more" else tuple((key, 1) for key in two)
                set_pin(show=show, user=None, guise=guise, kind=kind, stops=stops)
    counted = count_show(show)
    before = {guise.pk: counted.count.of(guise.pk).figures for guise in guises}

    assert all(len(counted.tracks_of(pk)) >= needed for pk, needed in before.items())
    for pin in Pin.objects.filter(guise__in=guises).exclude(pk__in=counted.pinned.why):
        if pin.kind == "more":
            assert len(counted.tracks_of(pin.guise_id)) > before[pin.guise_id]
            continue
        of = {
            played: n
            for n, track in enumerate(counted.tracks_of(pin.guise_id))
            for played in track.stops
        }
        one, two = of[pin.first_key, 1], of[pin.second_key, 1]
        assert (one == two) == (pin.kind == "same")


def test_a_pinned_appearance_that_changes_its_guise_is_said(show, bartle):
    pinned(show, bartle, "apart", "6", "9")
    pell = Guise.objects.get(character__show=show, character__letters="P")
    Appearance.objects.filter(guise=bartle, scene__label="9").update(guise=pell, costume=None)

    assert why(show) == ["they are two guises, and never one figure"]
    put_on(show.current_draft, bartle, None, "1")
    assert built(show, bartle) >= 1
