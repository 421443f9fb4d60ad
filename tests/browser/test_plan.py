"""The wall plan under hands: slips by keyboard, supposes, what helps, and all without scripts."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from builds.models import Plan, PlanRun, Step
from builds.services.plan_runs import carry_out, take_run
from builds.services.plans import make_plan, pin_up
from company import clock
from company.models import Maker
from tests.browser.conftest import DESK, PHONE, OpenPage
from tests.builds.workshop import Workshop

pytestmark = pytest.mark.django_db(transaction=True)

LONG = "The Almanac Keeper of the Far Salt Pans"


@pytest.fixture
def shop(settings: Any) -> Workshop:
    """Four figures at the bench; one helper's name is as long as names get."""
    settings.TODAY = None
    made = Workshop(figures=4)
    Maker.objects.filter(pk=made.tomas.pk).update(name=LONG)
    today = clock.today(made.company)
    type(made.show).objects.update(
        first_day=today, opening=today + timedelta(days=60), needed_by=None
    )
    make_plan(show=made.show, user=made.lead)
    return made


def fits(page: Page) -> bool:
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    )


def test_slips_are_reached_by_arrows_opened_and_set(
    shop: Workshop, open_page: OpenPage, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(shop.lead, DESK)
    page.goto(reverse("builds:wall_plan", args=[shop.show.pk]))
    slips = page.locator("[data-wall] a[href*='/plan/slip/']")
    slips.first.focus()
    before = page.evaluate("document.activeElement.href")
    page.keyboard.press("ArrowRight")
    after = page.evaluate("document.activeElement.href")
    assert before != after
    assert "/plan/slip/" in after
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("document.activeElement.href") == before
    page.keyboard.press("Enter")
    dialog = page.locator("#slip-panel")
    expect(dialog).to_be_visible()
    expect(dialog.get_by_role("heading", level=2)).to_contain_text("Ines")
    assert find_faults(page) == []
    page.keyboard.press("Escape")
    expect(dialog).to_be_hidden()
    slips.first.click()
    expect(dialog).to_be_visible()
    day = (clock.today(shop.company) + timedelta(days=400)).isoformat()
    dialog.get_by_label("Not before").first.fill(day)
    dialog.get_by_role("button", name="Set").first.click()
    expect(dialog.get_by_role("alert")).to_contain_text("after the opening")
    dialog.get_by_label("Not before").first.fill(
        (clock.today(shop.company) + timedelta(days=21)).isoformat()
    )
    dialog.get_by_role("button", name="Set").first.click()
    expect(page.locator("#messages")).to_contain_text("is set. The plan has followed.")
    assert Step.objects.filter(not_before__isnull=False).count() == 1


@pytest.mark.parametrize("by", ["person", "figure", "drying", "full", "list"])
def test_every_way_to_look_fits_and_reads(
    shop: Workshop,
    open_page: OpenPage,
    width: int,
    find_faults: Callable[[Page], list[str]],
    by: str,
) -> None:
    page = open_page(shop.lead, width)
    page.goto(reverse("builds:wall_plan", args=[shop.show.pk]) + f"?by={by}&weeks=2")
    expect(page.locator("nav.tabs a[aria-current]")).to_have_count(1)
    assert fits(page)
    assert find_faults(page) == []


def test_supposed_taken_away_again_and_taken(
    shop: Workshop, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(shop.lead, width)
    page.goto(reverse("builds:wall_plan", args=[shop.show.pk]))
    page.get_by_role("link", name="Suppose …").click()
    page.get_by_text("A day off").click()
    form = page.locator("details[open] form")
    day = clock.today(shop.company) + timedelta(days=3)
    form.get_by_label("First day").fill(day.isoformat())
    form.get_by_role("button", name="Suppose it").click()
    expect(page.locator(".supposed")).to_contain_text("everybody away")
    expect(page.locator(".suppose-sides")).to_contain_text("As supposed")
    assert fits(page)
    assert find_faults(page) == []
    page.get_by_role("link", name=re.compile("No longer suppose")).click()
    expect(page.locator(".supposed")).to_have_count(0)
    page.go_back()
    page.get_by_role("button", name="Take it").click()
    page.locator("dialog[open] [data-confirm-yes]").click()
    expect(page.locator("#messages")).to_contain_text("it is in the calendar")


def test_what_helps_is_tried_while_one_watches(shop: Workshop, open_page: OpenPage) -> None:
    show = shop.show
    type(show).objects.filter(pk=show.pk).update(
        opening=clock.today(shop.company) + timedelta(days=4)
    )
    make_plan(show=shop.show, user=shop.lead)
    page = open_page(shop.lead, DESK)
    page.goto(reverse("builds:suppose", args=[show.pk]))
    page.get_by_role("button", name="Try what helps").click()
    expect(page.locator("#help")).to_contain_text("The trying begins in a moment")
    run = take_run()
    assert run is not None
    carry_out(run, stop=lambda: False)
    expect(page.locator("#help")).to_contain_text("single changes tried", timeout=15_000)
    expect(page.locator("#help tbody tr").first).to_be_visible()


def test_pinning_up_says_first_what_moves(
    shop: Workshop, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    pin_up(plan=Plan.objects.latest("pk"), user=shop.lead)
    Step.objects.filter(stage__key="paint").update(pinned_maker=shop.ines)
    make_plan(show=shop.show, user=shop.lead, is_released=True)
    page = open_page(shop.lead, width)
    page.goto(reverse("builds:wall_plan", args=[shop.show.pk]))
    page.get_by_role("link", name="Pin up for helpers").click()
    expect(page.locator("#lede")).to_contain_text(LONG)
    assert fits(page)
    assert find_faults(page) == []
    page.get_by_role("button", name="Pin it up").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What moved")


def test_all_of_it_without_scripts(shop: Workshop, open_page: OpenPage) -> None:
    page = open_page(shop.lead, PHONE, javascript=False)
    page.goto(reverse("builds:wall_plan", args=[shop.show.pk]))
    page.locator("[data-wall] a[href*='/plan/slip/']").first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Ines")
    page.get_by_role("button", name="Set").first.click()
    expect(page.locator("#messages")).to_contain_text("is set")
    page.goto(reverse("builds:suppose", args=[shop.show.pk]))
    page.get_by_role("button", name="Try what helps").click()
    assert PlanRun.objects.filter(aim=PlanRun.Aim.IN_TIME).count() == 1
