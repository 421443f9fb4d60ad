"""Other ways to look at the plan, the slip taken off the wall, and the wall on wide paper."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Stage, Step
from builds.queries.boards import read_board
from builds.queries.drying import read_drying
from builds.queries.fullness import read_fullness
from builds.queries.wall import read_wall
from builds.services.plans import make_plan, pin_up
from builds.services.work import begin_step
from builds.sheets import wall_paper
from company import clock
from company.models import Change, Role
from scenes.models import Show
from tests.builds.workshop import MONDAY, MORNING, Workshop
from tests.factories import person
from tests.papers import read_words

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
SLIP_QUERIES = 19
WALL_QUERIES = {"person": 32, "figure": 31, "drying": 28, "full": 32, "list": 24}


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    return Workshop()


@pytest.fixture
def lead(shop: Workshop, client: Client) -> Client:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


def plan_it(shop: Workshop) -> Any:
    with clock.fixed_at(MORNING):
        return make_plan(show=shop.show, user=shop.lead)


def slip(shop: Workshop, maker: Any, day: date) -> str:
    return reverse("builds:plan_slip", args=[shop.show.pk, maker.pk, day.isoformat()])


class TestBoards:
    def test_by_person_hours_stand_beside_the_hours_there_are(self, shop: Workshop) -> None:
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            board = read_board(shop.show, plan, "person", None, 6)
        ines, tomas = board.rows
        assert (ines.name, ines.note) == ("Ines", "lead")
        first = ines.cells[0]
        assert [line.words for line in first.lines] == ["carve J1", "hang J1", "true J1"]
        assert (first.minutes, first.room_min) == (720, 5 * 480)
        # Tomas stands beside Ines for the trial hang: that hour is his too
        assert [line.words for line in tomas.cells[0].lines] == ["hang J1", "paint J1", "bag J1"]
        assert not tomas.cells[0].is_full

    def test_days_that_have_gone_hold_no_hours_any_more(self, shop: Workshop) -> None:
        """On Wednesday the week has three days left, and Monday is not 'nought of eight hours'."""
        plan = plan_it(shop)
        wednesday = MORNING + timedelta(days=2)
        with clock.fixed_at(wednesday):
            weeks = read_board(shop.show, plan, "person", None, 6)
            days = read_board(shop.show, plan, "person", None, 2)
        assert weeks.rows[0].cells[0].room_min == 3 * 480
        assert [cell.room_min for cell in days.rows[0].cells[:4]] == [None, None, 480, 480]

    def test_what_a_week_does_not_show_is_one_press_away(
        self, settings: Any, client: Client
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=4)
        plan_it(shop)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        with clock.fixed_at(MORNING):
            page = client.get(
                reverse("builds:wall_plan", args=[shop.show.pk]), {"by": "person", "weeks": 6}
            ).content.decode()
        assert '<a href="?by=person&amp;weeks=2&amp;from=2027-05-03" hx-boost="false">and ' in page

    def test_of_two_weeks_each_day_has_a_column(self, shop: Workshop) -> None:
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            days = read_board(shop.show, plan, "person", None, 2)
            weeks = read_board(shop.show, plan, "person", None, 4)
        assert [column.first.day for column in days.columns] == [3, 4, 5, 6, 7, 10, 11, 12, 13, 14]
        assert [column.first.day for column in weeks.columns] == [3, 10, 17, 24]
        assert days.rows[0].cells[0].is_full

    def test_by_figure_says_who(self, shop: Workshop) -> None:
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            (row,) = read_board(shop.show, plan, "figure", None, 6).rows
        assert row.name == "J1"
        said = [line.words for line in row.cells[0].lines]
        assert said == [
            "carve, Ines", "hang, Ines and Tomas", "paint, Tomas", "true, Ines", "bag, Tomas",
        ]  # fmt: skip

    def test_two_at_once_are_counted_only_while_both_are_in(self, shop: Workshop) -> None:
        """Ines could begin on Monday; with Tomas in on Tuesdays alone the hang is one day's."""
        shop.comes(shop.tomas, [1], 9, 10)
        Stage.objects.filter(key="hang").update(hours_min=120)
        Step.objects.filter(stage__key="hang").update(own_min=120)
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            board = read_board(shop.show, plan, "person", None, 6)
        hang = [
            (column.first.day, line.minutes)
            for column, cell in zip(board.columns, board.rows[0].cells, strict=True)
            for line in cell.lines
            if line.words == "hang J1"
        ]
        assert hang == [(10, 60), (17, 60)]


