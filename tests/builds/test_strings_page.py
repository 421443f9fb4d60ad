"""Strings, controls, reaches, bridges, venues and another scale: rows, pages, papers."""

from __future__ import annotations

import io
import math
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from pypdf import PdfReader

from builds.models import BridgeCheck, Control, Drawing, Reach, Venue
from builds.queries.scaling import read_scaled
from builds.queries.strings import compare_bridges, read_strings
from builds.services.bridges import add_venue, change_bridge, edit_venue, strike_venue
from builds.services.controls import StringPlace, lay_string_set, save_control, set_reach
from builds.services.scaling import scale_guises
from builds.sheets import NothingToPrint
from builds.string_sheets import strings_paper
from company.models import Role
from company.services.changes import StaleEdit
from tests.builds.bodies import Body, client_of, dec
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db

READS = 18
SEEN = {"rail_mm": 1000, "has_edge_board": True, "looked_at_by": "the rigger"}


@pytest.fixture
def body() -> Body:
    return Body()


def strings_of(body: Body, **asked: Any) -> Any:
    page = read_strings(body.guise, **asked)
    assert page.strings is not None, page.lacks
    return page


# Lengths and loads


def test_strings_ask_for_a_control_and_a_bridge_first(body: Body):
    assert "usual set" in read_strings(body.guise).lacks
    body.string(bridge_mm=None)
    assert "no height yet" in read_strings(body.guise).lacks


def test_lengths_follow_the_bridge_and_the_hand(body: Body):
    body.string()
    shoulder = strings_of(body).strings.rows[0]
    # Hand at 1500 + 950, hole of the bar 40 mm below it, the figure's hole 478 mm up, and the bar
    # 10 mm wider to each side; both hang plumb in profile.
    assert shoulder.finished_mm == math.ceil(math.hypot(1500 + 950 - 40 - 478, 10))
    assert shoulder.cut_mm == shoulder.finished_mm + 60 + 300
    set_reach(company=body.company, user=body.lead, name="Odile", reach_mm=905)
    lower = strings_of(body, reach_pk=Reach.objects.get().pk)
    assert lower.strings.rows[0].finished_mm == pytest.approx(shoulder.finished_mm - 45, abs=1)
    venue = add_venue(company=body.company, user=body.lead, name="Saltmarsh Hall")
    change_bridge(
        company=body.company, user=body.lead, venue=venue, version=None, bridge_mm=1200, **SEEN
    )
    there = strings_of(body, venue_pk=venue.pk)
    assert (there.bridge_mm, there.strings.rows[0].finished_mm) == (
        1200, pytest.approx(shoulder.finished_mm - 300, abs=1),
    )  # fmt: skip


def test_strings_carry_the_figure_in_its_heaviest_costume(body: Body):
    body.string()
    page = strings_of(body)
    up = sum(
        row.count * row.at_rest_n * math.cos(math.radians(row.angle_deg))
        for row in page.strings.rows
    )
    assert up == pytest.approx(page.figure_g / 1000 * 9.80665, rel=1e-6)
    assert page.heaviest == body.coat
    assert page.in_hand_g == page.figure_g + 250


@pytest.mark.parametrize("strings", [7, 9, 11, 13])
def test_usual_sets_are_laid_and_what_finds_no_hole_is_said(body: Body, strings: int):
    body.string(strings=strings)
    page = strings_of(body)
    there = {"shoulder", "head", "back"}
    assert {row.to for row in page.strings.rows} == there
    assert len(page.strings.unmatched) == Control.objects.get().strings.count() - len(there)


def test_every_fault_of_a_control_is_said_at_once(body: Body):
    twice = [StringPlace("bar", "shoulder"), StringPlace("Bar", "head"), StringPlace("", "")]
    with pytest.raises(ValidationError) as refused:
        save_control(
            guise=body.guise, user=body.lead, version=None,
            values={"strength_n": dec(0), "knot_factor_pct": 0, "safety": dec(0),
                    "tilt_deg": dec(90), "weight_g": 9000},
            strings=[*twice, StringPlace("far", "head", x_mm=dec(5000))],
        )  # fmt: skip
    assert set(refused.value.message_dict) == {
        "strength_n", "knot_factor_pct", "safety", "tilt_deg", "weight_g", "1-name", "2-name",
        "2-to_hole", "3-x_mm",
    }  # fmt: skip
    assert not Control.objects.exists()


def test_control_written_by_two_is_refused_to_the_slower(body: Body):
    control = lay_string_set(guise=body.guise, user=body.lead, strings=9, version=None)
    lay_string_set(guise=body.guise, user=body.lead, strings=7, version=control.version)
    with pytest.raises(StaleEdit):
        lay_string_set(guise=body.guise, user=body.lead, strings=9, version=control.version)


