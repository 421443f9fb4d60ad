"""A pour on the phone beside the mould: filled, poured out, opened; by touch, keyboard, plain."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from builds.models import Casting, Lot, Mould, Pour
from builds.services.plans import make_plan, pin_up
from builds.services.stock import add_lot
from company import clock
from tests.browser.conftest import PHONE, OpenPage
from tests.builds.foundry import Foundry

pytestmark = pytest.mark.django_db(transaction=True)
HALF_A_MINUTE_S = 30


@pytest.fixture
def foundry() -> Foundry:
    """A dry mould for neoprene slip, one casting out of it, and a plan that is pinned up."""
    made = Foundry()
    made.make_mould(days_ago=10)
    Mould.objects.update(casting_material="neoprene slip", sculpt_material="water clay")
    made.cast(at=clock.now() - timedelta(days=3))
    Pour.objects.filter(poured_at__isnull=False).update(lot="N-114", mix="4 in, 1 stays")
    pin_up(plan=make_plan(show=made.show, user=made.lead), user=made.lead)
    return made


def fits(page: Page) -> bool:
    """Whether the page itself does not scroll sideways."""
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    )


def test_a_pour_and_its_castings_by_touch_in_under_half_a_minute(
    foundry: Foundry, open_page: OpenPage, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(foundry.lead, PHONE)
    page.goto(f"/shows/{foundry.show.pk}/moulds/")
    assert find_faults(page) == []
    assert fits(page)
    begun = time.monotonic()
    page.get_by_role("link", name="Record a pour", exact=True).first.tap()
    expect(page.get_by_label("Lot")).to_have_value("N-114")
    expect(page.get_by_label("Mix")).to_have_value("4 in, 1 stays")
    page.get_by_role("button", name="It is filled").tap()
    expect(page.locator("#messages")).to_contain_text("JORY60-02: poured. The clock runs.")
    assert time.monotonic() - begun < HALF_A_MINUTE_S
    expect(page.locator("#lede")).to_contain_text("Pour out what is left at")
    expect(page.locator(".clock-next .until")).to_have_text("in 4 h 0 min")
    assert find_faults(page) == []
    assert fits(page)
    page.reload()
    expect(page.locator(".clock-next .until")).to_have_text("in 4 h 0 min")
    page.get_by_role("button", name="It is poured out").tap()
    expect(page.locator("#lede")).to_contain_text("Open the mould at")
    page.get_by_text("thrown out").tap()
    page.get_by_label("What is wrong with it").fill("bubble in the face")
    page.get_by_role("button", name="It is out").tap()
    expect(page.locator("#messages")).to_contain_text("JORY60-02: on record.")
    expect(page.locator(".warn")).to_contain_text("JORY60-02:")
    assert find_faults(page) == []
    assert fits(page)
    casting = Casting.objects.get(number=2)
    assert (casting.result, casting.reason) == ("thrown out", "bubble in the face")
    assert Pour.objects.get(pk=casting.pour_id).cost["ready_after"]
    page.goto(f"/shows/{foundry.show.pk}/moulds/")
    expect(page.locator("main")).to_contain_text("one thrown out")


def test_too_little_in_the_lot_is_said_and_put_to_nought_by_touch(
    foundry: Foundry, open_page: OpenPage, find_faults: Callable[[Page], list[str]]
) -> None:
    Mould.objects.update(fill_ml=900, stays_ml=225)
    values = {"kind": "cast", "material": "neoprene slip", "code": "N-114", "unit": "ml"}
    lot = add_lot(company=foundry.company, user=foundry.lead, values=values | {"left": 225})
    page = open_page(foundry.lead, PHONE)
    page.goto(f"/shows/{foundry.show.pk}/pours/new/?mould={foundry.mould().pk}")
    expect(page.get_by_text("This pour takes 225 ml of the 900 ml filled in")).to_be_visible()
    expect(page.get_by_label("It was so")).to_have_count(0)
    Lot.objects.filter(pk=lot.pk).update(left=80)  # somebody else has poured meanwhile
    page.get_by_role("button", name="It is filled").tap()
    expect(page.locator(".errors")).to_be_focused()
    expect(page.locator(".errors")).to_contain_text("Lot N-114 has 80 ml left")
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_label("It was so").tap()
    page.get_by_role("button", name="It is filled").tap()
    expect(page.locator("#messages")).to_contain_text("Taken: 80 ml from lot N-114, 0 ml left.")
    lot.refresh_from_db()
    assert lot.left == 0
    assert find_faults(page) == []


def test_by_the_keyboard_alone(foundry: Foundry, open_page: OpenPage) -> None:
    page = open_page(foundry.lead, PHONE)
    page.goto(f"/shows/{foundry.show.pk}/pours/new/?mould={foundry.mould().pk}")
    page.get_by_label("Lot").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#messages")).to_contain_text("poured")
    page.get_by_role("radio", name="good").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    expect(page.locator("#messages")).to_contain_text("on record")
    assert Casting.objects.get(number=2).result == "good"


def test_without_scripts_the_plain_times_stand(foundry: Foundry, open_page: OpenPage) -> None:
    page = open_page(foundry.lead, PHONE, javascript=False)
    page.goto(f"/shows/{foundry.show.pk}/pours/new/?mould={foundry.mould().pk}")
    page.get_by_role("button", name="It is filled").click()
    expect(page.locator(".clock-next")).to_contain_text("Wed 4 Mar")
    expect(page.locator(".until")).to_have_count(0)
    page.goto(f"/shows/{foundry.show.pk}/today/")
    expect(page.locator("#mould-head")).to_be_visible()


def test_everything_wrong_is_said_at_once_and_focused(
    foundry: Foundry, open_page: OpenPage, find_faults: Callable[[Page], list[str]]
) -> None:
    with clock.fixed_at(clock.now() - timedelta(hours=1)):
        pour = foundry.pour()
    page = open_page(foundry.lead, PHONE)
    page.goto(f"/pours/{pour.pk}/")
    page.get_by_role("button", name="It is out").click()
    expect(page.locator(".errors")).to_be_focused()
    expect(page.locator(".errors")).to_contain_text("Say how JORY60-02 came out")
    assert find_faults(page) == []
    page.goto(f"/castings/{foundry.casting(1).pk}/")
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("button", name="Put it there").click()
    expect(page.locator(".errors")).to_contain_text("Say where it goes")
    page.get_by_label("Or to a place").fill("shelf B")
    page.get_by_role("button", name="Put it there").click()
    expect(page.locator("#lede")).to_contain_text("lies at shelf B")