class TestDryingAndFullness:
    def test_paint_dries_for_its_day(self, shop: Workshop) -> None:
        plan = plan_it(shop)
        first, last = datetime(2027, 5, 3, tzinfo=LONDON), datetime(2027, 5, 31, tzinfo=LONDON)
        with clock.fixed_at(MORNING):
            (row,) = read_drying(shop.show, plan, first, last).rows
        (span,) = row.spans
        assert (row.name, span.sort) == ("J1", "dries")
        assert (span.finish - span.start).days == 1
        assert "drying" in span.words

    def test_who_is_full_is_said_and_only_of_the_hours_left(self, shop: Workshop) -> None:
        shop.comes(shop.tomas, [1], 11, 12)  # when Ines needs him for the trial hang
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            fullness = read_fullness(shop.show, plan)
        tomas = next(load for load in fullness.loads if load.name == "Tomas")
        assert [(week.planned_min, week.room_min) for week in tomas.weeks] == [(60, 60)]
        assert fullness.lede == "Full to the brim: Tomas in the week of 3 May."
        crafts = {load.name: load for load in fullness.loads if load.is_craft}
        assert crafts["carve"].weeks[0].planned_min == 600 + 60 + 60


class TestPages:
    @pytest.mark.parametrize("by", list(WALL_QUERIES))
    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self,
        settings: Any,
        client: Client,
        django_assert_num_queries: Any,
        by: str,
        figures: int,
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=figures)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        plan_it(shop)
        with clock.fixed_at(MORNING), django_assert_num_queries(WALL_QUERIES[by]):
            answer = client.get(reverse("builds:wall_plan", args=[shop.show.pk]), {"by": by})
        assert answer.status_code == 200

    @pytest.mark.parametrize("junk", ["?weeks=5", "?by=nothing", "?weeks=many&from=never"])
    def test_what_makes_no_sense_is_as_if_not_asked(
        self, shop: Workshop, lead: Client, junk: str
    ) -> None:
        plan_it(shop)
        answer = lead.get(reverse("builds:wall_plan", args=[shop.show.pk]) + junk)
        assert (answer.context["asked"].by, answer.context["asked"].weeks) == ("day", 6)

    def test_weeks_and_way_stay_while_one_turns_the_pages(
        self, shop: Workshop, lead: Client
    ) -> None:
        Step.objects.filter(stage__key="carve").update(own_min=6000)
        plan_it(shop)
        address = reverse("builds:wall_plan", args=[shop.show.pk])
        answer = lead.get(address, {"by": "person", "weeks": "2"})
        assert answer.context["later"] == "?by=person&weeks=2&from=2027-05-17"
        assert 'value="2" selected' in answer.content.decode()