def test_reach_is_said_changed_and_forgotten(body: Body):
    said = {"company": body.company, "user": body.lead}
    set_reach(**said, name="Odile", reach_mm=905)
    set_reach(**said, name=" odile ", reach_mm=910)
    assert [(row.name, row.reach_mm) for row in Reach.objects.all()] == [("Odile", 910)]
    set_reach(**said, name="Odile", reach_mm=None)
    assert not Reach.objects.exists()
    for name, reach in (("", 900), ("Ines", 20), ("Ines", None)):
        with pytest.raises(ValidationError):
            set_reach(**said, name=name, reach_mm=reach)


# Bridges


def test_bridge_of_a_drop_asks_for_rail_and_somebody_competent(body: Body):
    with pytest.raises(ValidationError) as refused:
        change_bridge(
            company=body.company, user=body.lead, show=body.show, version=None,
            bridge_mm=1200, rail_mm=0, has_edge_board=False,
        )  # fmt: skip
    assert set(refused.value.message_dict) == {"rail_mm", "looked_at_by"}
    assert body.show.bridge_mm is None
    change_bridge(
        company=body.company, user=body.lead, show=body.show, version=None,
        bridge_mm=600, rail_mm=None, has_edge_board=False,
    )  # fmt: skip
    assert body.show.bridge_mm == 600
    assert BridgeCheck.objects.get().rail_mm == 0


def test_other_bridge_changes_every_length_and_the_swing_by_the_root(body: Body):
    body.string()
    (changed,) = compare_bridges(body.show, 1500, 2000)
    assert len(changed.strings) == 3
    assert all(string.by_mm == pytest.approx(500, abs=2) for string in changed.strings)
    before, after = changed.before_s, changed.after_s
    # Period goes with the square root of the length from hand to centre.
    long = before**2 * 9.80665 / (4 * math.pi**2)
    assert after == pytest.approx(2 * math.pi * math.sqrt((long + 0.5) / 9.80665))
    assert changed.slower == pytest.approx(after / before - 1)


def test_bridge_page_shows_first_and_changes_then(body: Body):
    body.string()
    client = client_of(body.lead)
    address = reverse("builds:bridge", args=[body.show.pk])
    said = client.get(address, {"bridge_mm": "2 m"}).content.decode()
    assert "every string below changes" in said
    assert "slower" in said
    assert "local code" in said
    change = reverse("builds:bridge_change", args=[body.show.pk])
    answer = client.post(change, {"bridge_mm": "2000", "rail_mm": "1050", "version": ""})
    assert answer.status_code == 422
    assert 'value="1050"' in answer.content.decode()
    typed = {"bridge_mm": "2000", "rail_mm": "1050", "looked_at_by": "the rigger"}
    assert client.post(change, typed).status_code == 302
    assert body.show.bridge_mm == 2000


def test_a_bridge_that_somebody_else_moved_is_said_and_what_was_typed_stays(body: Body):
    client, show = client_of(body.lead), body.show
    change = reverse("builds:bridge_change", args=[show.pk])
    version = show.version
    said = {"company": body.company, "user": body.lead, "show": show}
    change_bridge(**said, version=None, bridge_mm=1300, **SEEN)
    typed = {"bridge_mm": "2000", "rail_mm": "1050", "looked_at_by": "the rigger"}
    answer = client.post(change, typed | {"version": version})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Somebody was quicker" in page
    assert 'value="2000"' in page
    assert body.show.bridge_mm == 1300
    again = typed | {"version": body.show.version}
    assert f'name="version" value="{body.show.version}"' in page
    assert client.post(change, again).status_code == 302
    assert body.show.bridge_mm == 2000


def test_a_low_rail_is_warned_of_at_a_venue_as_at_home(body: Body):
    venue = add_venue(company=body.company, user=body.lead, name="Saltmarsh Hall")
    low = {"rail_mm": 900, "has_edge_board": True, "looked_at_by": "the rigger"}
    said = {"company": body.company, "user": body.lead, "version": None, "bridge_mm": 1500}
    change_bridge(**said, venue=venue, **low)
    change_bridge(**said, show=body.show, **low)
    client = client_of(body.lead)
    for name, pk in (("bridge", body.show.pk), ("venue_edit", venue.pk)):
        page = client.get(reverse(f"builds:{name}", args=[pk])).content.decode()
        assert "is lower than the 950 mm" in page, name


def test_venues_are_named_once_edited_and_struck(body: Body):
    said = {"company": body.company, "user": body.lead}
    hall = add_venue(**said, name="Saltmarsh Hall")
    for name in ("", "saltmarsh hall", "x" * 81):
        with pytest.raises(ValidationError):
            add_venue(**said, name=name)
    edit_venue(venue=hall, user=body.lead, version=hall.version, name="Saltmarsh Hall", note="cold")
    strike_venue(venue=hall, user=body.lead)
    assert add_venue(**said, name="Saltmarsh Hall").pk != hall.pk
    assert Venue.objects.count() == 2


# Another scale


def test_smaller_show_weighs_by_the_cube_and_warns(body: Body):
    body.string()
    (row,) = read_scaled(body.show, 50)
    assert row.scaled.height_mm == pytest.approx(300)
    assert row.scaled.mass_g == pytest.approx(row.mass_g / 8)
    assert row.scaled.is_too_light
    # The figure's hole lies lower, the hand where it was: the string is longer.
    before, after = row.strings[0]
    assert after.finished_mm - before.finished_mm == pytest.approx(478 / 2, abs=2)


