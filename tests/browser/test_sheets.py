"""The page of the papers in a browser: found, chosen, opened; at a desk, on a phone, plain."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from builds.models import Figure
from builds.services.plans import make_plan, pin_up
from company import clock
from company.models import Maker, Role
from tests.browser.conftest import PHONE, OpenPage
from tests.builds.workshop import MORNING, Workshop
from tests.factories import person

pytestmark = pytest.mark.django_db(transaction=True)

LONG = "Wolfeschlegelsteinhausenbergerdorffshire"


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    made = Workshop(figures=3)
    with clock.fixed_at(MORNING):
        pin_up(plan=make_plan(show=made.show, user=made.lead, work=0), user=made.lead)
    return made


def fits(page: Page) -> bool:
    """Whether the page itself does not scroll sideways."""
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    )


def open_list(open_page: OpenPage, shop: Workshop, user: Any, width: int, **more: Any) -> Page:
    page = open_page(user, width, **more)
    page.goto(f"/shows/{shop.show.pk}/sheets/")
    return page


def file_behind(page: Page, name: str) -> Any:
    """What the browser gets when the link of this name is followed."""
    address = page.get_by_role("link", name=name, exact=True).first.get_attribute("href")
    return page.request.get(address or "")


def test_every_paper_is_a_click_away(
    shop: Workshop, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_list(open_page, shop, shop.lead, width)
    expect(page.locator("#lede")).to_contain_text("3\u00a0figures still have work to print.")
    assert find_faults(page) == []
    assert fits(page)
    for name in (
        "Print the whole pack",
        "week of 3 May for Tomas",
        "Print J2",
        "Print J2 for Tomas",
        "Costume plot",
        "Figure register",
    ):
        answer = file_behind(page, name) if name != "Costume plot" else plot_of(page)
        assert answer.status == 200, name
        assert answer.headers["content-type"] == "application/pdf"


def plot_of(page: Page) -> Any:
    """The costume plot among the papers; the show's menu has a place of the same name."""
    link = page.locator("main").get_by_role("link", name="Costume plot", exact=True)
    return page.request.get(link.get_attribute("href") or "")


def test_choosing_a_paper_changes_every_link(shop: Workshop, open_page: OpenPage) -> None:
    page = open_list(open_page, shop, shop.lead, PHONE)
    page.get_by_label("Paper").select_option("Letter")
    page.wait_for_url("**/sheets/?paper=Letter")
    expect(page.get_by_role("link", name="Print J1", exact=True)).to_have_attribute(
        "href", f"/figures/{shop.figure('J1').pk}/sheet.pdf?paper=Letter"
    )
    expect(page.locator("main")).to_contain_text("on 11 by 17 inches across")


def test_without_javascript(shop: Workshop, open_page: OpenPage) -> None:
    page = open_list(open_page, shop, shop.lead, PHONE, javascript=False)
    page.get_by_label("Paper").select_option("Letter")
    page.get_by_role("button", name="Use this paper").click()
    assert page.url.endswith("?paper=Letter")
    assert "paper=Letter" in (
        page.get_by_role("link", name="Print the whole pack").get_attribute("href") or ""
    )


def test_a_helper_with_long_names_and_a_reader(
    shop: Workshop, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    Maker.objects.filter(name="Tomas").update(name=LONG)
    Figure.objects.filter(number=1).update(letters="JOR")
    for role in (Role.MAKER, Role.READER):
        page = open_list(open_page, shop, person(shop.company, role, "Odile"), width)
        expect(page.get_by_role("link", name="Print JOR1", exact=True)).to_be_visible()
        assert find_faults(page) == []
        assert fits(page)


def test_before_there_is_a_plan(
    open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]], settings: Any
) -> None:
    settings.TODAY = MORNING
    shop = Workshop()
    page = open_list(open_page, shop, shop.lead, width)
    expect(page.locator("#lede")).to_contain_text("There is no plan yet.")
    expect(page.get_by_role("link", name="Go to the wall plan")).to_be_visible()
    assert find_faults(page) == []
    assert fits(page)
