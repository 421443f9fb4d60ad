"""The main way through, once from end to end: from the one-time link to a printed bench sheet.

By keyboard alone at both widths, and once more wholly without scripts: every press below is Enter
on the link or button that has the focus.
"""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from builds.models import Plan, Step
from company.models import Company
from company.services.companies import start_company
from company.services.sign_in import make_link
from tests.browser.conftest import DESK, PHONE

SCENES = (("The pier", "5"), ("Storm", "7"), ("The heron", "6"))
ROLES = (("Gulls", "", "hand", "plain"), ("Sister Quill", "", "hand", "habit, oilskin"))
WORKING_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")


def enter(place: Locator) -> None:
    """Press Enter on a link or button, as somebody without a mouse does."""
    place.first.press("Enter")


def link(page: Page, name: str | re.Pattern[str]) -> None:
    enter(page.get_by_role("link", name=name))


def button(page: Page, name: str | re.Pattern[str]) -> None:
    enter(page.get_by_role("button", name=name))


def place(page: Page, word: str) -> None:
    enter(page.get_by_role("navigation", name="Places of the show").get_by_role("link", name=word))


def heading(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def come_in(page: Page, token: str) -> None:
    page.goto(f"/in/{token}/")
    button(page, "Come in")
    heading(page, "Shows")


def begin_a_show(page: Page) -> None:
    link(page, "Begin the first show")
    page.get_by_label("Title").fill("The Salt Almanac")
    page.get_by_label("First day").fill("2026-03-02")
    page.get_by_label("Opening").fill("2026-11-20")
    page.get_by_label("Opening").press("Enter")
    heading(page, "Scenes and roles")


def settled(page: Page) -> None:
    """A line swapped in takes the focus a moment later: who types sooner is pulled away."""
    expect(page.locator(".htmx-request, .htmx-swapping, .htmx-settling")).to_have_count(0)


def write_scenes_and_roles(page: Page) -> None:
    for number, (title, minutes) in enumerate(SCENES, 1):
        new = page.locator("#scene-new")
        expect(new.get_by_label("No.")).to_have_value(str(number))
        settled(page)
        new.get_by_label("Scene").fill(title)
        new.get_by_label("Minutes").fill(minutes)
        new.get_by_label("Minutes").press("Enter")
    expect(page.locator("#scene-new").get_by_label("No.")).to_have_value("4")
    settled(page)
    for number, (name, guise, kind, costumes) in enumerate(ROLES, 1):
        new = page.locator("#role-new")
        new.get_by_label("Role").fill(name)
        new.get_by_label("Guise").fill(guise)
        new.get_by_label("Kind").select_option(kind)
        new.get_by_label("Costumes").fill(costumes)
        new.get_by_label("Costumes").press("Enter")
        expect(page.locator(".role")).to_have_count(number)
        settled(page)


def choose_sketches(page: Page) -> None:
    """A sketch for each guise: nothing is drawn in full before one is chosen."""
    for name, *_ in ROLES:
        place(page, "Scenes and roles")
        link(page, re.compile(f"^{name}"))
        page.get_by_label("Sketch or photo of it").set_input_files(
            {"name": "sketch.png", "mimeType": "image/png", "buffer": drawing()}
        )
        button(page, "Send it in")
        expect(page.get_by_text("The sketch is kept")).to_be_attached()
        button(page, "Choose it")
        expect(page.get_by_text("The chosen sketch")).to_be_visible()


def drawing() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 80), "tan").save(out, "PNG")
    return out.getvalue()


def write_the_plot_by_keys(page: Page) -> None:
    """Letters pick costumes; the sentence and the count follow without the page loading anew."""
    place(page, "Costume plot")
    link(page, re.compile("grid"))
    expect(page.get_by_role("grid")).to_be_visible()
    page.locator("#plot-grid [tabindex='0']").focus()
    for key in ("p", "Shift+ArrowRight", "ArrowDown", "Home", "h", "ArrowRight", "o"):
        page.keyboard.press(key)
    page.keyboard.press("ArrowRight")
    expect(page.locator("#lede")).to_contain_text("This draft needs 3 figures for 2 roles.")
    expect(page.locator("#plot-total")).to_have_text("3")