def test_guise_is_drawn_anew_at_the_scale_and_the_old_drawing_kept(body: Body):
    whole = read_strings(body.guise)
    scale_guises(guises=[body.guise], user=body.lead, percent=dec(50))
    drawing = body.drawing
    assert (drawing.number, drawing.height_mm) == (2, 300)
    assert Drawing.objects.get(number=1).height_mm == 600
    hole = drawing.holes.get(name="shoulder")
    assert (hole.y_mm, hole.z_mm) == (239, 30)
    assert drawing.parts.get(kind="torso").width_mm == 65
    body.guise.refresh_from_db()
    assert body.guise.scale == Decimal("0.500")
    # Wood by the cube; the head's wall halves with it, the cloth is weighed as it is.
    cloth = 240
    now = read_strings(body.guise).figure_g - cloth
    assert now == pytest.approx((whole.figure_g - cloth) / 8, rel=0.02)


def test_scale_out_of_reach_or_of_nothing_is_refused(body: Body):
    quill = body.role("Sister Quill", "", "habit")
    for guises, percent in (([body.guise], 5), ([body.guise], 100), ([], 50), ([quill], 50)):
        with pytest.raises(ValidationError):
            scale_guises(guises=guises, user=body.lead, percent=dec(percent))
    assert Drawing.objects.count() == 1


# Papers and pages


def test_string_chart_prints_every_length(body: Body):
    with pytest.raises(NothingToPrint):
        strings_paper(body.show, "A4")
    body.string()
    venue = add_venue(company=body.company, user=body.lead, name="The Lamp Loft")
    change_bridge(
        company=body.company, user=body.lead, venue=venue, version=None, bridge_mm=1750, **SEEN
    )
    text = " ".join(
        page.extract_text()
        for page in PdfReader(io.BytesIO(strings_paper(body.show, "A4").pdf())).pages
    )
    for row in strings_of(body).strings.rows:
        assert str(row.cut_mm) in text
    assert "The Lamp Loft" in text
    assert "before anyone goes up" in " ".join(text.split())


@pytest.mark.parametrize("more", [0, 9])
def test_page_reads_the_same_with_many_venues(
    body: Body, more: int, django_assert_num_queries: Any
):
    body.string()
    for n in range(1 + more):
        add_venue(company=body.company, user=body.lead, name=f"hall {n}")
        set_reach(company=body.company, user=body.lead, name=f"hand {n}", reach_mm=900 + n)
    client = client_of(body.lead)
    address = reverse("builds:strings", args=[body.guise.pk])
    client.get(address)
    with django_assert_num_queries(READS):
        client.get(address)


def test_control_form_keeps_what_was_typed_at_its_row(body: Body):
    body.string()
    client = client_of(body.lead)
    address = reverse("builds:control_edit", args=[body.guise.pk])
    form = client.get(address).context["form"]
    typed = {name: form[name].value() for name in form.fields}
    typed = {name: value for name, value in typed.items() if value not in (None, False)}
    answer = client.post(address, {**typed, "6-name": "toe bar", "6-z_mm": "77", "safety": "0"})
    assert answer.status_code == 422
    said = answer.content.decode()
    assert "toe bar" in said
    assert "Say which hole of the figure it goes to." in said
    assert "The safety factor is 1 or more." in said
    answer = client.post(address, {**typed, "tilt_deg": "12"})
    assert answer.status_code == 302
    assert Control.objects.get().tilt_deg == 12
    assert Control.objects.get().strings.count() == 5


def test_readers_look_leads_write_and_strangers_find_nothing(body: Body):
    body.string()
    venue = add_venue(company=body.company, user=body.lead, name="Saltmarsh Hall")
    maker = client_of(person(body.company, Role.MAKER, "Tomas"))
    stranger = client_of(person(CompanyFactory(name="Quay Street Puppets"), Role.LEAD))
    look = [
        reverse("builds:strings", args=[body.guise.pk]),
        reverse("builds:bridge", args=[body.show.pk]),
        reverse("builds:venue_list", args=[body.company.pk]),
        reverse("builds:scale", args=[body.show.pk]),
        reverse("builds:sheet_strings", args=[body.show.pk]),
    ]
    assert [maker.get(url).status_code for url in look] == [200] * 5
    assert [stranger.get(url).status_code for url in look] == [404] * 5
    write = [
        reverse("builds:string_set", args=[body.guise.pk]),
        reverse("builds:reach_set", args=[body.guise.pk]),
        reverse("builds:bridge_change", args=[body.show.pk]),
        reverse("builds:venue_add", args=[body.company.pk]),
        reverse("builds:venue_bridge", args=[venue.pk]),
        reverse("builds:venue_strike", args=[venue.pk]),
        reverse("builds:scale_take", args=[body.show.pk]),
    ]
    assert [maker.post(url).status_code for url in write] == [403] * 7
    assert [stranger.post(url).status_code for url in write] == [404] * 7
