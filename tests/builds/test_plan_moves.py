"""What pinning up moves and for whom, how sure the date is, and plan against record."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.core import planning as core
from builds.core.planning.pace import SOUND_STEPS, Pace
from builds.core.planning.risk import Odds
from builds.loading import minute_of
from builds.models import Figure, Plan, Step, WorkLog
from builds.queries.moves import plan_before, read_moves
from builds.queries.pace import read_pace
from builds.queries.plan_odds import percent, read_odds
from builds.queries.plan_record import pinned_up_plans, read_plan_record
from builds.services.plan_odds import say_outlook
from builds.services.plans import _follow, make_plan, pin_up
from builds.services.work import begin_step, finish_step
from company import clock
from company.models import Role
from company.services.hours import add_day_off
from tests.builds.workshop import MONDAY, MORNING, Workshop
from tests.factories import person

pytestmark = pytest.mark.django_db
MOVES_QUERIES = 13
ODDS_QUERIES = 17
RECORD_QUERIES = 12
TUESDAY = datetime(2027, 5, 4, 6, 0, tzinfo=UTC)


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    return Workshop()


@pytest.fixture
def lead(shop: Workshop, client: Client) -> Client:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


def pinned(shop: Workshop) -> Plan:
    return pin_up(plan=make_plan(show=shop.show, user=shop.lead), user=shop.lead)


def sentences(shop: Workshop, plan: Plan) -> dict[str, list[str]]:
    """What moves, by person, as it is read out."""
    moves = read_moves(shop.show, plan_before(plan), plan)
    return {
        one.maker.name: [f"{move.step.stage.name} {move.words}" for move in (*one.soon, *one.later)]
        for one in moves.moved
    }


class TestMoves:
    def test_the_first_plan_is_all_new(self, shop: Workshop) -> None:
        plan = make_plan(show=shop.show, user=shop.lead)
        moves = read_moves(shop.show, plan_before(plan), plan)
        assert moves.lede == "Nothing was pinned up before: everything on it is new."
        assert {one.maker.name: one.count for one in moves.moved} == {"Ines": 3, "Tomas": 3}

    def test_the_same_plan_moves_nothing(self, shop: Workshop) -> None:
        pinned(shop)
        plan = make_plan(show=shop.show, user=shop.lead)
        assert sentences(shop, plan) == {}
        assert read_moves(shop.show, plan_before(plan), plan).lede == "Nothing moves for anybody."

    def test_days_are_said_for_each_person(self, shop: Workshop) -> None:
        """Ines is away on Monday: all goes a day later, and who paints is told too."""
        pinned(shop)
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        plan = make_plan(show=shop.show, user=shop.lead)
        said = sentences(shop, plan)
        assert "Carve begins on Tue 4 May, not on Mon 3 May: 1\u00a0day later" in said["Ines"]
        assert "Paint moves from Tue 4 May to Wed 5 May, 1\u00a0day later" in said["Tomas"]
        assert "Hang moves from Tue 4 May to Wed 5 May, 1\u00a0day later" in said["Tomas"]

    def test_who_gets_it_and_from_whom(self, shop: Workshop) -> None:
        pinned(shop)
        Step.objects.filter(stage__key="paint").update(pinned_maker=shop.ines)
        said = sentences(shop, make_plan(show=shop.show, user=shop.lead, is_released=True))
        assert any(line.startswith("Paint comes from Tomas, to be done ") for line in said["Ines"])
        assert any(line.startswith("Paint goes to Ines, who does it ") for line in said["Tomas"])

    def test_finished_work_is_left_out(self, shop: Workshop) -> None:
        pinned(shop)
        with clock.fixed_at(TUESDAY):
            finish_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
            said = sentences(shop, make_plan(show=shop.show, user=shop.lead))
        assert not any(line.startswith("Carve") for line in said.get("Ines", []))

    def test_after_pinning_it_is_held_against_the_one_before(self, shop: Workshop) -> None:
        first = pinned(shop)
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        with clock.fixed_at(MORNING + timedelta(minutes=5)):
            second = pinned(shop)
        assert plan_before(second) == first
        assert plan_before(first) is None
        assert "Carve begins on Tue 4 May" in sentences(shop, second)["Ines"][0]


class TestPromises:
    def test_helpers_next_days_stand_unless_let_go(self, shop: Workshop) -> None:
        """Bagging was promised to Tomas for a later day; sooner would do, but he was told."""
        Step.objects.filter(stage__key="bag").update(not_before=date(2027, 5, 12))
        pinned(shop)
        Step.objects.filter(stage__key="bag").update(not_before=None)
        kept = make_plan(show=shop.show, user=shop.lead)
        row = kept.steps.get(step__stage__key="bag")
        assert row.start.date() == date(2027, 5, 12)
        assert (row.is_kept, kept.is_released) == (True, False)
        assert kept.kept_until is not None
        free = make_plan(show=shop.show, user=shop.lead, is_released=True)
        row = free.steps.get(step__stage__key="bag")
        assert row.start.date() == date(2027, 5, 5)
        assert (row.is_kept, free.is_released, free.kept_until) == (False, True, None)

    def test_what_was_let_go_stays_so_until_something_is_pinned_up(self, shop: Workshop) -> None:
        pinned(shop)
        make_plan(show=shop.show, user=shop.lead, is_released=True)
        with clock.fixed_at(MORNING):
            begin_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines)
        # tests hold their transaction open: what follows a commit is asked for by hand

        _follow(shop.show.pk)
        assert Plan.objects.first().is_released  # type: ignore[union-attr]

    def test_the_page_says_how_many_stand_as_told(self, shop: Workshop, lead: Client) -> None:
        """A day off of Ines pushes what Tomas was told: the page does not say that it stands."""
        pinned(shop)
        draft = make_plan(show=shop.show, user=shop.lead)
        address = reverse("builds:plan_moves", args=[draft.pk])
        words = unescape(lead.get(address).content.decode()).replace("\u00a0", " ")
        assert "Of 3 steps that helpers were told for the next two weeks, all stand" in words
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        Step.objects.filter(stage__key="bag").update(not_before=date(2027, 5, 12))
        draft = make_plan(show=shop.show, user=shop.lead)
        moves = read_moves(shop.show, plan_before(draft), draft)
        assert (moves.told, moves.stand) == (0, 0)  # nothing could be kept: there is no promise
        pinned(shop)
        Step.objects.filter(stage__key="paint").update(not_before=date(2027, 5, 7))
        draft = make_plan(show=shop.show, user=shop.lead)
        moves = read_moves(shop.show, plan_before(draft), draft)
        assert (moves.told, moves.stand) == (3, 2)
        address = reverse("builds:plan_moves", args=[draft.pk])
        words = unescape(lead.get(address).content.decode()).replace("\u00a0", " ")
        assert "2 stand as told. What had to wait" in words

    def test_the_tick_on_the_page_lets_them_go(self, shop: Workshop, lead: Client) -> None:
        pinned(shop)
        draft = make_plan(show=shop.show, user=shop.lead)
        address = reverse("builds:plan_moves", args=[draft.pk])
        assert "Let the helpers' next two weeks move" in unescape(
            lead.get(address).content.decode()
        )
        answer = lead.post(
            reverse("builds:plan_make", args=[shop.show.pk]), {"release": "on", "then": "moves"}
        )
        newest = Plan.objects.first()
        assert newest is not None
        assert newest.is_released
        assert answer["Location"] == reverse("builds:plan_moves", args=[newest.pk])

    def test_bound_is_what_these_people_could_do_if_nothing_had_been_promised(
        self, shop: Workshop
    ) -> None:
        Step.objects.filter(stage__key="bag").update(not_before=date(2027, 5, 12))
        pinned(shop)
        Step.objects.filter(stage__key="bag").update(not_before=None)
        kept = make_plan(show=shop.show, user=shop.lead)
        assert kept.bound is not None
        assert kept.ready is not None
        assert kept.bound.date() <= date(2027, 5, 5) < kept.ready.date()
        assert kept.status == "found"


class TestMovesPage:
    def test_the_lead_looks_first_and_pins_up_then(self, shop: Workshop, lead: Client) -> None:
        pinned(shop)
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        draft = make_plan(show=shop.show, user=shop.lead)
        page = unescape(lead.get(reverse("builds:plan_moves", args=[draft.pk])).content.decode())
        assert "What moves when this is pinned up" in page
        assert "It moves 3\u00a0steps for Ines and 3\u00a0steps for Tomas." in page
        assert "Pin it up" in page
        answer = lead.post(reverse("builds:plan_pin_up", args=[draft.pk]), follow=True)
        assert "What moved" in answer.content.decode()

    def test_a_helper_reads_what_moved_for_them_and_no_draft(
        self, shop: Workshop, client: Client
    ) -> None:
        tomas = person(shop.company, Role.MAKER, "Tomas")
        shop.tomas.user = tomas
        shop.tomas.save()
        first = pinned(shop)
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        draft = make_plan(show=shop.show, user=shop.lead)
        client.force_login(tomas, backend="django.contrib.auth.backends.ModelBackend")
        assert client.get(reverse("builds:plan_moves", args=[draft.pk])).status_code == 404
        assert client.get(reverse("builds:plan_moves", args=[first.pk])).status_code == 200
        with clock.fixed_at(MORNING + timedelta(minutes=5)):
            pin_up(plan=draft, user=shop.lead)
        page = client.get(reverse("builds:plan_moves", args=[draft.pk])).content.decode()
        assert "card-lead" in page
        assert "It moves 3\u00a0steps for you, all of them in the next two weeks." in page
        own, other = (f'id="moves-{maker.pk}"' for maker in (shop.tomas, shop.ines))
        assert page.index(own) < page.index(other)
        assert "Pin it up" not in page

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, settings: Any, client: Client, django_assert_num_queries: Any, figures: int
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=figures)
        pinned(shop)
        draft = make_plan(show=shop.show, user=shop.lead)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        with django_assert_num_queries(MOVES_QUERIES):
            client.get(reverse("builds:plan_moves", args=[draft.pk]))


def put_on_record(shop: Workshop, ratios: list[float]) -> None:
    """Carvings of older figures with the hours they took, beside ten planned hours each."""
    for number, ratio in enumerate(ratios, start=100):
        old = Figure.objects.create(
            show=shop.show,
            guise=shop.guise,
            letters="J",
            number=number,
            state=Figure.State.STRUCK,
            made_at=MORNING,
        )
        step = Step.objects.create(
            show=shop.show,
            stage=shop.stages["carve"],
            figure=old,
            planned_min=600,
            begun_at=MORNING - timedelta(days=1),
            finished_at=MORNING - timedelta(days=1),
        )
        WorkLog.objects.create(
            step=step, maker=shop.ines, day=MONDAY - timedelta(days=1), minutes=round(600 * ratio)
        )


class TestOdds:
    def test_words_alone_until_enough_is_on_record(self, shop: Workshop, lead: Client) -> None:
        plan = make_plan(show=shop.show, user=shop.lead)
        assert plan.odds == {"on_record": 0}
        odds = read_odds(shop.show, plan)
        assert (odds.is_sound, odds.missing) == (False, SOUND_STEPS)
        page = lead.get(reverse("builds:plan_odds", args=[shop.show.pk])).content.decode()
        assert "Easy." in page
        assert " of 100" not in page

    def test_thirty_finished_steps_give_chances_dates_and_what_decides(
        self, settings: Any, client: Client
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=4)
        put_on_record(shop, [1.1] * 30)
        assert read_pace(shop.company).steps == 30
        plan = make_plan(show=shop.show, user=shop.lead)
        odds = read_odds(shop.show, plan)
        assert odds.is_sound
        assert odds.took == pytest.approx(1.1)
        assert odds.half is not None
        assert odds.most is not None
        assert odds.nearly is not None
        assert odds.half <= odds.most <= odds.nearly
        assert len(odds.figures) == 4
        assert odds.decides[0].percent > 50
        (carve,) = odds.paces
        assert (carve.name, carve.steps) == ("Carve", 30)
        assert carve.low < carve.usual <= 110 < carve.high
        assert "With 30 steps on record, yours take a tenth longer than planned" in (
            plan.outlook_words
        )
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        page = client.get(reverse("builds:plan_odds", args=[shop.show.pk])).content.decode()
        assert "By opening" in page
        assert "<svg" in page

    def test_a_later_day_at_the_planned_pace_is_given_its_reason(self, shop: Workshop) -> None:
        """'As long as planned' and a week later would not be believed without a word."""
        put_on_record(shop, [1.0] * 30)
        pace = read_pace(shop.company)
        ready = minute_of(datetime(2027, 5, 17, 10, tzinfo=UTC))
        plan = core.Plan("found", ready=ready)

        def said(days_later: int, learned: Pace = pace) -> str:
            at = ready + days_later * 1440
            odds = Odds("tight", 0.2, at, at, at, {}, {})
            return say_outlook(shop.show, learned, odds, plan)

        later = "At that pace all is ready on 24 May, not on 17 May: what runs over waits for"
        assert later in said(7)
        assert said(1).endswith("all is ready on 18 May.")
        slow = replace(pace, took=1.1)  # a slow pace is reason enough
        assert said(7, slow).endswith("all is ready on 24 May.")

    def test_struck_hours_and_unfinished_steps_are_no_record(self, shop: Workshop) -> None:
        put_on_record(shop, [1.1])
        WorkLog.objects.update(struck_at=MORNING)
        assert read_pace(shop.company).steps == 0

    def test_a_hundred_of_100_is_said_only_when_every_run_held(self) -> None:
        assert [percent(share) for share in (0.9999, 1.0, 0.0001, 0.0)] == [99, 100, 1, 0]

    @pytest.mark.parametrize("figures", [1, 4])
    def test_queries_are_flat(
        self, settings: Any, client: Client, django_assert_num_queries: Any, figures: int
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=figures)
        put_on_record(shop, [1.0] * 30)
        make_plan(show=shop.show, user=shop.lead, work=0)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        with django_assert_num_queries(ODDS_QUERIES):
            client.get(reverse("builds:plan_odds", args=[shop.show.pk]))


class TestRecord:
    def test_what_was_to_be_finished_beside_what_is(self, shop: Workshop) -> None:
        """By Wednesday evening all was to be done; only the carving is, and took two hours more."""
        plan = pinned(shop)
        with clock.fixed_at(datetime(2027, 5, 4, 12, 0, tzinfo=UTC)):
            finish_step(step=shop.step("carve"), user=shop.lead, maker=shop.ines, minutes=720)
        with clock.fixed_at(datetime(2027, 5, 5, 20, 0, tzinfo=UTC)):
            record = read_plan_record(shop.show, plan, pinned_up_plans(shop.show))
        assert (record.planned_min, record.finished_min) == (900, 600)
        assert record.booked_min == 720
        assert record.data.planned[-1] == (date(2027, 5, 5), 900)
        # after the carving the plan went on on Tuesday, a day before this evening
        assert record.days_behind == 1
        assert record.lede.startswith("By now 15\u00a0h of work were to be finished; 10\u00a0h are")

    def test_before_anything_was_due(self, shop: Workshop) -> None:
        record = read_plan_record(shop.show, pinned(shop), pinned_up_plans(shop.show))
        assert record.lede == "Nothing was to be finished by now: it has only begun."

    def test_every_plan_that_was_pinned_up_can_be_held_against(
        self, shop: Workshop, lead: Client
    ) -> None:
        first = pinned(shop)
        add_day_off(company=shop.company, user=shop.lead, maker=shop.ines, first=MONDAY)
        with clock.fixed_at(MORNING + timedelta(minutes=5)):
            second = pinned(shop)
        address = reverse("builds:plan_record", args=[shop.show.pk])
        assert lead.get(address).context["plan"] == second
        assert lead.get(address, {"plan": first.pk}).context["plan"] == first
        assert lead.get(address, {"plan": "99"}).context["plan"] == second

    def test_nothing_pinned_up_says_what_comes_first(self, shop: Workshop, lead: Client) -> None:
        page = lead.get(reverse("builds:plan_record", args=[shop.show.pk])).content.decode()
        assert "Once a plan is pinned up" in page

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, settings: Any, client: Client, django_assert_num_queries: Any, figures: int
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=figures)
        pinned(shop)
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        with django_assert_num_queries(RECORD_QUERIES):
            client.get(reverse("builds:plan_record", args=[shop.show.pk]))
