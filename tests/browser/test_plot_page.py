"""The page of the plot: pins ticked and lifted, who works what loaded beside it, the blanks."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from builds.services.routes import add_default_routes
from company.models import Role
from scenes.models import Appearance, Guise, Pin, Show, Walk
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac, put_on


@pytest.fixture
def show(live_server):
    show = lay_salt_almanac(title="The Salt Almanac")
    add_default_routes(company=show.company, user=None)
    Show.objects.filter(pk=show.pk).update(performers=2, dressers=1, rail_hooks=6)
    quill = Guise.objects.get(character__show=show, character__letters="Q")
    quill.costumes.create(name="cloak")
    put_on(show.current_draft, quill, None, "9")
    return show


@pytest.fixture
def lead(show):
    return person(show.company, Role.LEAD)


def plot_of(show):
    return f"/shows/{show.pk}/plot/"


def bartle_of(show):
    return Guise.objects.get(character__show=show, character__letters="B")


def test_two_are_pinned_apart_and_lifted_again(show, lead, open_page, width):
    page = open_page(lead, width=width)
    page.goto(plot_of(show))
    bartle = bartle_of(show)
    pins = page.locator(f"#pins-{bartle.pk}")
    pins.locator("summary").click()
    boxes = pins.get_by_role("checkbox")
    expect(boxes).to_have_count(3)

    pins.get_by_role("button", name="Must be one figure").click()
    expect(pins.get_by_role("alert")).to_contain_text("Tick two of its appearances")
    boxes.nth(1).check()
    boxes.nth(2).check()
    pins.get_by_role("button", name="Must not be one figure").click()

    expect(page.locator("#lede")).to_contain_text("needs 13 figures for 6 roles; you build 14")
    card = page.locator(f"#role-{bartle.character_id}")
    expect(card).to_contain_text("Needs 1, you build 2")
    expect(card).to_contain_text("tarpaulin in scene 6 and tarpaulin in scene 9: not one figure")
    assert Pin.objects.count() == 1
    card.get_by_role("button", name="Lift").click()
    expect(page.locator("#lede")).not_to_contain_text("you build")
    assert not Pin.objects.exists()


def test_a_pin_that_cannot_be_kept_says_why(show, lead, open_page):
    page = open_page(lead)
    page.goto(plot_of(show))
    heron = Guise.objects.get(character__show=show, character__letters="H")
    pins = page.locator(f"#pins-{heron.pk}")
    pins.locator("summary").click()
    for word in ("flying", "standing"):  # both on in scene 7
        pins.locator("label").filter(has_text=word).first.locator("input").check()
    pins.get_by_role("button", name="Must be one figure").click()

    card = page.locator(f"#role-{heron.character_id}")
    expect(card.locator(".plot-pins .warn")).to_contain_text("Not kept: ")
    expect(card.locator(".plot-pins .warn")).to_contain_text("on at once")


def test_the_people_load_beside_the_count(show, lead, open_page, find_faults, width):
    page = open_page(lead, width=width)
    page.goto(plot_of(show))

    people = page.locator("#plot-people")
    expect(
        people.get_by_role("heading", name="By the clock, and with these people")
    ).to_be_visible()
    expect(people).to_contain_text("With two performers and a dresser this draft takes 13 figures")
    expect(people).to_contain_text("proved")
    expect(people).to_contain_text("Scene 3 wants three people; you are two.")
    expect(people.locator("svg").first).to_be_visible()
    expect(page.locator("#plot-range")).to_contain_text("12, or 13 if the blanks go against you")
    assert find_faults(page) == []
    wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wide) <= 0


def test_a_mend_leads_to_the_cell_it_is_written_in(show, lead, open_page):
    """The gulls hang on one hand; whoever else of scene 5 did as well would mend it."""
    gulls = Guise.objects.get(character__show=show, character__letters="G")
    Appearance.objects.filter(guise=gulls, scene__label="5").update(hold="one hand")
    page = open_page(lead)
    page.goto(f"/shows/{show.pk}/plot/people/")
    fifth = page.locator(".people-short").filter(has_text="Scene 5 wants")
    for details in fifth.locator("details").all():
        details.locator("summary").click()

    fifth.get_by_role("link", name="with one hand").first.click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("in scene 5")
    expect(page.get_by_label("Held").first).to_be_visible()


def test_all_of_it_works_without_scripts(show, lead, open_page, width):
    page = open_page(lead, width=width, javascript=False)
    page.goto(plot_of(show))
    page.get_by_role("link", name="Who works what, and what these people cannot manage").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Who works what")
    expect(page.locator("#plot-people")).to_contain_text("Turn-round between performances")

    page.goto(plot_of(show))
    bartle = bartle_of(show)
    pins = page.locator(f"#pins-{bartle.pk}")
    pins.locator("summary").click()
    pins.get_by_role("button", name="Build one more").click()
    expect(page.locator(f"#role-{bartle.character_id}")).to_contain_text("Needs 1, you build 2")
    form = page.get_by_role("form", name="A new way")
    form.get_by_label("From").fill("bridge")
    form.get_by_label("To").fill("left")
    form.get_by_label("Minutes").fill("0:45")
    form.get_by_label("And as long back").check()
    form.get_by_role("button", name="Write this way").click()
    expect(page.locator("#times")).to_contain_text("bridge to→ left")
    assert Walk.objects.filter(show=show).count() == 2
