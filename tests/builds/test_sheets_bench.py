"""What stands on a bench sheet: steps, hours, days, who leads, who has it next, facts, pictures."""

from __future__ import annotations

import io
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from PIL import Image

from builds.models import Figure, Step
from builds.queries.sheets.bench import bench_sheets, figure_link
from builds.queries.sheets.desk import Desk as ReadDesk
from builds.queries.sheets.papers import BenchSheet
from builds.services.figures import edit_figure
from builds.services.hours import log_work
from builds.services.photos import add_photo, strike_photo
from builds.services.plans import make_plan, pin_up
from builds.services.work import begin_step, call_lead, finish_step, pass_step
from builds.sheets import NothingToPrint, desk_for
from company import clock
from company.models import Company, DayOff, Maker, OtherWork
from scenes.models import Guise, Sketch
from scenes.services.sketches import add_sketch, choose_sketch
from tests.builds.workshop import MORNING, Workshop

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
TUESDAY = MORNING + timedelta(days=1)
THURSDAY = MORNING + timedelta(days=3)


@pytest.fixture
def shop() -> Workshop:
    return pinned(Workshop())


def pinned(shop: Workshop) -> Workshop:
    """With a plan of Monday morning on the wall.

    Ines carves Monday 9 to 17 and Tuesday to 11, both hang it until 12, Tomas paints until 14;
    it dries a day; Ines trues it on Wednesday at 14, Tomas bags it at 15.
    """
    with clock.fixed_at(MORNING):
        pin_up(plan=make_plan(show=shop.show, user=shop.lead, work=0), user=shop.lead)
    return shop


def read(shop: Workshop, now: datetime = MORNING) -> ReadDesk:
    with clock.fixed_at(now):
        return desk_for(shop.show)


def sheets(shop: Workshop, tag: str = "J1", now: datetime = MORNING) -> dict[str, BenchSheet]:
    """The figure's sheets by person."""
    desk = read(shop, now)
    figure = next(figure for figure in desk.figures if figure.tag == tag)
    return {sheet.maker: sheet for sheet in bench_sheets(desk, figure)}


def rows(sheet: BenchSheet) -> dict[str, Any]:
    return {step.name: step for step in sheet.steps}


def facts(sheet: BenchSheet) -> dict[str, str]:
    return {fact.word: fact.text for fact in sheet.facts}


def do(shop: Workshop, key: str, at: datetime, maker: Maker, minutes: int = 60) -> Step:
    """The step begun and finished, and passed where it is a gate."""
    with clock.fixed_at(at):
        step = begin_step(step=shop.step(key), user=shop.lead, maker=maker, reason="as it was")
        step = finish_step(step=step, user=shop.lead, maker=maker, minutes=minutes)
        return pass_step(step=step, user=shop.lead) if step.stage.gate else step


