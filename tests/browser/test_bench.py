"""From the draft to the bench and through a step, as people do it: desk, phone, keyboard, plain."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from builds.models import MakeOver, Step, WorkLog
from builds.services.work import finish_step
from company import clock
from company.models import Maker, Role
from tests.browser.conftest import PHONE, OpenPage
from tests.builds.desk import Desk
from tests.factories import MakerFactory, person

pytestmark = pytest.mark.django_db(transaction=True)

LONG = "The Almanac Keeper of the Far Salt Pans"


@pytest.fixture
def desk() -> Desk:
    """Two figures wanted, one of them with names as long as names get."""
    made = Desk()
    Maker.objects.filter(pk=made.ines.pk).update(is_saw_trained=True)
    jory = made.role("Jory Tarrow", "at sixty", "pilot coat")
    keeper = made.role(LONG, "grown very old and rather stooped", "oilskin with the torn sleeves")
    made.wear(jory, "1", "pilot coat")
    made.wear(keeper, "2", "oilskin with the torn sleeves")
    return made


def fits(page: Page) -> bool:
    """Whether the page itself does not scroll sideways."""
    return bool(
        page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    )


def test_from_the_draft_to_a_finished_step(
    desk: Desk, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    page = open_page(desk.lead, width)
    page.goto(f"/shows/{desk.show.pk}/bench/")
    expect(page.locator("#lede")).to_have_text("This draft needs two figures: two are new.")
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("button", name="Take it all to the bench").click()
    expect(page.locator("#lede")).to_have_text("This draft is at the bench: two figures.")
    expect(page.locator("#messages")).to_contain_text("J1 and A1 new.")
    page.goto(f"/shows/{desk.show.pk}/figures/")
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("link", name="J1", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(
        "J1, Jory Tarrow at sixty, pilot coat"
    )
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("link", name="Say how it went").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Sketches, one chosen")
    page.get_by_role("button", name="Finished").click()
    expect(page.locator("#lede")).to_contain_text("Done on")
    assert find_faults(page) == []
    assert Step.objects.get(stage__key="choose-sketch", guise__name="at sixty").finished_at


def test_a_helper_answers_from_a_phone(
    desk: Desk, open_page: OpenPage, find_faults: Callable[[Page], list[str]]
) -> None:
    desk.accept()
    tomas = person(desk.company, Role.MAKER, "Tomas")
    MakerFactory(company=desk.company, name="Tomas", user=tomas)
    step = desk.step("J1", "shoes")
    page = open_page(tomas, PHONE)
    page.goto(f"/steps/{step.pk}/")
    assert fits(page)
    page.get_by_label("Took").fill("1½")
    page.get_by_role("textbox", name="A word about it").fill("one sole is on")
    page.get_by_role("button", name="Left here").click()
    # What comes before is not done: it asks why, and keeps what was typed.
    expect(page.get_by_role("alert")).to_contain_text("Say why it is begun all the same")
    expect(page.get_by_label("Took")).to_have_value("1½")
    assert find_faults(page) == []
    page.get_by_label("Why all the same").fill("The leather came early")
    page.get_by_role("button", name="Left here").click()
    expect(page.locator("#lede")).to_contain_text("Under way, begun by Tomas")
    expect(page.locator("#step")).to_contain_text("one sole is on")
    assert WorkLog.objects.get().minutes == 90
    page.get_by_role("textbox", name="A word about it").fill("Which heel?")
    page.get_by_role("button", name="Need Ines").click()
    expect(page.get_by_role("heading", name="Ines is asked for")).to_be_visible()
    boxes = [
        button.bounding_box()
        for button in page.get_by_role("button", name="Finished").all()
        + page.get_by_role("button", name="Left here").all()
    ]
    assert all(box and box["height"] >= 44 for box in boxes)


def test_a_pass_by_keyboard(desk: Desk, open_page: OpenPage) -> None:
    desk.accept()
    gate = desk.step("J1", "trial-hang")
    finish_step(step=gate, user=desk.lead, reason="for the test")
    page = open_page(desk.lead)
    page.goto(f"/steps/{gate.pk}/")
    button = page.get_by_role("button", name="Pass it")
    for _ in range(60):
        if button.evaluate("button => button === document.activeElement"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#lede")).to_contain_text("Passed on")
    gate.refresh_from_db()
    assert gate.passed_by == desk.lead


def test_somebody_else_changed_the_plot_meanwhile(desk: Desk, open_page: OpenPage) -> None:
    page = open_page(desk.lead)
    page.goto(f"/shows/{desk.show.pk}/bench/")
    desk.wear(desk.role("Captain Pell", "", "uniform"), "3", "uniform")
    page.get_by_role("button", name="Take it all to the bench").click()
    expect(page.get_by_role("alert")).to_contain_text("Captain Pell: one figure now, none then.")
    page.get_by_role("button", name="Take it all to the bench").click()
    expect(page.locator("#lede")).to_have_text("This draft is at the bench: three figures.")


def test_ticked_lines_of_a_later_draft_are_taken_and_the_rest_waits(
    desk: Desk, open_page: OpenPage, width: int, find_faults: Callable[[Page], list[str]]
) -> None:
    desk.accept()
    jory = desk.figure("J1").guise
    Step.objects.filter(figure=desk.figure("J1")).update(
        begun_at=clock.now(), finished_at=clock.now()
    )
    desk.wear(jory, "1", "coat of the harbour master in winter")
    desk.wear(jory, "3", "nightshirt")
    page = open_page(desk.lead, width)
    page.goto(f"/shows/{desk.show.pk}/bench/")
    expect(page.locator("#lede")).to_contain_text("one is made over")
    expect(page.locator("#bench")).to_contain_text("Unstring and change costume")
    assert find_faults(page) == []
    assert fits(page)
    page.get_by_role("checkbox", name="Take this line: J1").check()
    page.get_by_role("button", name="Take the ticked lines").click()
    expect(page.locator("#messages")).to_contain_text("J1 made over.")
    assert desk.tags() == ["A1", "J1"]
    assert desk.figure("J1").again == {"unstring": 1, "string": 1, "true": 1}
    page.get_by_role("button", name="Take the ticked lines").click()
    expect(page.get_by_role("alert")).to_contain_text("Tick the lines")
    page.get_by_role("button", name="Take it all to the bench").click()
    expect(page.locator("#messages")).to_contain_text("J2 new.")
    assert MakeOver.objects.count() == 1


def test_it_all_works_without_javascript(desk: Desk, open_page: OpenPage) -> None:
    page: Any = open_page(desk.lead, javascript=False)
    page.goto(f"/shows/{desk.show.pk}/bench/")
    page.get_by_role("checkbox", name=re.compile("Take this line: Jory")).check()
    page.get_by_role("button", name="Take the ticked lines").click()
    expect(page.locator("#messages")).to_contain_text("J1 new.")
    page.goto(f"/shows/{desk.show.pk}/figures/?late=1")
    expect(page.locator("#figure-table")).to_contain_text("No figure is left by these filters")
    step = desk.step("J1", "shoes")
    page.goto(f"/steps/{step.pk}/")
    page.get_by_label("Why all the same").fill("the leather came early")
    page.get_by_label("Took").fill("2")
    page.get_by_role("button", name="Finished").click()
    expect(page.locator("#messages")).to_contain_text("is finished")
    assert WorkLog.objects.get().minutes == 120
    page.get_by_role("button", name="It is not finished after all").click()
    expect(page.locator("#lede")).to_contain_text("Under way")
