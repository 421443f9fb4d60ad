"""Choosing materials at the desk and on a phone: the answer comes while one chooses."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from builds.models import Lot, Mould
from tests.browser.conftest import PHONE, OpenPage
from tests.builds.desk import Desk

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def desk() -> Desk:
    """Jory at nine at the bench, with a mould for his head that is not made yet."""
    made = Desk()
    jory = made.role("Jory Tarrow", "at nine", "smock")
    type(jory).objects.filter(pk=jory.pk).update(head_mm=90)
    made.wear(jory, "1", "smock")
    made.accept()
    return made


def fits(page: Page) -> bool:
    """Whether the page itself does not scroll sideways."""
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    )


def test_three_choices_give_one_answer(
    desk: Desk, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(desk.lead, width)
    page.goto(f"/company/{desk.company.pk}/materials/")
    answer = page.locator("#will-it-set")
    page.locator("#three-mould").select_option("plaster")
    page.locator("#three-cast").select_option("urethane resin")
    expect(answer).to_contain_text("Will it set? No.")
    expect(answer).to_contain_text("Take a silicone mould")
    page.locator("#three-cast").select_option("neoprene slip")
    expect(answer).to_contain_text("Will it set? Yes.")
    page.locator("#three-sculpt").select_option("oil clay")
    expect(answer).to_contain_text("Will it set? Test a patch.")
    expect(answer).to_contain_text("citrus cleaner")
    assert find_faults(page) == []
    assert fits(page)


def test_choosing_for_a_mould_warns_and_the_maker_decides(
    desk: Desk, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    mould = Mould.objects.get(pattern__part="head")
    page = open_page(desk.lead, width)
    page.goto(f"/moulds/{mould.pk}/materials/")
    page.locator("#three-sculpt").select_option("oil clay with sulphur")
    page.locator("#three-mould").select_option("platinum silicone")
    expect(page.locator("#will-it-set")).to_contain_text("Will it set? No.")
    page.locator("#three-cast").select_option("urethane resin")
    page.get_by_role("button", name="Keep them").click()
    expect(page.locator("#messages")).to_contain_text("Kept as you chose. Will it set: no.")
    mould.refresh_from_db()
    assert mould.material == "platinum silicone"
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("link", name="What to weigh out").first.click()
    page.get_by_label("I know its volume").check()
    page.locator("#amount-known_ml").fill("400")
    page.get_by_label("Waste, %").fill("500")
    page.get_by_role("button", name="Work it out and keep it").click()
    expect(page.get_by_role("alert")).to_contain_text("from 0 to 100")
    page.get_by_label("Waste, %").fill("10")
    page.get_by_role("button", name="Work it out and keep it").click()
    expect(page.locator("#lede")).to_contain_text("One pour takes 245 g")
    assert find_faults(page) == []
    assert fits(page)


def test_a_lot_is_put_on_the_shelf_without_scripts(desk: Desk, open_page: OpenPage) -> None:
    page = open_page(desk.lead, PHONE, javascript=False)
    page.goto(f"/company/{desk.company.pk}/materials/?sculpt=wood&mould=plaster&cast=")
    expect(page.locator("#will-it-set")).to_contain_text("Will it set? Seal first.")
    page.get_by_text("Put a lot on the shelf").click()
    page.get_by_label("What is in it").select_option("cast/latex slip")
    page.locator("#lot-code").fill("L-22")
    page.get_by_label("How much is left").fill("750 ml")
    page.get_by_role("button", name="Put it there").click()
    expect(page.get_by_role("heading", name="Materials", level=1)).to_be_visible()
    expect(page.locator("section", has=page.locator("#shelf-head"))).to_contain_text("750 ml")
    assert Lot.objects.get().left == 750