class TestSteps:
    def test_one_sheet_for_each_person_the_lead_last(self, shop: Workshop) -> None:
        assert list(sheets(shop)) == ["Tomas", "Ines"]

    def test_parts_of_a_long_step_are_one_row_with_its_days(self, shop: Workshop) -> None:
        carve = rows(sheets(shop)["Ines"])["Carve"]
        assert carve.hours == "10 h"
        assert carve.when == ("Mon 3 May, 09:00 to 17:00", "Tue 4 May, 09:00 to 11:00")

    def test_hours_over_many_days_are_given_a_day(self) -> None:
        shop = Workshop()
        shop.comes(shop.ines, range(5), 9, 11)
        carve = rows(sheets(pinned(shop))["Ines"])["Carve"]
        assert carve.when == (
            "Mon 3 May, 2 h",
            "Tue 4 May, 2 h",
            "Wed 5 May, 2 h",
            "Thu 6 May, 2 h",
            "Fri 7 May, 2 h",
        )

    def test_of_a_capped_craft_the_sheet_says_the_hours_that_count(self) -> None:
        """Two hours of carving a day though she is in for eight."""
        shop = Workshop()
        shop.crafts["carve"].daily_cap_min = 120
        shop.crafts["carve"].save()
        carve = rows(sheets(pinned(shop))["Ines"])["Carve"]
        assert carve.when[:2] == ("Mon 3 May, 2 h", "Tue 4 May, 2 h")
        assert len(carve.when) == 5

    def test_both_people_of_a_step_have_it(self, shop: Workshop) -> None:
        found = sheets(shop)
        assert rows(found["Ines"])["Hang"].remarks == ("with Tomas",)
        assert rows(found["Tomas"])["Hang"].remarks == ("help Ines",)

    def test_a_gate_is_marked_and_says_who_goes_on(self, shop: Workshop) -> None:
        hang = rows(sheets(shop)["Ines"])["Hang"]
        assert hang.is_gate
        assert hang.then == "Then Tomas, Tue 4 May: Paint"
        assert rows(sheets(shop)["Tomas"])["Hang"].then == ""  # he goes on himself
        assert rows(sheets(shop)["Ines"])["Carve"].is_gate is False

    def test_drying_has_its_length_and_its_end(self, shop: Workshop) -> None:
        paint = rows(sheets(shop)["Tomas"])["Paint"]
        assert (paint.drying, paint.dry_until) == ("1 day", "Wed 5 May 14:00")
        assert paint.then == "Then Ines, Wed 5 May: True"
        assert rows(sheets(shop)["Tomas"])["Bag"].drying == ""

    def test_begun_work_counts_from_now(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING + timedelta(hours=2)):
            step = begin_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
            log_work(step=step, user=shop.lead, minutes=240, maker=shop.ines)
        carve = rows(sheets(shop, now=TUESDAY)["Ines"])["Carve"]
        assert carve.hours == "6 h left"
        assert carve.when == ("Tue 4 May, 09:00 to 11:00",)
        assert carve.remarks == ("begun 3 May",)

    def test_begun_work_is_never_said_to_be_nothing(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING + timedelta(hours=2)):
            step = begin_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
            log_work(step=step, user=shop.lead, minutes=700, maker=shop.ines)
        assert rows(sheets(shop, now=TUESDAY)["Ines"])["Carve"].hours == "15 min left"

    def test_finished_and_struck_steps_vanish(self, shop: Workshop) -> None:
        do(shop, "carve", MORNING + timedelta(hours=2), shop.ines)
        Step.objects.filter(stage__key="bag").update(struck_at=MORNING)
        found = sheets(shop, now=TUESDAY)
        assert list(rows(found["Ines"])) == ["Hang", "True"]
        assert list(rows(found["Tomas"])) == ["Hang", "Paint"]

    def test_a_figure_that_is_done_has_no_sheet(self, shop: Workshop) -> None:
        Step.objects.update(begun_at=MORNING, finished_at=MORNING, passed_at=MORNING)
        assert sheets(shop) == {}

    def test_what_was_not_done_in_time_is_still_open(self, shop: Workshop) -> None:
        found = sheets(shop, now=THURSDAY)
        assert rows(found["Tomas"])["Paint"].when == ("still open, planned for Tue 4 May",)
        assert rows(found["Tomas"])["Paint"].dry_until == ""
        assert found["Tomas"].days == "left over from earlier days"

    def test_who_began_a_step_has_it_whomever_the_plan_named(self, shop: Workshop) -> None:
        for key in ("carve", "hang"):
            do(shop, key, MORNING + timedelta(hours=2), shop.ines)
        with clock.fixed_at(TUESDAY):
            begin_step(step=shop.step("paint"), user=shop.lead, maker=shop.ines)
        found = sheets(shop, now=TUESDAY)
        assert list(rows(found["Tomas"])) == ["Bag"]
        assert rows(found["Ines"])["Paint"].when == ("still open, planned for Tue 4 May",)
        assert rows(found["Ines"])["Paint"].remarks == ("begun 4 May",)

    def test_a_call_for_the_lead_and_a_note_stand_with_the_step(self, shop: Workshop) -> None:
        for key in ("carve", "hang"):
            do(shop, key, MORNING + timedelta(hours=2), shop.ines)
        with clock.fixed_at(TUESDAY):
            step = begin_step(step=shop.step("paint"), user=shop.lead, maker=shop.tomas)
            call_lead(step=step, user=shop.lead, words="One more coat?")
        Step.objects.filter(pk=step.pk).update(note="Thin coats.")
        paint = rows(sheets(shop, now=TUESDAY)["Tomas"])["Paint"]
        assert "Ines was asked: wait for the answer" in paint.remarks
        assert paint.note == "Thin coats."

    def test_days_are_those_of_the_companys_clock(self) -> None:
        """On Monday 18:00 UTC it is Tuesday 6:00 in Auckland, before anybody is in."""
        shop = Workshop()
        Company.objects.update(time_zone="Pacific/Auckland")
        at = datetime(2027, 5, 3, 18, 0, tzinfo=ZoneInfo("UTC"))
        with clock.fixed_at(at):
            pin_up(plan=make_plan(show=shop.show, user=shop.lead, work=0), user=shop.lead)
        carve = rows(sheets(shop, now=at)["Ines"])["Carve"]
        assert carve.when == ("Tue 4 May, 09:00 to 17:00", "Wed 5 May, 09:00 to 11:00")

    def test_hours_taken_away_since_leave_the_plans_own_times(self, shop: Workshop) -> None:
        shop.comes(shop.tomas, [], 9, 17)
        assert rows(sheets(shop)["Tomas"])["Paint"].when == ("Tue 4 May, 12:00 to 14:00",)


