"""Every sort of wrong input once, through the page or command that takes it.

Each is answered with a sentence that names the field or the line, saves nothing, and leaves a way
on: the form with what was typed in it, or the page to go to. What each form refuses in detail is
tried beside its own tests.
"""

from __future__ import annotations

import io
from html import unescape
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from builds.services.plans import make_plan
from company.models import Craft, Hours
from scenes.services.shows import start_show
from tests.laid import Laid, Twins, read_rows, say_changed
from tests.ways import address_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("laid_media")]


@pytest.fixture
def at(laid: Twins) -> Laid:
    return laid.ours


@pytest.fixture
def lead(at: Laid, client: Client) -> Client:
    client.force_login(at.lead)
    return client


def refused(client: Client, address: str, values: dict[str, Any], *words: str) -> str:
    """Send a form that is wrong: 422, the words, nothing saved. Gives the page."""
    before = read_rows()
    answer = client.post(address, values)
    page: str = answer.content.decode()
    assert answer.status_code == 422
    assert [sentence for sentence in words if sentence not in page] == []
    assert say_changed(before, read_rows()) == []
    return page


def cell(at: Laid, **values: str) -> dict[str, str]:
    smock = at.costume(at.jory, "smock").pk
    return {"new-costume": str(smock), **{f"new-{name}": v for name, v in values.items()}}


def test_leaves_before_it_enters(at, lead):
    address = reverse("scenes:plot_cell", args=[at.show.pk, at.jory.pk, at.scene("6").key])
    page = refused(lead, address, cell(at, enters="4", leaves="2"), "leaves")
    assert 'value="4"' in page
    assert 'value="2"' in page


def test_costume_of_another_guise(at, lead):
    address = reverse("scenes:plot_cell", args=[at.show.pk, at.jory.pk, at.scene("6").key])
    feathers = str(at.costume(at.heron, "feathers").pk)
    words = "That is not one of the costumes of Jory Tarrow at nine."
    refused(lead, address, cell(at, costume=feathers), words)


def test_scene_label_that_is_taken(at, lead):
    values = {"label": "3", "title": "The ferry again", "length_s": "4"}
    page = refused(lead, address_of("scenes:scene_add", at), values, "There is a scene 3 already")
    assert 'value="The ferry again"' in page


def test_scene_made_shorter_than_an_exit_in_it_asks_what_becomes_of_it(at, lead):
    at.wear(at.heron, "7", "feathers", enters_s=60, leaves_s=240)
    address = reverse("scenes:scene_edit", args=[at.show.pk, at.scene("7").key])
    values = {"label": "7", "length_s": "2", "gap_s": "0", "version": at.scene("7").version}
    page = refused(lead, address, values, "follow the scene")
    assert page.count('name="exits"') == 2
    assert lead.post(address, values | {"exits": "follow"}).status_code == 302


def test_opening_before_the_first_day_and_a_date_in_the_past(at, lead):
    values = {"title": "Ferry Songs", "first_day": "2026-06-02", "opening": "2026-06-01"}
    address = address_of("scenes:show_new", at)
    refused(lead, address, values, "must come before the opening")
    page = refused(lead, address, {"title": "Ferry Songs", "opening": "2026-03-03"}, "3 March 2026")
    assert 'name="has_opened"' in page  # the way on: it may have opened already


def test_everything_wrong_with_a_show_is_said_at_once(at, lead):
    values = {
        "title": "",
        "opening": "soon",
        "performers": "many",
        "bridge_mm": "high",
        "crossing_s": "-1",
    }
    page = refused(
        lead, address_of("scenes:show_new", at), values, "A show needs a title", "not a day"
    )
    assert page.count("aria-invalid") >= 5


def files(scenes: bytes, plot: bytes) -> dict[str, Any]:
    return {
        "scenes": ContentFile(scenes, name="scenes.csv"),
        "plot": ContentFile(plot, name="plot.csv"),
    }


SCENES = b"scene,minutes\n3,5\n"


def test_file_with_an_unknown_scene_and_a_wrong_number_names_the_lines(at, lead):
    plot = b"scene,character,guise,costume,enters\n9,Jory,,smock,\n3,Jory,,smock,soon\n"
    page = refused(
        lead, address_of("scenes:plot_import", at), files(SCENES, plot), "plot.csv", "soon"
    )
    assert "9" in page


def test_ten_megabytes_of_rubbish(at, lead):
    rubbish = bytes(range(256)) * 4 * 10 * 1024
    refused(lead, address_of("scenes:plot_import", at), files(rubbish, rubbish), "scenes.csv")


