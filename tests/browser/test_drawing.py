"""Placing on a drawing in a browser: mouse, keys, finger, zoom; a lost connection; no script."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from builds.models import Drawing, DrawingJoint, DrawingPicture
from company.models import Role
from scenes.models import Guise
from tests.browser.conftest import DESK, PHONE, OpenPage
from tests.builds.desk import Desk
from tests.builds.drawings import begin, lay_whole, put_photo, read
from tests.factories import person

pytestmark = pytest.mark.django_db(transaction=True)

LONG = "Wolfeschlegelsteinhausenbergerdorffshire"


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def guise(desk: Desk) -> Guise:
    return desk.role("Jory Tarrow", "at sixty", "pilot coat")


def open_drawing(open_page: OpenPage, desk: Desk, guise: Guise, width: int, **more: Any) -> Page:
    page = open_page(desk.lead, width, **more)
    page.goto(f"/guises/{guise.pk}/drawing/")
    return page


def picture(page: Page, view: str = "profile") -> Locator:
    return page.locator(f"#placing-{view}")


def on_screen(page: Page, x: float, y: float, view: str = "profile") -> tuple[float, float]:
    """Where on the screen a point of the picture is, once it is scrolled into sight."""
    svg = picture(page, view)
    svg.scroll_into_view_if_needed()
    found = svg.evaluate(
        """(svg, [x, y]) => {
            const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        [x, y],
    )
    return (found[0], found[1])


def value(page: Page, name: str) -> float:
    return float(page.locator(f"[name='{name}']").input_value())


def pick(page: Page, name: str) -> None:
    page.get_by_role("button", name=f"Place the {name}", exact=True).click()


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep it", exact=True).click()
    expect(page.locator("#messages")).to_contain_text("What you placed is kept.")