class TestHead:
    def test_days_and_who_leads(self, shop: Workshop) -> None:
        tomas = sheets(shop)["Tomas"]
        assert tomas.days == "Tuesday 4 May and Wednesday 5 May"
        assert tomas.lead_words == "Ines leads and is in both days."
        assert (tomas.lead, tomas.is_for_lead) == ("Ines", False)
        ines = sheets(shop)["Ines"]
        assert (ines.lead_words, ines.is_for_lead) == ("You lead.", True)

    def test_on_which_days_nobody_leads(self, shop: Workshop) -> None:
        DayOff.objects.create(
            company=shop.company, maker=shop.ines, first=date(2027, 5, 5), last=date(2027, 5, 5)
        )
        words = "Ines leads; nobody is there to ask on Wednesday 5 May: ask beforehand."
        assert sheets(shop)["Tomas"].lead_words == words
        OtherWork.objects.create(
            maker=shop.ines, first=date(2027, 5, 4), last=date(2027, 5, 4), word="writing"
        )
        words = "Ines leads, but is not in then: ask beforehand."
        assert sheets(shop)["Tomas"].lead_words == words

    def test_of_two_leads_the_one_who_is_in(self, shop: Workshop) -> None:
        odile = Maker.objects.create(company=shop.company, name="Odile", is_lead=True)
        shop.comes(odile, [2], 9, 17)
        DayOff.objects.create(
            company=shop.company, maker=shop.ines, first=date(2027, 5, 5), last=date(2027, 5, 5)
        )
        words = "Who leads: Ines on Tuesday 4 May; Odile on Wednesday 5 May."
        assert sheets(shop)["Tomas"].lead_words == words

    def test_without_a_lead(self, shop: Workshop) -> None:
        Maker.objects.update(is_lead=False)
        tomas = sheets(shop)["Tomas"]
        assert tomas.lead_words == "Nobody leads on these days: ask beforehand."
        assert tomas.lead == "the lead"

    def test_who_has_it_next_and_where_it_goes_back(self, shop: Workshop) -> None:
        found = sheets(shop)
        assert found["Tomas"].next_words == "Nobody has it next in this plan."
        words = "Tomas has it next, Wednesday 5 May: Bag."
        assert found["Ines"].next_words == words
        edit_figure(figure=shop.figure("J1"), user=shop.lead, version=None, place="shelf B")
        assert sheets(shop)["Ines"].back_words == "shelf B"

    def test_what_it_was_printed_from(self, shop: Workshop) -> None:
        words = "pinned-up plan of 3 May, plot draft 1, printed 4 May 2027"
        assert sheets(shop, now=TUESDAY)["Tomas"].printed_from == words

    def test_a_draft_says_that_it_is_one(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead, work=0)
        words = "draft plan of 3 May, not pinned up, plot draft 1, printed 3 May 2027"
        assert sheets(shop)["Tomas"].printed_from == words
        with pytest.raises(NothingToPrint, match="pinned up"):
            desk_for(shop.show, only_pinned_up=True)

    def test_the_pinned_up_plan_goes_before_a_newer_draft(self, shop: Workshop) -> None:
        shop.comes(shop.tomas, [3], 9, 17)
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead, work=0)
        assert read(shop).plan.is_pinned_up

    def test_the_code_leads_to_the_figure_for_ever(self, shop: Workshop, settings: Any) -> None:
        settings.SITE_URL = "https://strung.example"
        figure = shop.figure("J1")
        link = f"https://strung.example/f/{figure.public_key}/"
        assert figure_link(figure) == link
        tomas = sheets(shop)["Tomas"]
        assert tomas.link == link.removeprefix("https://")
        assert link in tomas.code


