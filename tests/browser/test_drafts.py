"""Drafts of the plot in the browser: named, set side by side, gone back to, by desk and phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from company.models import Role
from scenes.models import Show
from scenes.services.drafts import open_draft
from scenes.services.scenes import remove_scene
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac


@pytest.fixture
def show(live_server):
    show = lay_salt_almanac(title="The Salt Almanac")
    open_draft(show=show, user=None, parent=show.current_draft)
    scene = show.current_draft.scenes.get(label="9")
    remove_scene(show=show, user=None, key=scene.key)
    return show


@pytest.fixture
def lead(show):
    return person(show.company, Role.LEAD)


def test_draft_is_named_looked_at_and_gone_back_to(show, lead, open_page, width, find_faults):
    page = open_page(lead, width=width)
    page.goto(f"/shows/{show.pk}/plot/")
    page.get_by_role("link", name="Drafts").click()
    expect(page.locator("#lede")).to_contain_text("There are 2 drafts")
    assert find_faults(page) == []

    page.locator("#draft-1").get_by_text("Name it").click()
    page.get_by_label("Name of draft 1").fill("As first read through")
    page.get_by_role("button", name="Keep the name").first.click()
    expect(page.locator("#draft-1")).to_contain_text("As first read through")
    page.locator("#draft-1").get_by_role("link", name="Look at it").click()
    expect(page.locator("#lede")).to_contain_text("Draft 1 needs")
    expect(page.get_by_text("Scene 9 Night crossing")).to_be_visible()
    assert find_faults(page) == []
    page.get_by_role("link", name="plan a copy of each").click()
    expect(page.locator(".draft-date")).to_contain_text("with draft 1")
    page.get_by_role("button", name="Go back to draft 1").click()
    expect(page.locator("#messages")).to_contain_text("Draft 3 is written now, a copy of draft 1.")
    assert Show.objects.get(pk=show.pk).current_draft.scenes.count() == 10

    page.goto(f"/shows/{show.pk}/plot/write/")
    page.get_by_role("button", name="Undo back to draft 1").click()
    expect(page.locator("#messages")).to_contain_text("Undone: back to draft 1")
    assert Show.objects.get(pk=show.pk).current_draft.number == 2