def write_the_plot_by_forms(page: Page) -> None:
    """Without scripts each cell is a link to a form of its own, which comes back to the cell."""
    place(page, "Costume plot")
    link(page, re.compile("grid"))
    for row, column, costume in (
        (0, 0, "plain"),
        (0, 1, "plain"),
        (1, 0, "habit"),
        (1, 1, "oilskin"),
    ):
        cells = page.locator("#plot-grid tbody tr").nth(row).get_by_role("link")
        enter(cells.nth(column + 1))
        page.get_by_role("radio", name=costume).check()
        button(page, "Put it in the plot")
    expect(page.locator("#lede")).to_contain_text("This draft needs 3 figures for 2 roles.")


def take_to_the_bench(page: Page) -> None:
    link(page, "See it as tracks")
    link(page, "To the bench")
    heading(page, "To the bench")
    button(page, "Take it all to the bench")
    expect(page.locator("#messages")).to_contain_text("new")
    expect(page.locator("#lede")).not_to_contain_text("needs 3")


def say_who_comes(page: Page) -> None:
    """The lead's crafts and hours, and a helper's, since a toile is fitted by two."""
    place(page, "Company")
    link(page, "Ines")
    link(page, "Crafts and marks")
    every_craft(page)
    button(page, "Save")
    link(page, "Write the hours")
    write_hours(page)
    place_of_company(page)
    link(page, "Add a maker")
    page.get_by_label("Name").fill("Tomas")
    every_craft(page)
    button(page, "Add, and on to the hours")
    write_hours(page)


def place_of_company(page: Page) -> None:
    page.goto(f"/company/{Company.objects.get().pk}/")


def every_craft(page: Page) -> None:
    for box in page.get_by_role("group", name="Crafts").get_by_role("checkbox").all():
        box.check()


def write_hours(page: Page) -> None:
    heading(page, re.compile("Hours of"))
    for day in WORKING_DAYS:
        page.get_by_label(day).fill("9-13, 14-17")
    button(page, "Save the hours")
    expect(page.locator("#messages")).to_contain_text("are saved")


def make_a_plan_and_pin_it_up(page: Page) -> None:
    page.goto("/")
    place(page, "Wall plan")
    expect(page.locator("#lede")).to_contain_text("There is no plan yet")
    button(page, "Make the first plan")
    expect(page.locator("#lede")).to_contain_text("everything is ready to play on")
    expect(page.locator("#lede")).to_contain_text("in hand")
    link(page, "Pin up for helpers")
    button(page, "Pin it up")
    expect(page.locator("#messages")).to_contain_text("Pinned up")
    assert Plan.objects.get(is_pinned_up=True).status != "none"


def finish_a_step(page: Page) -> None:
    place(page, "Today")
    heading(page, re.compile("Today"))
    mine = page.locator(".bench-mine")
    enter(mine.get_by_role("link", name="Say how it went"))
    page.get_by_label("Took").fill("1½")
    button(page, "Finished")
    expect(page.locator("#messages")).to_contain_text("is finished")
    step = Step.objects.get(finished_at__isnull=False, work__minutes=90)
    assert step.begun_by.name == "Ines"


def print_a_sheet(page: Page) -> None:
    place(page, "Bench sheets")
    heading(page, "Bench sheets")
    found = page.get_by_role("table").get_by_role("link").all()
    papers = [one.get_attribute("href") for one in found]
    paper = next(href for href in papers if href and ".pdf" in href)
    answer = page.context.request.get(paper)
    assert answer.headers["content-type"] == "application/pdf"
    sheets = PdfReader(io.BytesIO(answer.body())).pages
    assert re.search(r"\b[GS][A-Z]*1\b", sheets[0].extract_text())


@pytest.mark.parametrize(
    ("width", "javascript"),
    [(DESK, True), (PHONE, True), (DESK, False)],
    ids=["desk", "phone", "no script"],
)
def test_from_the_link_to_the_printed_sheet(
    width: int, javascript: bool, open_page: Any, live_server: Any
):
    company, lead = start_company(name="Driftmoor Figure Theatre", lead_name="Ines")
    page = open_page(width=width, javascript=javascript)

    come_in(page, make_link(user=lead, company=company, by=None))
    begin_a_show(page)
    write_scenes_and_roles(page)
    choose_sketches(page)
    (write_the_plot_by_keys if javascript else write_the_plot_by_forms)(page)
    take_to_the_bench(page)
    say_who_comes(page)
    make_a_plan_and_pin_it_up(page)
    finish_a_step(page)
    print_a_sheet(page)