def picture(colour: str = "tan") -> tuple[io.BytesIO, int]:
    out = io.BytesIO()
    Image.new("RGB", (24, 32), colour).save(out, "PNG")
    out.seek(0)
    return out, len(out.getbuffer())


def take(shop: Workshop, subject: Figure | Step, day: int, words: str = "") -> Any:
    upload, size = picture()
    with clock.fixed_at(MORNING + timedelta(days=day)):
        return add_photo(subject=subject, user=shop.lead, upload=upload, size=size, words=words)


class TestFacts:
    @pytest.fixture
    def twins(self) -> Workshop:
        return pinned(Workshop(figures=2))

    def test_what_is_known_of_the_figure(self, twins: Workshop) -> None:
        Guise.objects.update(
            height_mm=430, head_mm=84, words="quick, hungry, bright", colours="white 6, ochre 1"
        )
        twin = twins.figure("J2")
        edit_figure(figure=twin, user=twins.lead, version=None, place="shelf B")
        found = facts(sheets(twins)["Tomas"])
        assert found["Character"] == "quick, hungry, bright"
        assert found["Stands"] == "430 mm ±3 to the crown; head 84 mm ±1"
        assert found["Wears"] == "smock 1"
        assert found["Twin of"] == "J2 (shelf B): keep them the same"
        assert found["Colour"] == "white 6, ochre 1"
        assert found["Needed by"] == "Tuesday 1 June, first rehearsal"

    def test_inches_for_those_who_work_in_them(self, twins: Workshop) -> None:
        """430 mm is 16.93 in, 84 mm 3.31 in, 3 mm 0.12 in (NIST SP 811: 1 in = 25.4 mm)."""
        Guise.objects.update(height_mm=430, head_mm=84)
        Company.objects.update(units=Company.Units.US)
        tomas = sheets(twins)["Tomas"]
        assert facts(tomas)["Stands"] == "16.93 in ±0.12 to the crown; head 3.31 in ±0.04"
        assert tomas.mass_unit == "oz"

    def test_what_is_not_known_leaves_room_to_write(self, twins: Workshop) -> None:
        lined = {fact.word for fact in sheets(twins)["Tomas"].facts if fact.has_line}
        assert lined == {"Stands", "Lies", "Colour", "Lots"}

    def test_a_pass_that_is_waited_for(self, twins: Workshop) -> None:
        do(twins, "carve", MORNING + timedelta(hours=2), twins.ines)
        with clock.fixed_at(TUESDAY):
            step = begin_step(step=twins.step("hang"), user=twins.lead, maker=twins.ines)
            finish_step(step=step, user=twins.lead, maker=twins.ines, minutes=60)
        assert facts(sheets(twins, now=TUESDAY)["Tomas"])["Waits"] == "for Ines's pass: Hang"

    def test_the_last_photos_of_the_piece_and_its_twin(self, twins: Workshop) -> None:
        take(twins, twins.figure("J1"), -3, "first")
        last = take(twins, twins.step("carve"), -2, "second")
        take(twins, twins.figure("J2"), -5)
        struck = take(twins, twins.figure("J1"), -1, "struck")
        strike_photo(photo=struck, user=twins.lead)
        own, twin = sheets(twins)["Tomas"].photos
        assert own.words == "J1 on 1 May: second"
        assert own.address.endswith(last.file.name)
        assert twin.words == "its twin J2 on 28 Apr"

    def test_a_photo_whose_file_is_gone_is_left_out(self, twins: Workshop) -> None:
        photo = take(twins, twins.figure("J1"), -3)
        photo.file.storage.delete(photo.file.name)
        assert sheets(twins)["Tomas"].photos == ()

    def test_only_the_chosen_sketch(self, twins: Workshop) -> None:
        made = []
        for _ in range(2):
            upload, size = picture()
            made.append(
                add_sketch(guise=twins.guise, user=twins.lead, upload=upload, size=size, words="")
            )
        assert sheets(twins)["Tomas"].sketch is None
        choose_sketch(sketch=made[1], user=twins.lead)
        sketch = sheets(twins)["Tomas"].sketch
        assert sketch is not None
        assert sketch.address.endswith(made[1].file.name)
        assert Sketch.objects.get(pk=made[0].pk).file.name not in sketch.address
