"""Week sheets: a person's days, what is left over, what waits for the lead, quiet weeks."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from builds.models import Step
from builds.queries.sheets.listing import list_papers
from builds.queries.sheets.papers import WeekSheet
from builds.queries.sheets.week import mondays_of, week_sheet
from builds.services.work import begin_step, finish_step
from builds.sheets import week_file
from company import clock
from company.models import Company, Maker, OtherWork
from company.services.hours import add_day_off
from tests.builds.test_sheets_bench import THURSDAY, TUESDAY, do, pinned, read
from tests.builds.workshop import MONDAY, MORNING, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    return pinned(Workshop())


def week(shop: Workshop, maker: Maker, now: datetime = MORNING, monday: date = MONDAY) -> WeekSheet:
    with clock.fixed_at(now):
        return week_sheet(read(shop, now), maker, monday)


def said(sheet: WeekSheet) -> list[tuple[str, str, str, str]]:
    """Day, step, times and hours of every row."""
    return [
        (day.name.split()[0], step.name, " ".join(step.when), step.hours)
        for day in sheet.days
        for step in day.steps
    ]


class TestDays:
    def test_a_week_by_hand(self, shop: Workshop) -> None:
        ines = week(shop, shop.ines)
        assert said(ines) == [
            ("Monday", "Carve", "09:00 to 17:00", "8 h"),
            ("Tuesday", "Carve", "09:00 to 11:00", "2 h"),
            ("Tuesday", "Hang", "11:00 to 12:00", "1 h"),
            ("Wednesday", "True", "14:00 to 15:00", "1 h"),
        ]
        assert ines.lede == "3\u00a0steps, on Monday, Tuesday and Wednesday."
        assert ines.title == "Ines, week of 3 May"

    def test_a_step_that_goes_on_says_until_when(self, shop: Workshop) -> None:
        monday, tuesday, *_ = week(shop, shop.ines).days
        assert monday.steps[0].remarks == ("goes on until 4 May",)
        assert tuesday.steps[0].remarks == ()
        assert monday.steps[0].subject == "J1, Jory Tarrow at nine"

    def test_drying_stands_where_the_step_ends(self, shop: Workshop) -> None:
        tuesday = next(day for day in week(shop, shop.tomas).days if "Tuesday" in day.name)
        paint = next(step for step in tuesday.steps if step.name == "Paint")
        assert (paint.drying, paint.dry_until) == ("1 day", "Wed 5 May 14:00")

    def test_a_day_says_its_hours_and_whether_the_lead_is_in(self, shop: Workshop) -> None:
        add_day_off(
            company=shop.company, user=shop.lead, maker=shop.ines, first=date(2027, 5, 7), word="x"
        )
        days = {day.name.split()[0]: day for day in week(shop, shop.tomas).days}
        assert days["Tuesday"].hours == "09:00 to 17:00"
        assert days["Tuesday"].lead_words == "Ines is in"
        assert days["Friday"].lead_words == "Ines is not in"
        assert days["Friday"].other == "Nothing planned"
        assert week(shop, shop.ines).days[0].lead_words == ""

    def test_other_work_and_days_off_stand_in_words(self, shop: Workshop) -> None:
        OtherWork.objects.create(
            maker=shop.tomas,
            first=date(2027, 5, 6),
            last=date(2027, 5, 6),
            start_min=600,
            end_min=720,
            word="rehearsal",
        )
        add_day_off(
            company=shop.company, user=shop.lead, first=date(2027, 5, 7), word="the shop is closed"
        )
        days = {day.name.split()[0]: day for day in week(shop, shop.tomas).days}
        assert days["Thursday"].hours == "09:00 to 10:00 and 12:00 to 17:00"
        assert days["Thursday"].other == "Rehearsal"
        assert (days["Friday"].hours, days["Friday"].other) == ("", "The shop is closed")

    def test_days_without_hours_are_left_out(self, shop: Workshop) -> None:
        assert [day.name.split()[0] for day in week(shop, shop.ines).days] == [
            "Monday",
            "Tuesday",
            "Wednesday",
            "Thursday",
            "Friday",
        ]

    def test_cautions_of_the_weeks_steps_alone(self, shop: Workshop) -> None:
        for key, stage in shop.stages.items():
            stage.cautions = f"Mind the {key}."
            stage.save()
        lines = set(week(shop, shop.tomas).care.lines)
        assert lines == {"Mind the hang.", "Mind the paint.", "Mind the bag."}


class TestLeftOver:
    def test_days_that_are_over_are_not_on_this_weeks_sheet(self, shop: Workshop) -> None:
        tuesday = week(shop, shop.ines, now=TUESDAY)
        assert tuesday.days[0].name == "Tuesday 4 May"

    def test_what_was_not_finished_is_still_open(self, shop: Workshop) -> None:
        tomas = week(shop, shop.tomas, now=THURSDAY)
        assert [(step.name, step.when) for step in tomas.still_open] == [
            ("Hang", ("Tue 4 May",)),
            ("Paint", ("Tue 4 May",)),
            ("Bag", ("Wed 5 May",)),
        ]
        assert tomas.lede == "Nothing is planned in this week. 3\u00a0steps still open from before."
        later = week(shop, shop.tomas, now=THURSDAY, monday=MONDAY + timedelta(days=7))
        assert later.still_open == ()

    def test_next_week_it_belongs_to_that_week(self, shop: Workshop) -> None:
        now = MORNING + timedelta(days=7)
        assert mondays_of(read(shop, now), shop.tomas) == [MONDAY + timedelta(days=7)]

    def test_begun_work_stands_on_the_days_to_come(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING + timedelta(hours=2)):
            begin_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
        ines = week(shop, shop.ines, now=TUESDAY)
        assert ines.still_open == ()
        assert said(ines)[0] == ("Tuesday", "Carve", "09:00 to 11:00", "2 h")

    def test_what_waits_for_the_pass_is_on_the_leads_sheet(self, shop: Workshop) -> None:
        do(shop, "carve", MORNING + timedelta(hours=2), shop.ines)
        with clock.fixed_at(MORNING + timedelta(hours=4)):
            step = begin_step(step=shop.step("hang"), user=shop.lead, maker=shop.ines)
            finish_step(step=step, user=shop.lead, maker=shop.ines, minutes=60)
        (waiting,) = week(shop, shop.ines, now=TUESDAY).for_the_pass
        assert (waiting.name, waiting.when) == ("Hang", ("Mon 3 May",))
        assert week(shop, shop.tomas, now=TUESDAY).for_the_pass == ()
        later = week(shop, shop.ines, now=TUESDAY, monday=MONDAY + timedelta(days=7))
        assert later.for_the_pass == ()


class TestQuietWeeks:
    def test_a_week_with_nothing_planned(self, shop: Workshop) -> None:
        quiet = week(shop, shop.tomas, monday=MONDAY + timedelta(days=70))
        assert quiet.lede == "Nothing is planned in this week."
        assert [day.other for day in quiet.days] == ["Nothing planned"] * 5
        assert not quiet.care

    def test_somebody_who_never_comes(self, shop: Workshop) -> None:
        odile = Maker.objects.create(company=shop.company, name="Odile")
        empty = week(shop, odile)
        assert (empty.days, empty.still_open) == ((), ())
        assert mondays_of(read(shop), odile) == []

    def test_a_week_that_is_over(self, shop: Workshop) -> None:
        past = week(shop, shop.tomas, monday=MONDAY - timedelta(days=7))
        assert past.lede == "This week is over."

    def test_weeks_begin_on_the_companys_day(self, shop: Workshop) -> None:
        Company.objects.update(week_start=5)
        assert mondays_of(read(shop), shop.tomas) == [date(2027, 5, 1)]


class TestListing:
    def test_people_weeks_and_figures(self, shop: Workshop) -> None:
        odile = Maker.objects.create(company=shop.company, name="Odile")
        with clock.fixed_at(MORNING):
            papers = list_papers(read(shop))
        assert {p.maker.name: p.weeks for p in papers.people} == {
            "Ines": (MONDAY,),
            "Tomas": (MONDAY,),
        }
        assert papers.idle == (odile,)
        (figure,) = papers.figures
        assert figure.title == "Jory Tarrow at nine, smock 1"
        assert [maker.name for maker in figure.makers] == ["Tomas", "Ines"]
        assert papers.source == "pinned-up plan of 3 May, plot draft 1"
        assert (papers.done, papers.is_empty) == (0, False)

    def test_all_done(self, shop: Workshop) -> None:
        Step.objects.update(begun_at=MORNING, finished_at=MORNING, passed_at=MORNING)
        papers = list_papers(read(shop))
        assert (papers.is_empty, papers.done) == (True, 1)

    def test_names_of_files(self, shop: Workshop) -> None:
        assert week_file(read(shop), shop.tomas, MONDAY) == "week-tomas-2027-05-03.pdf"
        for name in ("Ana B.", "ana-b"):
            Maker.objects.create(company=shop.company, name=name)
        desk = read(shop)
        names = {week_file(desk, maker, MONDAY) for maker in desk.makers}
        assert len(names) == 4
        odd = Maker(company=shop.company, name="../..")
        assert week_file(desk, odd, MONDAY) == "week-maker-2027-05-03.pdf"