def test_wrong_encoding(at, lead):
    plot = "scene,character,guise,costume\n3,Jory,,fur Möwe\n".encode("latin-1")
    refused(lead, address_of("scenes:plot_import", at), files(SCENES, plot), "UTF-8")


@pytest.mark.parametrize("name", ["scenes:sketch_add", "builds:figure_photo_add"])
def test_picture_that_is_none(name, at, lead):
    values = {"file": ContentFile(b"not a picture" * 1000, name="head.png"), "words": "in profile"}
    page = refused(lead, address_of(name, at), values, "PNG")
    assert 'value="in profile"' in page


def test_hours_that_cannot_be(at, lead):
    address = reverse("company:hours_new", args=[at.tomas.pk])
    values = {"from_date": "2026-05-01", "day_0": "13-9", "day_1": "whenever"}
    page = refused(lead, address, values, 'value="13-9"', 'value="whenever"')
    assert page.count("aria-invalid") >= 2


def test_hours_booked_on_a_day_to_come(at, lead):
    values = {"hours": "1", "day": str(at.day(1))}
    refused(lead, address_of("builds:work_add", at), values, "still to come")


def test_command_says_every_line_and_saves_nothing(at, tmp_path, capsys):
    before = read_rows()
    scenes, plot = tmp_path / "scenes.csv", tmp_path / "plot.csv"
    scenes.write_text("scene,minutes\n3,5\n3,six\n")
    plot.write_text("scene,character,guise,costume,enters,leaves\n8,Jory,,smock,4,2\n")
    names = {"scenes": str(scenes), "plot": str(plot), "company": at.company.name}
    with pytest.raises((CommandError, SystemExit)):
        call_command("import_plot", at.show.title, stderr=io.StringIO(), **names)
    assert say_changed(before, read_rows()) == []


# A plan that cannot exist says why, and where to put it right


def plan_page(at: Laid, client: Client) -> str:
    client.post(address_of("builds:plan_make", at))
    page: str = client.get(address_of("builds:wall_plan", at)).content.decode()
    return page


def test_nobody_with_the_craft_names_craft_and_stage(at, lead):
    Craft.objects.get(company=at.company, name="sew").makers.clear()
    plan = make_plan(show=at.show, user=at.lead)
    assert plan.status == "none"
    assert [why for why in plan.reasons if "sew" in why] != []
    page = plan_page(at, lead)
    assert all(why in unescape(page) for why in plan.reasons)
    assert reverse("company:detail", args=[at.company.pk]) in page


def test_no_hours_at_all_says_where_to_write_them(at, lead):
    Hours.objects.filter(maker__company=at.company).delete()
    page = plan_page(at, lead)
    assert "Nobody has hours from now on" in page
    assert reverse("company:detail", args=[at.company.pk]) in page


def test_no_figures_yet_says_what_comes_first(laid, lead):
    show = start_show(company=laid.ours.company, user=laid.ours.lead, title="Ferry Songs")
    lead.post(reverse("builds:plan_make", args=[show.pk]))
    page = lead.get(reverse("builds:wall_plan", args=[show.pk])).content.decode()
    assert "take the count to the bench first" in page
    assert reverse("builds:bench", args=[show.pk]) in page


def test_body_that_cannot_be_says_all_of_it_and_keeps_what_was_typed(at, lead):
    part = {
        "shape": "ellipsoid", "top_x_mm": "0", "top_y_mm": "500", "bottom_x_mm": "0",
        "bottom_y_mm": "500", "width_mm": "0", "depth_mm": "-4", "fullness_pct": "80",
        "made_of": "wood", "material": "lime", "grain": "along", "hardware_g": "-2",
    }  # fmt: skip
    words = ("lie on one point", "More than nought", "weighs nought or more")
    page = refused(lead, address_of("builds:part_edit", at), part, *words)
    assert 'value="-4"' in page
    stops = {"head_share_pct": "50", "knee-back": "12", "elbow-forward": "-3"}
    words = ("The knee would be stopped 12° forward of the drawn pose", "The elbow would be")
    page = refused(lead, address_of("builds:hanging_set", at), stops, *words)
    assert 'value="12"' in page


def test_bridge_is_not_raised_before_rail_and_edge_are_seen_to(at, lead):
    values = {"bridge_mm": "1800", "rail_mm": "0"}
    words = ("Say how high the guard rail is", "Name who is competent")
    page = refused(lead, address_of("builds:bridge_change", at), values, *words)
    assert 'value="1800"' in page