class TestSlip:
    def test_the_steps_of_a_day_with_what_may_be_set(self, shop: Workshop, lead: Client) -> None:
        plan_it(shop)
        answer = lead.get(slip(shop, shop.ines, date(2027, 5, 4)))
        page = answer.content.decode()
        assert [row.step.stage.key for row in answer.context["slip"].steps] == ["carve", "hang"]
        assert "with Tomas" in page
        assert page.count('name="not_before"') == 2

    def test_a_reader_looks_and_sets_nothing(self, shop: Workshop, client: Client) -> None:
        with clock.fixed_at(MORNING):
            pin_up(plan=plan_it(shop), user=shop.lead)
        reader = person(shop.company, Role.READER, "Odile")
        client.force_login(reader, backend="django.contrib.auth.backends.ModelBackend")
        page = client.get(slip(shop, shop.ines, MONDAY)).content.decode()
        assert "Carve J1" in page
        assert "not_before" not in page

    def test_not_before_a_day_moves_the_plan_at_once(self, shop: Workshop, lead: Client) -> None:
        plan_it(shop)
        step = shop.step("carve")
        answer = lead.post(
            reverse("builds:step_place", args=[step.pk]),
            {
                "version": step.version,
                "maker": shop.ines.pk,
                "day": "2027-05-03",
                "pinned_maker": "",
                "not_before": "2027-05-10",
            },
        )
        assert answer.status_code == 302
        step.refresh_from_db()
        assert step.not_before == date(2027, 5, 10)
        assert Change.objects.filter(noun="step", row=step.pk).exists()

    def test_pinning_to_somebody_who_may_not_is_refused_by_name(
        self, shop: Workshop, lead: Client
    ) -> None:
        plan_it(shop)
        step = shop.step("carve")
        values = {
            "version": step.version, "maker": shop.ines.pk, "day": "2027-05-03",
            "pinned_maker": shop.tomas.pk, "not_before": "2027-09-01",
        }  # fmt: skip
        answer = lead.post(reverse("builds:step_place", args=[step.pk]), values)
        assert answer.status_code == 422
        step.refresh_from_db()
        assert (step.pinned_maker, step.not_before) == (None, None)

    def test_somebody_was_quicker(self, shop: Workshop, lead: Client) -> None:
        plan_it(shop)
        step = shop.step("carve")
        values = {
            "version": step.version, "maker": shop.ines.pk, "day": "2027-05-03",
            "pinned_maker": shop.ines.pk, "not_before": "",
        }  # fmt: skip
        address = reverse("builds:step_place", args=[step.pk])
        assert lead.post(address, values).status_code == 302
        answer = lead.post(address, values | {"pinned_maker": ""})
        assert answer.status_code == 409
        assert "Somebody was quicker" in answer.content.decode()

    def test_work_under_way_stays_with_its_person(self, shop: Workshop, lead: Client) -> None:
        with clock.fixed_at(MORNING):
            begin_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
        plan_it(shop)
        page = lead.get(slip(shop, shop.ines, MONDAY)).content.decode()
        assert "Under way: it stays with Ines" in page

    @pytest.mark.parametrize("day", ["never", "2027-13-01", "0001-01-01"])
    def test_no_such_day_is_not_found(self, shop: Workshop, lead: Client, day: str) -> None:
        plan_it(shop)
        address = reverse("builds:plan_slip", args=[shop.show.pk, shop.ines.pk, day])
        assert lead.get(address).status_code == 404

    def test_a_day_without_work_says_so(self, shop: Workshop, lead: Client) -> None:
        plan_it(shop)
        page = lead.get(slip(shop, shop.tomas, MONDAY)).content.decode()
        assert "the plan has moved on" in page

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, settings: Any, client: Client, django_assert_num_queries: Any, figures: int
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=figures)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        plan_it(shop)
        with django_assert_num_queries(SLIP_QUERIES):
            client.get(slip(shop, shop.ines, MONDAY))


class TestPaper:
    def test_the_wall_stands_on_a3_and_says_what_sets_the_date(self, shop: Workshop) -> None:
        plan = plan_it(shop)
        with clock.fixed_at(MORNING):
            file = wall_paper(shop.show, plan, "A4")
            wall = read_wall(shop.show, plan)
        words = read_words(file.pdf())
        assert file.name == "wall-plan.pdf"
        assert file.sheets[0].paper == "A3 landscape"
        assert "Wall plan" in words
        slips = [slip for day in wall.plan.weeks[0].days for slip in day.slips]
        assert all(slip.maker in words for slip in slips)
        assert "thread" in words
        assert "draft of a plan made 3 May 2027" in words

    def test_letter_companies_get_the_double_of_letter(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            file = wall_paper(shop.show, plan_it(shop), "Letter")
        assert file.sheets[0].paper == "ledger landscape"

    def test_without_a_plan_it_says_so(self, shop: Workshop, lead: Client) -> None:
        answer = lead.get(reverse("builds:sheet_wall", args=[shop.show.pk]))
        assert answer.status_code == 422
        assert "There is no plan yet" in answer.content.decode()

    def test_helpers_print_what_is_pinned_up(self, shop: Workshop, client: Client) -> None:
        plan_it(shop)
        maker = person(shop.company, Role.MAKER, "Tomas")
        client.force_login(maker, backend="django.contrib.auth.backends.ModelBackend")
        address = reverse("builds:sheet_wall", args=[shop.show.pk])
        assert client.get(address).status_code == 422
        pin_up(plan=Show.objects.get().plans.first(), user=shop.lead)  # type: ignore[arg-type]
        answer = client.get(address)
        assert answer["Content-Type"] == "application/pdf"
