"""Scenes and roles as a maker types them: quick lines, open lines, dragging, sketches, files."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from company.services.companies import start_company
from scenes.models import Appearance, Costume, Scene, Sketch
from scenes.services.exports import export_plot
from scenes.services.roles import add_role
from scenes.services.scenes import add_scene
from scenes.services.shows import start_show
from tests.browser.conftest import DESK, PHONE

SCENES = (
    ("The tide table", "4"),
    ("The pier", "4:30"),
    ("The ferry", "5"),
    ("Kitchen", "6.5"),
    ("Storm", "5"),
    ("Thirty years on", "6"),
    ("The heron", "5"),
    ("Customs shed", "6"),
    ("Night crossing", "7"),
    ("Salt", "5"),
)
ROLES = (
    ("Jory Tarrow", "at nine", "string", "smock, oilskin"),
    ("Captain Pell", "", "string", "uniform, drowned"),
    ("The Heron", "", "rod", "flying, standing"),
    ("Bartle, ferryman", "", "string", "apron, tarpaulin"),
    ("Sister Quill", "", "hand", "habit"),
    ("The gulls", "three on one control", "string", "plain"),
)
SAID = "Ten scenes run 54 minutes. Six roles and ten costumes."
# Each width and both kinds of page, without trying every one with every other.
WAYS = pytest.mark.parametrize(
    ("width", "javascript"), [(DESK, True), (PHONE, False)], ids=["desk", "phone, no script"]
)
LONG = "The Extraordinarily Long Crossing to Oban"


@pytest.fixture
def lead(live_server):
    _, user = start_company(name="Driftmoor Figure Theatre", lead_name="Ines")
    return user


@pytest.fixture
def show(lead):
    company = lead.memberships.get().company
    show = start_show(company=company, user=lead, title="The Salt Almanac")
    for n, (title, minutes) in enumerate(SCENES[:5], 1):
        length_s = int(float(minutes.replace(":3", ".5")) * 60)
        add_scene(show=show, user=lead, label=str(n), title=title, act="1", length_s=length_s)
    for name, guise, kind, costumes in ROLES[:3]:
        add_role(
            show=show, user=lead, name=name, guise=guise, kind=kind, costumes=costumes.split(",")
        )
    return show


def labels(show):
    return list(
        Scene.objects.filter(draft__show=show).order_by("position").values_list("label", flat=True)
    )


def open_list(page, show):
    page.goto(f"/shows/{show.pk}/scenes/")


@WAYS
def test_ten_scenes_and_six_roles_are_typed_from_nothing(lead, open_page, width, javascript):
    page = open_page(lead, width, javascript)

    page.goto("/")
    page.get_by_role("link", name="Begin the first show").click()
    page.get_by_label("Title").fill("The Salt Almanac")
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#lede")).to_contain_text("Nothing is written yet")
    new = page.locator("#scene-new")
    for n, (title, minutes) in enumerate(SCENES, 1):
        expect(new.get_by_label("No.")).to_have_value(str(n))
        if javascript and n > 1:
            # The line takes the focus a moment after it is there: who types sooner is pulled away.
            expect(new.get_by_label("Scene")).to_be_focused()
        new.get_by_label("Scene").fill(title)
        new.get_by_label("Minutes").fill(minutes)
        new.get_by_label("Minutes").press("Enter")
    expect(new.get_by_label("No.")).to_have_value("11")
    if javascript:
        expect(new.get_by_label("Scene")).to_be_focused()
    new = page.locator("#role-new")
    for n, (name, guise, kind, costumes) in enumerate(ROLES, 1):
        new.get_by_label("Role").fill(name)
        new.get_by_label("Guise").fill(guise)
        new.get_by_label("Kind").select_option(kind)
        new.get_by_label("Costumes").fill(costumes)
        new.get_by_label("Costumes").press("Enter")
        expect(page.locator(".role")).to_have_count(n)
        if javascript:
            expect(new.get_by_label("Role")).to_be_focused()

    expect(page.locator("#lede")).to_have_text(SAID)


def test_lines_are_typed_without_touching_the_mouse(lead, show, open_page):
    page = open_page(lead)
    open_list(page, show)

    page.locator("#scene-new-title").focus()
    for title, minutes in SCENES[5:8]:
        expect(page.locator("#scene-new-title")).to_be_focused()
        expect(page.locator("#scene-new-title")).to_have_value("")
        page.keyboard.type(title)
        page.keyboard.press("Tab")
        page.keyboard.type(minutes)
        page.keyboard.press("Enter")
        expect(page.locator("#announce")).to_contain_text(title)

    expect(page.locator("#scene-new-title")).to_be_focused()
    assert labels(show) == [str(n) for n in range(1, 9)]


def test_line_refused_keeps_what_was_typed_and_says_what_is_wrong(
    lead, show, open_page, width, find_faults
):
    page = open_page(lead, width)
    open_list(page, show)
    new = page.locator("#scene-new")

    new.get_by_label("No.").fill("2")
    new.get_by_label("Scene").fill(LONG)
    new.get_by_label("Minutes").fill("soon")
    new.get_by_role("button", name="Add").click()

    told = new.get_by_role("alert")
    expect(told).to_be_focused()
    expect(told).to_contain_text("There is a scene 2 already, 'The pier'.")
    expect(told).to_contain_text("'soon' is not a number of minutes")
    expect(new.get_by_label("Scene")).to_have_value(LONG)
    assert find_faults(page) == []


def test_scene_is_edited_in_its_line_and_focus_comes_back(lead, show, open_page, width):
    page = open_page(lead, width)
    open_list(page, show)

    page.get_by_role("link", name="Edit scene 3").click()
    row = page.locator(".open-row")
    expect(row.get_by_label("Scene")).to_be_focused()
    row.get_by_label("Scene").fill(LONG)
    row.get_by_label("Minutes").fill("9")
    row.get_by_role("button", name="Save").click()

    expect(page.get_by_role("link", name="Edit scene 3")).to_be_focused()
    expect(page.locator(".scene-title", has_text=LONG)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@WAYS
def test_scene_too_short_for_an_exit_asks(lead, show, open_page, width, javascript, find_faults):
    costume = Costume.objects.get(name="smock")
    pier = Scene.objects.get(label="2")
    row = Appearance.objects.create(
        draft=show.current_draft, scene=pier, guise=costume.guise, costume=costume, leaves_s=250
    )
    page = open_page(lead, width, javascript)
    open_list(page, show)

    page.get_by_role("link", name="Edit scene 2").click()
    page.locator(".open-row").get_by_label("Minutes").fill("4")
    page.get_by_role("button", name="Save").click()
    asked = page.locator(".open-row .warn")
    expect(asked).to_contain_text("Jory Tarrow at nine in smock leaves at 4:10")
    if javascript:
        assert find_faults(page) == []
    asked.get_by_label("They follow the scene").check()
    page.get_by_role("button", name="Save").click()

    expect(page.locator(".open-row")).to_have_count(0)
    row.refresh_from_db()
    assert row.leaves_s is None


@WAYS
def test_scenes_move_by_arrows_and_go_when_told(lead, show, open_page, width, javascript):
    page = open_page(lead, width, javascript)
    open_list(page, show)

    page.get_by_role("button", name="Scene 3 up").click()
    expect(page.locator(".scene-title").nth(1)).to_have_text("The ferry")
    if javascript:
        expect(page.get_by_role("button", name="Scene 3 up")).to_be_focused()
    page.get_by_role("link", name="Edit scene 3").click()
    page.get_by_label("Move it").select_option(label="after 5 Storm")
    page.get_by_role("button", name="Move", exact=True).click()
    expect(page.locator(".scene-title").nth(4)).to_have_text("The ferry")
    page.get_by_role("link", name="Edit scene 1").click()
    page.get_by_role("link", name="Take scene 1 out").click()
    expect(page.locator(".open-row")).to_contain_text("Nobody is on in it.")
    page.get_by_role("button", name="Take it out").click()

    expect(page.locator(".open-row")).to_have_count(0)
    expect(page.locator(".scene-title")).to_have_count(4)
    assert labels(show) == ["2", "4", "5", "3"]


def test_scene_is_dragged_by_its_grip(lead, show, open_page):
    page = open_page(lead)
    open_list(page, show)

    rows = page.locator("tr[data-drag-key]")
    grip = rows.nth(0).locator("[data-grip]")
    target = rows.nth(3).bounding_box()
    grip.drag_to(rows.nth(3), target_position={"x": 60, "y": target["height"] - 4})

    expect(page.locator(".scene-title").nth(3)).to_have_text("The tide table")
    assert labels(show) == ["2", "3", "4", "1", "5"]


def test_role_gets_one_more_guise_and_says_why_it_stays(lead, show, open_page, width, find_faults):
    costume = Costume.objects.get(name="smock")
    scene = Scene.objects.get(label="2")
    Appearance.objects.create(
        draft=show.current_draft, scene=scene, guise=costume.guise, costume=costume
    )
    page = open_page(lead, width)
    open_list(page, show)

    page.get_by_role("link", name="One more guise of Jory Tarrow").click()
    line = page.locator(".guise-fields")
    expect(line.get_by_label("Guise")).to_be_focused()
    line.get_by_label("Guise").fill("at sixty, stooped and out of breath")
    line.get_by_label("Costumes").fill("pilot coat, nightshirt")
    line.get_by_role("button", name="Add").click()
    expect(page.get_by_role("link", name="at sixty, stooped and out of breath")).to_be_focused()
    page.get_by_role("link", name="Edit Jory Tarrow").click()
    page.get_by_role("link", name="Take Jory Tarrow away").click()

    expect(page.locator("#roles")).to_contain_text("The plot has it in scene 2.")
    assert find_faults(page) == []


def drawing():
    out = io.BytesIO()
    Image.new("RGB", (300, 400), (205, 182, 143)).save(out, "PNG")
    return {"name": "jory.png", "mimeType": "image/png", "buffer": out.getvalue()}


@WAYS
def test_sketch_is_sent_and_chosen(lead, show, open_page, width, javascript, find_faults):
    guise = Costume.objects.get(name="smock").guise
    page = open_page(lead, width, javascript)
    page.goto(guise.get_absolute_url())

    page.get_by_label("Sketch or photo of it").set_input_files(drawing())
    if javascript:
        expect(page.locator("#sketch-preview")).to_be_visible()
    page.get_by_label("A few words").fill("the stoop")
    page.get_by_role("button", name="Send it in").click()
    expect(page.locator(".sketch-list")).to_contain_text("only you see it")
    page.get_by_role("button", name="Choose it").click()

    chosen = page.get_by_alt_text("The chosen sketch of Jory Tarrow at nine")
    expect(chosen).to_be_visible()
    assert chosen.evaluate("image => image.naturalWidth") == 300
    assert Sketch.objects.get().is_chosen
    if javascript:
        assert find_faults(page) == []


def test_sketch_is_taken_away_only_after_a_yes(lead, show, open_page):
    guise = Costume.objects.get(name="smock").guise
    page = open_page(lead)
    page.goto(guise.get_absolute_url())
    page.get_by_label("Sketch or photo of it").set_input_files(drawing())
    page.get_by_role("button", name="Send it in").click()

    page.get_by_role("button", name="Take it away").click()
    page.get_by_role("button", name="No, leave it").click()
    assert Sketch.objects.exists()
    page.get_by_role("button", name="Take it away").click()
    page.get_by_role("button", name="Yes, do it").click()

    expect(page.locator(".sketch-list")).to_have_count(0)
    assert not Sketch.objects.exists()


def test_guise_and_costumes_are_edited_in_their_places(lead, show, open_page, width, find_faults):
    guise = Costume.objects.get(name="smock").guise
    page = open_page(lead, width)
    page.goto(guise.get_absolute_url())

    page.get_by_role("link", name="Edit what it is").click()
    facts = page.locator("#guise-facts")
    expect(facts.get_by_label("Name")).to_be_focused()
    facts.get_by_label("Height", exact=False).first.fill("48 cm")
    facts.get_by_label("Three words of character").fill("quick, cold, hungry")
    assert find_faults(page) == []
    facts.get_by_role("button", name="Save").click()
    expect(page.locator("#lede")).to_contain_text("of 480 mm, quick, cold, hungry")

    page.get_by_role("link", name="Edit smock").click()
    line = page.locator(".costume-list form")
    line.get_by_label("Hours to sew").fill("8")
    line.get_by_label("moss").check()
    line.get_by_label("This one matters").check()
    assert find_faults(page) == []
    line.get_by_role("button", name="Save").click()
    expect(page.locator("#guise-costumes")).to_contain_text("this one matters")
    assert Costume.objects.get(name="smock").tint == 6


@WAYS
def test_files_go_out_and_come_in(lead, show, open_page, width, javascript, find_faults):
    page = open_page(lead, width, javascript)
    page.goto(f"/shows/{show.pk}/files/")
    with page.expect_download() as caught:
        page.get_by_role("link", name="scenes.csv").click()
    assert caught.value.suggested_filename == "the-salt-almanac-draft-1-scenes.csv"

    files = export_plot(show)
    page.get_by_text("Or single files").click()
    for label, name in (("Scenes", "scenes.csv"), ("Plot", "plot.csv")):
        upload = {"name": name, "mimeType": "text/csv", "buffer": files[name]}
        page.locator("form").get_by_label(re.compile(f"^{label}")).set_input_files(upload)
    page.get_by_role("button", name="Bring it in").click()

    expect(page.get_by_role("status").first).to_contain_text("Draft 2 is written")
    page.goto(f"/shows/{show.pk}/files/")
    page.get_by_text("Or single files").click()
    bad = {"name": "s.csv", "mimeType": "text/csv", "buffer": b"scene,minutes\n1,x\n1,4\n"}
    page.locator("form").get_by_label(re.compile("^Scenes")).set_input_files(bad)
    page.locator("form").get_by_label(re.compile("^Plot")).set_input_files(bad)
    page.get_by_role("button", name="Bring it in").click()
    expect(page.get_by_role("alert")).to_contain_text("s.csv, line 2")
    if javascript:
        assert find_faults(page) == []


@pytest.mark.parametrize(
    "path", ["/?all", "/company/{c}/shows/new/", "/shows/{s}/edit/", "/shows/{s}/scenes/"]
)
def test_pages_hold_no_faults_and_nothing_sticks_out(
    lead, show, open_page, width, find_faults, path
):
    add_role(show=show, user=lead, name=LONG, guise=LONG, costumes=[LONG, "x" * 40])
    add_scene(show=show, user=lead, label="3aaaaaaaaaaaaaaaaaaa", title="W" * 40, length_s=60)
    page = open_page(lead, width)

    page.goto(path.format(c=show.company_id, s=show.pk))

    assert find_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_wrong_dates_of_a_show_are_told_beside_their_fields(lead, open_page, width, find_faults):
    page = open_page(lead, width)
    page.goto(f"/company/{lead.memberships.get().company_id}/shows/new/")

    page.get_by_label("Title").fill("The Salt Almanac")
    page.get_by_label("First day").fill("2026-09-16")
    page.get_by_label("Opening").fill("2024-09-16")
    page.get_by_role("button", name="Begin it").click()

    expect(page.get_by_role("alert")).to_contain_text("must come before the opening")
    expect(page.get_by_label("This show has opened already")).to_be_visible()
    assert find_faults(page) == []
