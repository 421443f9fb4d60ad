"""The writing grid driven by keyboard, by touch, and without JavaScript."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from company import clock
from company.models import Role
from scenes.models import Appearance, Draft, Guise, Scene
from tests.factories import person
from tests.scenes.plots import lay_large_plot, lay_salt_almanac, put_on


@pytest.fixture
def show(live_server):
    return lay_salt_almanac(title="The Salt Almanac")


@pytest.fixture
def lead(show):
    return person(show.company, Role.LEAD)


@pytest.fixture
def heron(show):
    return Guise.objects.get(character__show=show, character__name="The Heron")


def grid_of(show):
    return f"/shows/{show.pk}/plot/write/"


def cell(page: Page, guise: Guise, column: int):
    return page.locator(f"#c{guise.pk}-{column}")


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def worn(guise: Guise, label: str) -> list[str]:
    rows = Appearance.objects.filter(
        draft=guise.character.show.current_draft, guise=guise, scene__label=label
    )
    return [str(row.costume or "undecided") for row in rows.order_by("pk")]


def test_grid_is_one_tab_stop_and_arrows_move_in_it(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    expect(page.get_by_role("grid")).to_be_visible()
    assert page.locator("#plot-grid [tabindex='0']").count() == 1
    assert page.locator("#plot-grid a:not([tabindex])").count() == 0
    first = Guise.objects.get(name="at nine")

    cell(page, first, 1).focus()
    press(page, "ArrowRight", "ArrowDown", "ArrowDown")
    expect(cell(page, Guise.objects.get(name="at sixty"), 2)).to_be_focused()
    press(page, "End")
    expect(cell(page, Guise.objects.get(name="at sixty"), 10)).to_be_focused()
    press(page, "Home", "ArrowLeft", "ArrowUp")
    expect(cell(page, Guise.objects.get(name="at thirty"), 1)).to_be_focused()
    press(page, "Control+End")
    last = Guise.objects.get(name="three on one control")
    expect(cell(page, last, 10)).to_be_focused()
    press(page, "Control+Home", "PageDown")
    expect(cell(page, last, 1)).to_be_focused()
    assert page.locator("#plot-grid [tabindex='0']").count() == 1
    press(page, "Shift+Tab")
    assert page.evaluate("document.activeElement.closest('#plot-grid')") is None
    press(page, "Tab")
    expect(cell(page, last, 1)).to_be_focused()


def test_letters_pick_a_costume_and_the_count_follows(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    expect(page.locator("#lede")).to_contain_text("This draft needs 12 figures for 6 roles.")

    cell(page, heron, 1).focus()
    press(page, "?")
    expect(cell(page, heron, 1)).to_have_text("undecided")
    expect(page.locator("#lede")).to_contain_text("This draft needs 13 figures")
    expect(page.locator("#plot-total")).to_have_text("13")
    expect(page.locator(f"#row-{heron.pk} .row-count")).to_contain_text("3")
    expect(page.locator("#announce")).to_contain_text("The Heron: 3 figures.")
    expect(cell(page, heron, 1)).to_be_focused()
    # Letters without a pause, committed by moving on; edits queue up and none is lost.
    press(page, "f", "l", "ArrowRight", "s", "t", "ArrowRight")
    press(page, "f", "ArrowUp", "ArrowDown", "s", "ArrowDown", "ArrowUp")
    expect(cell(page, heron, 1)).to_have_text("flying")
    expect(cell(page, heron, 2)).to_have_text("standing")
    expect(cell(page, heron, 3)).to_have_text("standing")
    expect(page.locator("#lede")).to_contain_text("12 figures")
    expect(cell(page, heron, 3)).to_be_focused()
    assert [worn(heron, label) for label in "123"] == [["flying"], ["standing"], ["standing"]]
    press(page, "z")
    expect(page.locator("[data-plot-hint]")).to_have_text("Nothing here begins with “z”.")
    press(page, "f", "Escape")
    page.wait_for_timeout(800)
    assert worn(heron, "3") == ["standing"]


def test_delete_empties_and_shift_arrow_carries_along(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))

    cell(page, heron, 7).focus()
    press(page, "Delete")
    expect(cell(page, heron, 7)).to_have_text("nothing")
    press(page, "f", "Shift+ArrowRight", "Shift+ArrowRight", "Shift+ArrowRight")
    expect(cell(page, heron, 10)).to_be_focused()
    expect(page.locator("[data-plot-hint]")).to_contain_text("Scene 10 left as before")
    expect(cell(page, heron, 9)).to_have_text("flying")

    assert [worn(heron, label) for label in ("7", "8", "9", "10")] == [
        ["flying"],
        ["flying"],
        ["flying"],
        ["standing"],
    ]


def test_enter_opens_the_panel_and_escape_comes_back(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))

    cell(page, heron, 10).focus()
    press(page, "Enter")
    panel = page.get_by_role("dialog", name="The Heron in scene 10, Salt")
    expect(panel).to_be_visible()
    expect(panel.get_by_role("radio", name="standing")).to_be_focused()
    press(page, "Escape")
    expect(panel).to_be_hidden()
    expect(cell(page, heron, 10)).to_be_focused()

    press(page, "Enter")
    panel.get_by_label("Enters at").first.fill("4")
    panel.get_by_label("Leaves at").first.fill("2")
    panel.get_by_label("How many").first.fill("1000")
    press(page, "Enter")
    expect(panel.get_by_role("alert")).to_contain_text("2 things to put right. Nothing was saved.")
    expect(panel.get_by_role("alert")).to_be_focused()
    panel.get_by_label("Enters at").first.fill("-1")
    panel.get_by_label("How many").first.fill("2")
    panel.get_by_label("Comes from").first.fill("left")
    panel.get_by_role("button", name="Put it in the plot").click()
    expect(panel).to_be_hidden()
    expect(cell(page, heron, 10)).to_be_focused()
    expect(cell(page, heron, 10)).to_contain_text("×2 -1–2")
    row = Appearance.objects.get(guise=heron, scene__label="10")
    assert (row.enters_s, row.leaves_s, row.copies, row.from_place) == (-60, 120, 2, "left")


def test_panel_puts_several_on_and_carries_along(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))

    cell(page, heron, 7).click()
    panel = page.get_by_role("dialog")
    more = panel.locator("details").filter(has_text="One more of").first
    more.locator("summary", has_text="One more of").click()
    more.get_by_role("radio", name="flying").check(force=True)
    more.get_by_label("Enters at").fill("3")
    panel.get_by_role("button", name="Put it in the plot").click()
    expect(panel).to_be_hidden()
    assert worn(heron, "7") == ["flying", "standing", "flying"]

    cell(page, heron, 10).click()
    panel.get_by_label("Carry it along the row").select_option("scene 8 Customs shed")
    panel.get_by_role("button", name="Carry along").click()
    expect(cell(page, heron, 8)).to_have_text("standing")
    expect(cell(page, heron, 10)).to_be_focused()
    press(page, "Enter")
    panel.get_by_role("button", name="Take it out of this scene").click()
    expect(cell(page, heron, 10)).to_have_text("nothing")


def test_frozen_draft_goes_on_as_the_next_without_a_page_load(show, lead, heron, open_page, width):
    Draft.objects.update(frozen_at=clock.now())
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    page.evaluate("window.isSamePage = true")
    expect(page.locator("#plot-draft")).to_have_text("draft 1")

    cell(page, heron, 1).focus()
    press(page, "f", "ArrowRight", "s", "ArrowLeft")

    expect(cell(page, heron, 2)).to_have_text("standing")
    expect(page.locator("#plot-draft")).to_have_text("draft 2")
    assert page.evaluate("window.isSamePage") is True
    assert Draft.objects.count() == 2


def test_second_editor_sees_both_texts_and_goes_on(show, lead, heron, open_page, width):
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    scene = Scene.objects.get(label="1")
    put_on(show.current_draft, heron, heron.costumes.get(name="standing"), "1", copies=3)

    cell(page, heron, 1).focus()
    press(page, "f", "Enter")

    panel = page.get_by_role("dialog", name="Somebody was quicker")
    expect(panel).to_contain_text("You wrote")
    expect(panel).to_contain_text("standing ×3")
    panel.get_by_role("link", name="Write on what stands now").click()
    expect(page.get_by_role("dialog", name=f"The Heron in scene 1, {scene.title}")).to_be_visible()
    press(page, "Escape")
    expect(cell(page, heron, 1)).to_contain_text("standing ×3")
    expect(cell(page, heron, 1)).to_be_focused()


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "no script"])
def test_cell_page_works_on_its_own(show, lead, heron, open_page, width, javascript):
    page = open_page(lead, width=width, javascript=javascript)
    if javascript:
        scene = Scene.objects.get(label="8")
        page.goto(f"{grid_of(show)}{heron.pk}/{scene.key}/")
    else:
        page.goto(grid_of(show))
        cell(page, heron, 8).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The Heron in scene 8, Customs shed")

    page.get_by_role("button", name="Put it in the plot").click()
    expect(page.get_by_role("alert")).to_contain_text("Pick a costume")
    page.get_by_role("radio", name="flying").check(force=True)
    page.get_by_label("Goes to").fill("bridge")
    page.get_by_role("button", name="Put it in the plot").click()
    page.wait_for_url(re.compile(f"/plot/write/#c{heron.pk}-8$"))
    expect(page.locator("#lede")).to_contain_text("12 figures")
    expect(cell(page, heron, 8)).to_be_in_viewport()

    cell(page, heron, 8).click()
    if not javascript:
        page.get_by_label("Carry it along the row").select_option("scene 9 Night crossing")
        page.get_by_role("button", name="Carry along").click()
        expect(cell(page, heron, 9)).to_contain_text("flying")
        cell(page, heron, 9).click()
        page.get_by_role("button", name="Take it out of this scene").click()
        expect(cell(page, heron, 9)).to_have_text("nothing")
    assert worn(heron, "8") == ["flying"]


def test_names_and_heads_stay_in_view_in_a_large_grid(live_server, open_page, width):
    show = lay_large_plot(title="The Long Almanac")
    user = person(show.company, Role.LEAD)
    page = open_page(user, width=width)
    page.goto(grid_of(show))
    rows = Guise.objects.filter(character__show=show).order_by("character__position")
    target = rows[30]

    page.locator("#plot-grid td > a").first.focus()
    press(page, "PageDown", "PageDown", "PageDown", "End")

    expect(cell(page, target, 60)).to_be_focused()
    frame = page.locator(".plot-frame").bounding_box()
    name = page.locator(f"#row-{target.pk} th").bounding_box()
    count = page.locator(f"#row-{target.pk} .row-count").bounding_box()
    head = page.get_by_role("columnheader", name=re.compile("scene 60")).bounding_box()
    here = cell(page, target, 60).bounding_box()
    assert abs(name["x"] - frame["x"]) <= 2
    assert abs(head["y"] - frame["y"]) <= 2
    assert abs(count["x"] + count["width"] - frame["x"] - frame["width"]) <= 20
    # The cell lies free between them.
    assert name["x"] + name["width"] <= here["x"] + 1
    assert here["x"] + here["width"] <= count["x"] + 1
    assert head["y"] + head["height"] <= here["y"] + 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_pages_of_the_plot_hold_no_faults(show, lead, heron, open_page, width, find_faults):
    put_on(show.current_draft, heron, None, "1", copies=3, enters_s=60, rig="flight")
    page = open_page(lead, width=width)
    page.goto(grid_of(show))
    assert find_faults(page) == []
    cell(page, heron, 7).click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert find_faults(page) == []
    page.goto(f"/shows/{show.pk}/plot/")
    assert find_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    reader = open_page(person(show.company, Role.READER), width=width)
    for address in (grid_of(show), f"/shows/{show.pk}/plot/"):
        reader.goto(address)
        assert find_faults(reader) == [], address


def test_change_is_written_on_the_plot_page_and_the_sentence_follows(show, lead, open_page, width):
    Scene.objects.filter(label="8").update(gap_s=120)
    pell = Guise.objects.get(character__name="Captain Pell")
    page = open_page(lead, width=width)
    page.goto(f"/shows/{show.pk}/plot/")
    page.evaluate("window.isSamePage = true")

    page.locator(f"#changes-{pell.pk} summary").click()
    form = page.get_by_role("form", name="A new change of Captain Pell")
    form.get_by_label("From").select_option("uniform")
    form.get_by_label("To").select_option("drowned")
    form.get_by_label("Minutes").fill("1")
    form.get_by_role("button", name="Write this change").click()

    expect(page.locator("#lede")).to_contain_text("11 figures")
    expect(page.locator(f"#changes-{pell.pk}")).to_have_attribute("open", "")
    page.locator(f"#changes-{pell.pk}").get_by_role("button", name="Take out").click()
    expect(page.locator("#lede")).to_contain_text("12 figures")
    assert page.evaluate("window.isSamePage") is True