class TestMouseAndKeys:
    def test_a_joint_placed_by_a_click_moved_by_keys_and_kept(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        DrawingJoint.objects.filter(kind="knee").delete()
        page = open_drawing(open_page, desk, guise, DESK)
        pick(page, "knee")
        # 28 mm forward of the line and 160 up is (444, 980) on the photo, two points a mm.
        page.mouse.click(*on_screen(page, 444, 980))
        assert value(page, "joint-knee-x") == pytest.approx(28, abs=1)
        assert value(page, "joint-knee-y") == pytest.approx(160, abs=1)
        x, y = value(page, "joint-knee-x"), value(page, "joint-knee-y")
        assert (x * 2).is_integer()
        assert (y * 2).is_integer()
        # The pin has the focus. He faces left: left is forward.
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowUp")
        page.keyboard.press("Shift+ArrowUp")
        assert value(page, "joint-knee-x") == x + 0.5
        assert value(page, "joint-knee-y") == y + 5.5
        expect(page.locator("#announce")).to_contain_text("knee")
        keep(page)
        knee = DrawingJoint.objects.get(kind="knee")
        assert (float(knee.x_mm), float(knee.y_mm)) == (x + 0.5, y + 5.5)

    def test_dragged_and_taken_back(self, open_page: OpenPage, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        page.mouse.move(*on_screen(page, 444, 980))
        page.mouse.down()
        page.mouse.move(*on_screen(page, 420, 960), steps=4)
        page.mouse.move(*on_screen(page, 404, 940), steps=4)
        page.mouse.up()
        assert value(page, "joint-knee-x") == pytest.approx(48, abs=1)
        assert value(page, "joint-knee-y") == pytest.approx(180, abs=1)
        back = page.get_by_role("button", name="Take the last one back")
        back.click()
        assert (value(page, "joint-knee-x"), value(page, "joint-knee-y")) == (28, 160)
        expect(back).to_be_disabled()

    def test_moved_by_the_arrows_beside_the_pictures(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        chooser = page.get_by_label("What to place")
        chooser.select_option("joint-knee")
        expect(page.locator("[data-hint]")).to_contain_text("Click on the picture where the knee")
        for name in ("Up", "Up", "Left"):
            page.get_by_role("button", name=name, exact=True).click()
        # He faces left: left is forward.
        assert (value(page, "joint-knee-x"), value(page, "joint-knee-y")) == (28.5, 161)
        button = page.locator("[data-pick='joint-knee']")
        expect(button).to_have_attribute("aria-pressed", "true")
        button.click()  # chosen in the list already: once more lets it go
        expect(chooser).to_have_value("")
        expect(button).to_have_attribute("aria-pressed", "false")

    def test_what_is_typed_moves_the_pin(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        page.locator("[name='joint-knee-y']").fill("200")
        pin = picture(page).locator("[data-pin='joint-knee']")
        assert pin.get_attribute("transform").startswith("translate(444 900)")  # type: ignore[union-attr]
        expect(pin).to_have_attribute("aria-label", "knee, 200 mm up, 28 mm in front of the line "
            "of balance. Arrow keys move it half a millimetre, with Shift five.")  # fmt: skip

    def test_front_and_profile_share_the_height(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        pick(page, "knee")
        # The front has no photo: mm to the right of the middle, and down from the floor.
        page.mouse.click(*on_screen(page, 50, -170, "front"))
        assert value(page, "joint-knee-z") == pytest.approx(50, abs=1)
        assert value(page, "joint-knee-y") == pytest.approx(170, abs=1)
        assert value(page, "joint-knee-x") == 28
        moved = picture(page).locator("[data-pin='joint-knee']").get_attribute("transform") or ""
        y = float(moved.partition(")")[0].split()[1])
        assert y == pytest.approx(1300 - 2 * value(page, "joint-knee-y"), abs=0.1)


class TestScale:
    def test_two_marks_the_line_and_then_a_joint(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        put_photo(begin(guise, desk.lead), desk.lead, "profile")
        page = open_drawing(open_page, desk, guise, DESK)
        expect(page.locator("[data-hint]")).to_contain_text("Click on the picture where the first")
        page.mouse.click(*on_screen(page, 100, 100))
        pick(page, "second mark, profile")
        page.mouse.click(*on_screen(page, 100, 1300))
        pick(page, "knee")
        page.mouse.click(*on_screen(page, 444, 980))
        expect(page.locator("[data-hint]")).to_contain_text("First set the scale of this picture")
        assert page.locator("[name='joint-knee-x']").input_value() == ""
        page.locator("[name='profile-marks_mm']").fill("600")
        pick(page, "line of balance on the floor, profile")
        page.mouse.click(*on_screen(page, 500, 1300))
        pick(page, "knee")
        page.mouse.click(*on_screen(page, 444, 980))
        assert value(page, "joint-knee-x") == pytest.approx(28, abs=2)
        keep(page)
        kept = DrawingPicture.objects.get()
        assert (kept.marks_mm, float(kept.mark_a_x_px or 0)) == (600, pytest.approx(100, abs=2))
        # The server measures as the page did.
        knee = read(guise).joints.get(kind="knee")
        assert float(knee.y_mm) == pytest.approx(160, abs=2)

    def test_the_server_and_the_page_put_a_pin_in_one_place(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        DrawingPicture.objects.update(axis_top_x_px=530, axis_top_y_px=200, faces_left=False)
        plain = open_drawing(open_page, desk, guise, DESK, javascript=False)
        page = open_drawing(open_page, desk, guise, DESK)
        for key in ("joint-knee", "joint-elbow", "profile-top"):
            places = [
                one.locator(f"#placing-profile [data-pin='{key}']").get_attribute("transform") or ""
                for one in (plain, page)
            ]
            drawn, moved = (
                [float(n) for n in at.partition("(")[2].partition(")")[0].split()] for at in places
            )
            assert moved == pytest.approx(drawn, abs=0.01)


class TestTelephone:
    def test_placed_by_a_finger_and_zoomed(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        DrawingJoint.objects.filter(kind="knee").delete()
        page = open_drawing(open_page, desk, guise, PHONE)
        page.get_by_label("What to place").select_option("joint-knee")
        page.get_by_role("button", name="Nearer").tap()
        page.touchscreen.tap(*on_screen(page, 444, 900))
        assert value(page, "joint-knee-x") == pytest.approx(28, abs=1.5)
        assert value(page, "joint-knee-y") == pytest.approx(200, abs=1.5)
        x = value(page, "joint-knee-x")
        page.get_by_role("button", name="Right", exact=True).tap()
        assert value(page, "joint-knee-x") == x - 0.5
        page.get_by_role("button", name="Whole").tap()
        keep(page)
        assert float(DrawingJoint.objects.get(kind="knee").x_mm) == x - 0.5

    def test_one_view_at_a_time(self, open_page: OpenPage, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, PHONE)
        expect(picture(page, "front")).to_be_hidden()
        page.get_by_role("button", name="Front", exact=True).tap()
        expect(picture(page, "front")).to_be_visible()
        expect(picture(page)).to_be_hidden()


class TestLostConnection:
    def test_kept_in_the_browser_said_and_sent_again(
        self, open_page: OpenPage, desk: Desk, guise: Guise, width: int
    ) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, width)
        page.locator("[name='joint-knee-x']").fill("33.5")
        notice = page.locator("[data-kept-notice]")
        expect(notice).to_contain_text("Not sent yet. What you placed is kept in this browser.")
        page.context.set_offline(True)
        page.get_by_role("button", name="Keep it", exact=True).click()
        expect(notice).to_contain_text("No connection. What you placed is kept in this browser.")
        assert DrawingJoint.objects.get(kind="knee").x_mm == 28
        page.context.set_offline(False)
        expect(notice).to_contain_text("The connection is back.")
        page.get_by_role("button", name="Send again").click()
        expect(page.locator("#messages")).to_contain_text("What you placed is kept.")
        assert float(DrawingJoint.objects.get(kind="knee").x_mm) == 33.5
        expect(notice).to_be_hidden()

    def test_a_page_loaded_anew_has_it_all(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, DESK)
        page.locator("[name='joint-knee-x']").fill("41")
        page.reload()
        expect(page.locator("[data-kept-notice]")).to_contain_text("and did not send is back.")
        assert value(page, "joint-knee-x") == 41
        page.get_by_role("button", name="Throw it away").click()
        assert value(page, "joint-knee-x") == 28
        page.reload()
        expect(page.locator("[data-kept-notice]")).to_be_hidden()

    def test_somebody_was_quicker(self, open_page: OpenPage, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, DESK)
        page.locator("[name='joint-knee-x']").fill("41")
        Drawing.objects.update(version=99)
        page.get_by_role("button", name="Keep it", exact=True).click()
        notice = page.locator("[data-kept-notice]")
        expect(notice).to_contain_text("Somebody else changed the drawing meanwhile.")
        page.reload()
        expect(notice).to_contain_text("The drawing was changed since: look before you send.")
        page.get_by_role("button", name="Send again").click()
        expect(page.locator("#messages")).to_contain_text("What you placed is kept.")
        assert DrawingJoint.objects.get(kind="knee").x_mm == 41

    def test_signed_out_meanwhile(self, open_page: OpenPage, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, DESK)
        page.locator("[name='joint-knee-x']").fill("41")
        page.context.clear_cookies()
        page.get_by_role("button", name="Keep it", exact=True).click()
        expect(page.locator("[data-kept-notice]")).to_contain_text("kept in this browser")
        assert value(page, "joint-knee-x") == 41

    def test_what_is_wrong_is_said_and_stays(
        self, open_page: OpenPage, desk: Desk, guise: Guise, width: int
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, width)
        page.locator("[name='joint-knee-y']").fill("2000")
        page.locator("[name='joint-hip-x']").fill("wide")
        page.get_by_role("button", name="Keep it", exact=True).click()
        wrong = page.locator("[data-wrong=all]")
        expect(wrong).to_contain_text("The knee lies 1400 mm above the crown")
        expect(wrong).to_contain_text("'wide' is not a number")
        expect(page.locator("[data-wrong='joint-knee']")).to_contain_text("above the crown")
        page.locator("[name='joint-knee-y']").fill("150")
        page.locator("[name='joint-hip-x']").fill("0")
        keep(page)

    def test_a_scale_set_twice_is_asked_about(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        page.get_by_text("Scale of the picture: profile, set").click()
        page.locator("[name='profile-marks_mm']").fill("300")
        page.get_by_role("button", name="Keep it", exact=True).click()
        page.get_by_label("stay where they are on the picture").check()
        keep(page)
        assert DrawingJoint.objects.get(kind="knee").y_mm == 80


def test_without_javascript(open_page: OpenPage, desk: Desk, guise: Guise, width: int) -> None:
    lay_whole(guise, desk.lead, with_photo=True)
    page = open_drawing(open_page, desk, guise, width, javascript=False)
    expect(picture(page)).to_be_visible()
    expect(picture(page, "front")).to_be_visible()
    page.locator("[name='joint-knee-x']").fill("31")
    page.get_by_role("button", name="Keep it", exact=True).click()
    expect(page.locator("#messages")).to_contain_text("What you placed is kept.")
    assert DrawingJoint.objects.get(kind="knee").x_mm == 31


def test_nothing_axe_minds_and_nothing_sticks_out(
    open_page: OpenPage,
    desk: Desk,
    width: int,
    find_faults: Callable[[Page], list[str]],
) -> None:
    long = desk.role(LONG, LONG[:36], "coat")
    empty = desk.role("Gulls", "", "plain")
    lay_whole(long, desk.lead, with_photo=True)
    DrawingJoint.objects.filter(kind="hip").update(x_mm=14)
    page = open_page(desk.lead, width)
    for address in (
        f"/guises/{long.pk}/drawing/",
        f"/guises/{long.pk}/drawing/outline/thigh/",
        f"/guises/{empty.pk}/drawing/",
        f"/company/{desk.company.pk}/proportions/",
    ):
        page.goto(address)
        assert find_faults(page) == []
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )


class TestOutline:
    def test_clicked_round_a_part(
        self, open_page: OpenPage, desk: Desk, guise: Guise, find_faults: Any
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        page = open_drawing(open_page, desk, guise, DESK)
        page.get_by_role("link", name="thigh", exact=True).click()
        assert find_faults(page) == []
        # Corners by hand: (x, y) mm lies at (500 - 2x, 1300 - 2y) of the photo.
        for x, y in ((-25, 300), (25, 300), (45, 165), (60, 60), (10, 160)):
            page.mouse.click(*on_screen(page, 500 - 2 * x, 1300 - 2 * y))
        page.get_by_role("button", name="Take the last point back").click()
        page.mouse.click(*on_screen(page, 500 - 2 * 10, 1300 - 2 * 160))
        lines = page.locator("[name=outline]").input_value().splitlines()
        assert len(lines) == 5
        assert [float(n) for n in lines[0].split()] == pytest.approx([-25, 300], abs=1)
        page.get_by_role("button", name="Keep the outline").click()
        expect(page.locator("#messages")).to_contain_text("The thigh has the outline you drew.")
        part = read(guise).parts.get(kind="thigh")
        assert (part.shape, len(part.outline or [])) == ("outline", 5)

    def test_typed_without_scripts(self, open_page: OpenPage, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead)
        page = open_page(desk.lead, PHONE, javascript=False)
        page.goto(f"/guises/{guise.pk}/drawing/outline/thigh/")
        page.locator("[name=outline]").fill("-20 300\n20")
        page.get_by_role("button", name="Keep the outline").click()
        expect(page.locator("main")).to_contain_text("Line 2: write two numbers, as 12 340.")
        page.locator("[name=outline]").fill("-20 300\n20 300\n30,5 160\n0 160")
        page.get_by_role("button", name="Keep the outline").click()
        expect(page.locator("#messages")).to_contain_text("The thigh has the outline you drew.")
        assert read(guise).parts.get(kind="thigh").outline[2] == [30.5, 160]


class TestPanAndPinch:
    def box(self, page: Page) -> list[float]:
        return [float(n) for n in (picture(page).get_attribute("viewBox") or "").split()]

    def test_a_drag_on_the_empty_paper_moves_the_picture_and_places_nothing(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, DESK)
        before = self.box(page)
        x, y = on_screen(page, 70, -60)
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 60, y + 40, steps=5)
        page.mouse.up()
        after = self.box(page)
        assert after[0] < before[0]
        assert after[1] < before[1]
        assert after[2:] == before[2:]
        assert (value(page, "joint-knee-x"), value(page, "joint-knee-y")) == (28, 160)
        page.get_by_role("button", name="Whole").click()
        assert self.box(page) == before

    def test_two_fingers_apart_bring_it_nearer(
        self, open_page: OpenPage, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead)
        page = open_drawing(open_page, desk, guise, PHONE)
        before = self.box(page)
        x, y = on_screen(page, 40, -300)
        touch = page.context.new_cdp_session(page)

        def fingers(kind: str, apart: float) -> None:
            points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
            touch.send(
                "Input.dispatchTouchEvent",
                {"type": kind, "touchPoints": [] if kind == "touchEnd" else points},
            )

        fingers("touchStart", 20)
        for apart in (30, 40, 50, 60):
            fingers("touchMove", apart)
        fingers("touchEnd", 60)
        after = self.box(page)
        assert after[2] < before[2] * 0.5
        assert after[2] / after[3] == pytest.approx(before[2] / before[3], rel=0.01)
        assert (value(page, "joint-knee-x"), value(page, "joint-knee-y")) == (28, 160)


def test_a_reader_looks_at_it(
    open_page: OpenPage,
    desk: Desk,
    guise: Guise,
    width: int,
    find_faults: Callable[[Page], list[str]],
) -> None:
    lay_whole(guise, desk.lead, with_photo=True)
    page = open_page(person(desk.company, Role.READER, "Odile"), width)
    for address in (
        f"/guises/{guise.pk}/drawing/",
        f"/shows/{desk.show.pk}/guises/{guise.pk}/",
    ):
        page.goto(address)
        assert find_faults(page) == []
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        )
    assert page.locator("form[data-placing]").count() == 0
