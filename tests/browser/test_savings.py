"""What would save a figure, as the lead asks for it: tried on a copy, taken, undone."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from scenes.models import Appearance
from tests.browser.conftest import OpenPage
from tests.builds.workshop import Workshop

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def shop() -> Workshop:
    """Two of Jory's figures at the bench, in two costumes in two scenes."""
    return Workshop(figures=2)


def test_a_saving_is_asked_for_tried_and_taken(
    shop: Workshop, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(shop.lead, width)
    page.goto(f"/shows/{shop.show.pk}/plot/")
    expect(page.locator("#lede")).to_contain_text("needs 2 figures")
    expect(page.locator("body")).not_to_contain_text("Take it")
    page.get_by_role("link", name="What would save a figure?").click()
    first = page.locator(".saving").first
    expect(first).to_contain_text("15 h")
    # The best few are planned at once, on a copy.
    expect(first.locator(".saving-date")).to_contain_text("sooner", timeout=30_000)
    expect(page.locator(".saving-date").nth(2)).to_be_visible(timeout=30_000)
    assert find_faults(page) == []
    assert page.evaluate(
        "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    )
    first.get_by_role("link", name=re.compile("Try it on a copy")).click()
    expect(page.locator("#lede")).to_contain_text("then needs 1 figure instead of 2")
    expect(page.locator(".saving-date")).to_contain_text("sooner", timeout=30_000)
    assert find_faults(page) == []
    page.get_by_role("button", name="Take it").click()
    expect(page.locator("#messages")).to_contain_text("Undo turns it back")
    expect(page.locator("#lede")).to_contain_text("needs 1 figure")


def test_a_saving_without_javascript(shop: Workshop, open_page: OpenPage) -> None:
    page: Any = open_page(shop.lead, javascript=False)
    page.goto(f"/shows/{shop.show.pk}/plot/")
    page.get_by_role("link", name="What would save a figure?").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What would save a figure")
    page.get_by_role("link", name="What it does to the date").first.click()
    expect(page.locator("#lede")).to_contain_text("instead of")
    page.get_by_role("link", name="Back to the list").click()
    page.locator(".saving", has_text="is cut from").first.get_by_role("button").click()
    expect(page.locator("#messages")).to_contain_text("is cut from")
    draft = shop.show.current_draft
    assert Appearance.objects.filter(draft=draft).count() == 1
