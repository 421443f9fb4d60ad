"""Undo, redo and pasting in the grid, by keys, by buttons, and without JavaScript."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from company.models import Role
from scenes.models import Appearance, Guise
from tests.browser.test_grid import cell, grid_of, press, worn
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac


@pytest.fixture
def show(live_server):
    return lay_salt_almanac(title="The Salt Almanac")


@pytest.fixture
def lead(show):
    return person(show.company, Role.LEAD)


@pytest.fixture
def heron(show):
    return Guise.objects.get(character__show=show, character__name="The Heron")


def paste(page: Page, text: str) -> None:
    """What a spreadsheet's copy and Ctrl+V do to the element in focus."""
    page.evaluate(
        """(text) => {
            const data = new DataTransfer();
            data.setData("text/plain", text);
            document.activeElement.dispatchEvent(new ClipboardEvent("paste",
                { clipboardData: data, bubbles: true, cancelable: true }));
        }""",
        text,
    )


def test_keys_undo_and_make_again_in_order(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    undo, redo = page.locator("#undo-button"), page.locator("#redo-button")
    expect(undo).to_have_attribute("aria-disabled", "true")

    cell(page, heron, 1).focus()
    press(page, "f", "ArrowRight", "s", "ArrowRight")
    expect(cell(page, heron, 2)).to_have_text("standing")
    expect(undo).to_have_text("Undo The Heron in scene 2")
    press(page, "Control+z", "Control+z")
    expect(cell(page, heron, 1)).to_have_text("nothing")
    expect(cell(page, heron, 2)).to_have_text("nothing")
    expect(page.locator("#announce")).to_contain_text("Undone: The Heron in scene 1.")
    expect(redo).to_have_text("Redo The Heron in scene 1")
    expect(cell(page, heron, 3)).to_be_focused()
    press(page, "Control+Shift+Z", "Control+y")
    expect(cell(page, heron, 2)).to_have_text("standing")
    assert [worn(heron, label) for label in "12"] == [["flying"], ["standing"]]
    # Typed and at once undone: the letter goes first.
    press(page, "f", "Control+z")
    expect(redo).to_have_text("Redo The Heron in scene 3")
    expect(undo).to_have_text("Undo The Heron in scene 2")
    expect(cell(page, heron, 3)).to_have_text("nothing")
    assert worn(heron, "3") == []


def test_buttons_undo_and_keep_the_focus(show, lead, heron, open_page, width, find_faults):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    cell(page, heron, 7).focus()
    press(page, "Delete")
    expect(cell(page, heron, 7)).to_have_text("nothing")

    page.locator("#undo-button").click()

    expect(cell(page, heron, 7).locator(".cloth")).to_have_count(2)
    expect(page.locator("#undo-button")).to_be_focused()
    expect(page.locator("#lede")).to_contain_text("12 figures")
    assert find_faults(page) == []
    page.locator("#redo-button").click()
    expect(cell(page, heron, 7)).to_have_text("nothing")


def test_somebody_elses_edit_is_said_and_stays(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    cell(page, heron, 1).focus()
    press(page, "f", "ArrowRight")
    expect(cell(page, heron, 1)).to_have_text("flying")
    Appearance.objects.filter(guise=heron, scene__label="1").update(copies=4)

    press(page, "Control+z")

    expect(page.get_by_role("alert")).to_contain_text("The Heron in scene 1 was changed")
    assert worn(heron, "1") == ["flying"]


def test_block_is_shown_before_it_is_put_in(show, lead, heron, open_page, width, find_faults):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    cell(page, heron, 1).focus()

    paste(page, "flying\tgrey veil\tflying 9-12\n\tapron")

    panel = page.locator("#plot-panel")
    expect(panel).to_contain_text("3 cells of the plot will be other than now")
    expect(panel).to_contain_text("New costumes: grey veil for The Heron.")
    expect(panel).to_contain_text("Row 1, column 3, ‘flying 9-12’: it leaves at 12")
    assert find_faults(page) == []
    assert worn(heron, "1") == []
    panel.get_by_role("button", name="Put in the rest").click()
    expect(panel).to_be_hidden()
    expect(cell(page, heron, 2)).to_have_text("grey veil")
    assert worn(heron, "1") == ["flying"]
    expect(cell(page, heron, 1)).to_be_focused()
    press(page, "Control+z")
    expect(cell(page, heron, 2)).to_have_text("nothing")
    assert worn(heron, "1") == []


def test_block_is_left_alone_with_escape(show, lead, heron, open_page):
    page = open_page(lead)
    page.goto(grid_of(show))
    cell(page, heron, 1).focus()
    paste(page, "flying")
    expect(page.locator("#plot-panel")).to_be_visible()

    press(page, "Escape")

    expect(page.locator("#plot-panel")).to_be_hidden()
    expect(cell(page, heron, 1)).to_be_focused()
    assert worn(heron, "1") == []


def test_all_of_it_goes_without_scripts(show, lead, heron, open_page, width):
    page = open_page(lead, width=width, javascript=False)
    page.goto(grid_of(show))
    page.get_by_role("link", name="Paste a block").click()
    page.get_by_label("Cells as they come").fill("\t1\t2\nThe Heron\tflying\tstanding")
    page.get_by_role("button", name="See what it will do").click()
    expect(page.get_by_text("2 cells of the plot will be")).to_be_visible()
    page.get_by_role("button", name="Put it in the plot").click()
    expect(page).to_have_url(re.compile(f"{grid_of(show)}$"))
    assert worn(heron, "2") == ["standing"]

    page.get_by_role("button", name="Undo a block pasted").click()
    expect(page.locator("#messages")).to_contain_text("Undone: a block pasted: 2 added.")
    assert worn(heron, "2") == []
    page.get_by_role("button", name="Redo a block pasted").click()
    assert worn(heron, "2") == ["standing"]
