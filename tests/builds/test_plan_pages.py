"""The wall plan, today at the bench and the thread: what they say, to whom, in how many queries."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Figure, Plan, PlanRun, Step
from builds.queries.pieces import week_of
from builds.queries.thread import read_thread
from builds.queries.today import read_today
from builds.queries.wall import read_wall
from builds.services.plans import make_plan, pin_up
from builds.services.work import call_lead, finish_step
from company import clock
from company.drawing import Knot
from company.models import Role
from company.services.hours import add_other_work
from tests.builds.workshop import MONDAY, MORNING, Workshop
from tests.factories import person

pytestmark = pytest.mark.django_db
WALL_QUERIES = 24
TODAY_QUERIES = 24


@pytest.fixture
def shop() -> Workshop:
    return Workshop()


def enter(client: Client, shop: Workshop) -> Client:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


class TestWall:
    def test_slips_stand_on_the_days_people_come(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            wall = read_wall(shop.show, plan)
        week = wall.plan.weeks[0]
        said = [
            (day.day.day, slip.maker, slip.words, slip.work_min)
            for day in week.days
            for slip in day.slips
        ]
        assert said == [
            (3, "Ines", "carve J1", 480),
            (4, "Ines", "carve J1, hang J1", 180),
            (4, "Tomas", "paint J1", 120),
            (5, "Ines", "true J1", 60),
            (5, "Tomas", "bag J1", 60),
        ]

    def test_the_thread_runs_through_what_sets_the_date(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            wall = read_wall(shop.show, plan)
        slips = [slip for day in wall.plan.weeks[0].days for slip in day.slips]
        assert [slip.sets_date for slip in slips] == [1, 2, 3, 4, 5]
        assert "J1" in plan.chain_words

    def test_other_work_and_marked_days_stand_on_it(self, shop: Workshop) -> None:
        add_other_work(maker=shop.ines, user=shop.lead, word="writing", first=date(2027, 5, 7))
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            wall = read_wall(shop.show, plan, date(2027, 5, 31))
            here = read_wall(shop.show, plan)
        friday = here.plan.weeks[0].days[4]
        assert [(slip.maker, slip.words, slip.is_other_work) for slip in friday.slips] == [
            ("Ines", "writing", True)
        ]
        assert wall.plan.weeks[0].days[1].mark == "first rehearsal"
        assert wall.plan.weeks[4].days[2].mark == "opening"

    @pytest.mark.parametrize(("start", "first"), [(0, 3), (5, 1), (6, 2)])
    def test_weeks_begin_where_the_company_s_do(self, start: int, first: int) -> None:
        assert week_of(date(2027, 5, 7), start) == date(2027, 5, first)

    def test_the_page_says_the_day_and_what_is_in_hand(
        self, shop: Workshop, client: Client
    ) -> None:
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            answer = enter(client, shop).get(reverse("builds:wall_plan", args=[shop.show.pk]))
        text = answer.content.decode()
        assert "5 May 2027" in text
        assert "56 days in hand" in text
        assert "No plan with these people can be earlier" in text

    def test_no_plan_says_why_and_where_to_go(self, shop: Workshop, client: Client) -> None:
        shop.comes(shop.ines, [], 9, 17)
        shop.comes(shop.tomas, [], 9, 17)
        address = reverse("builds:wall_plan", args=[shop.show.pk])
        with clock.fixed_at(MORNING):
            client = enter(client, shop)
            client.post(reverse("builds:plan_make", args=[shop.show.pk]))
            text = client.get(address).content.decode()
        assert "Nobody has hours from now on" in text
        assert shop.company.get_absolute_url() in text

    @pytest.mark.parametrize("junk", ["2027-13-40", "tomorrow", "", "0000-00-00"])
    def test_a_day_that_is_none_is_today(self, shop: Workshop, client: Client, junk: str) -> None:
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            address = reverse("builds:wall_plan", args=[shop.show.pk])
            answer = enter(client, shop).get(address, {"from": junk})
        assert answer.context["wall"].first == MONDAY

    def test_as_a_list_every_piece_of_work_is_there(self, shop: Workshop, client: Client) -> None:
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            address = reverse("builds:wall_plan", args=[shop.show.pk])
            text = enter(client, shop).get(address, {"as": "list"}).content.decode()
        assert text.count("sets the date</span>") == 6
        assert "6\u00a0pieces of work" in text

    def test_a_run_can_be_asked_for_looked_at_and_stopped(
        self, shop: Workshop, client: Client
    ) -> None:
        client = enter(client, shop)
        pk = shop.show.pk
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            client.post(reverse("builds:plan_improve", args=[pk]))
            looking = client.get(
                reverse("builds:plan_run", args=[pk]), headers={"HX-Request": "true"}
            )
            client.post(reverse("builds:plan_stop", args=[pk]))
            ended = client.get(
                reverse("builds:plan_run", args=[pk]), headers={"HX-Request": "true"}
            )
        assert "Looking for a better plan" in looking.content.decode()
        assert "HX-Refresh" not in looking
        assert ended["HX-Refresh"] == "true"
        assert PlanRun.objects.get().state == PlanRun.State.ENDED

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, client: Client, django_assert_num_queries: object, figures: int
    ) -> None:
        shop = Workshop(figures=figures)
        client = enter(client, shop)
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            with django_assert_num_queries(WALL_QUERIES):  # type: ignore[operator]
                client.get(reverse("builds:wall_plan", args=[shop.show.pk]))


class TestToday:
    def test_a_helper_reads_what_is_theirs(self, shop: Workshop, client: Client) -> None:
        tomas = person(shop.company, Role.MAKER, "Tomas")
        shop.tomas.user = tomas
        shop.tomas.save()
        client.force_login(tomas, backend="django.contrib.auth.backends.ModelBackend")
        with clock.fixed_at(MORNING):
            pin_up(plan=make_plan(show=shop.show, user=shop.lead), user=shop.lead)
        with clock.fixed_at(datetime(2027, 5, 4, 7, 0, tzinfo=UTC)):
            answer = client.get(reverse("builds:today", args=[shop.show.pk]))
        bench = answer.context["today"].benches[0]
        assert bench.is_mine
        assert [card.step.stage.key for card in bench.cards] == ["hang", "paint"]
        assert "You have two steps to do, 09:00 to 17:00. Ines is in." in answer.content.decode()

    def test_what_was_not_done_is_left_over_with_its_day(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            plan = pin_up(plan=make_plan(show=shop.show, user=shop.lead), user=shop.lead)
        with clock.fixed_at(datetime(2027, 5, 6, 7, 0, tzinfo=UTC)):
            today = read_today(shop.show, plan, date(2027, 5, 6), shop.ines)
        left = [(card.step.stage.key, card.left_over) for card in today.overdue]
        assert ("carve", date(2027, 5, 4)) in left
        assert ("paint", date(2027, 5, 4)) in left

    def test_what_dries_what_waits_and_who_asks(self, shop: Workshop) -> None:
        with clock.fixed_at(datetime(2027, 5, 3, 12, 0, tzinfo=UTC)):
            for key in ("carve", "hang"):
                finish_step(step=shop.step(key), user=shop.lead, reason="as it goes")
            finish_step(
                step=shop.step("paint"), user=shop.lead, maker=shop.tomas, reason="as it goes"
            )
            call_lead(step=shop.step("true"), user=shop.lead, words="The knee sticks.")
            plan = make_plan(show=shop.show, user=shop.lead)
            today = read_today(shop.show, plan, MONDAY, shop.ines)
        assert [(d.step.stage.key, d.until.isoformat()) for d in today.drying] == [
            ("paint", "2027-05-04T13:00:00+01:00")
        ]
        assert [step.stage.key for step in today.for_the_pass] == ["hang"]
        assert [step.needs_lead_words for step in today.asking] == ["The knee sticks."]
        assert today.lede.endswith("Two steps wait for you.")

    def test_parts_of_a_day_stand_as_one(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            today = read_today(shop.show, plan, MONDAY, shop.ines)
        cards = today.benches[0].cards
        assert [(card.step.stage.key, card.minutes) for card in cards] == [("carve", 480)]

    def test_without_a_plan_it_says_what_comes_next(self, shop: Workshop, client: Client) -> None:
        with clock.fixed_at(MORNING):
            answer = enter(client, shop).get(reverse("builds:today", args=[shop.show.pk]))
        text = answer.content.decode()
        assert "Make the first plan" in text
        assert "nobody is told what to do today" in text

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, client: Client, django_assert_num_queries: object, figures: int
    ) -> None:
        shop = Workshop(figures=figures)
        client = enter(client, shop)
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            with django_assert_num_queries(TODAY_QUERIES):  # type: ignore[operator]
                client.get(reverse("builds:today", args=[shop.show.pk]))


class TestThread:
    def test_milestones_follow_the_plan_and_the_work(self, shop: Workshop) -> None:
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            ahead = read_thread(shop.show, shop.lead)
            Step.objects.filter(stage__key="hang").update(
                begun_at=MORNING, finished_at=MORNING, passed_at=MORNING
            )
            done = read_thread(shop.show, shop.lead)
        assert [(m.words, m.day, m.state) for m in ahead.milestones] == [
            ("bodies trial-hung", date(2027, 5, 4), Knot.LOOSE)
        ]
        assert [(m.day, m.state) for m in done.milestones] == [(MONDAY, Knot.TIED)]
        assert (ahead.ready, ahead.days_in_hand) == (date(2027, 5, 5), 56)

    def test_who_sees_nothing_pinned_up_sees_no_day(self, shop: Workshop) -> None:
        reader = person(shop.company, Role.READER, "Odile")
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            before = read_thread(shop.show, reader)
            pin_up(plan=plan, user=shop.lead)
            after = read_thread(shop.show, reader)
        assert (before.ready, after.ready) == (None, date(2027, 5, 5))
        assert Plan.objects.count() == 1


def test_a_daily_cap_on_a_craft_holds_on_the_wall(shop: Workshop) -> None:
    """Carving is capped at five hours a day: ten hours are two days of five."""
    shop.crafts["carve"].daily_cap_min = 300
    shop.crafts["carve"].save()
    with clock.fixed_at(MORNING):
        plan = make_plan(show=shop.show, user=shop.lead)
        wall = read_wall(shop.show, plan)
    carving = [
        slip.work_min
        for day in wall.plan.weeks[0].days
        for slip in day.slips
        if slip.words == "carve J1"
    ]
    assert carving == [300, 300]


def test_work_after_the_day_it_was_needed_by_is_late(shop: Workshop) -> None:
    """Needed by Tuesday evening, trued on Wednesday: only Wednesday's work on it is late."""
    Figure.objects.update(needed_by=date(2027, 5, 4))
    with clock.fixed_at(MORNING):
        plan = make_plan(show=shop.show, user=shop.lead)
        wall = read_wall(shop.show, plan)
    late = {
        (day.day.day, slip.maker)
        for day in wall.plan.weeks[0].days
        for slip in day.slips
        if slip.late
    }
    assert late == {(5, "Ines"), (5, "Tomas")}
    assert [one.dates.late_days for one in wall.late] == [1]


def test_of_each_figure_the_step_that_must_begin_first_is_listed(settings: object) -> None:
    settings.TODAY = MORNING  # type: ignore[attr-defined]
    shop = Workshop(figures=4)
    with clock.fixed_at(MORNING):
        plan = make_plan(show=shop.show, user=shop.lead)
        listed = read_wall(shop.show, plan).begin_by
    assert sorted(row.step.subject_words for row in listed) == ["J1", "J2", "J3", "J4"]
    starts = [row.latest_start for row in listed]
    assert starts == sorted(starts)
    for row in listed:
        others = plan.steps.filter(step__figure=row.step.figure, part=1)
        assert row.latest_start == min(other.latest_start for other in others)
