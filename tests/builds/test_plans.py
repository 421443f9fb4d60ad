"""Plans of a show: loaded, made, kept, pinned up, and moved by what is recorded."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from builds.core.planning import check_plan, solve
from builds.loading import instant_of, load_problem, minute_of, split_evenly
from builds.models import Figure, Plan, PlannedStep, PlanRun, Step, WorkLog
from builds.queries.plans import figure_dates, is_out_of_date, ready_day
from builds.services.plan_runs import ask_for_better, end_silent_runs, stop_run
from builds.services.plans import CannotPinUp, make_plan, pin_up
from builds.services.work import begin_step, finish_step, pass_step
from builds.tasks import improve_next_plan
from company import clock
from company.models import Change, DayOff, Hours, Role
from company.services.hours import add_day_off
from tests.builds.workshop import MONDAY, MORNING, Workshop
from tests.factories import person

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")


def planned(plan: Plan) -> dict[tuple[str, int], PlannedStep]:
    """Rows of a plan by stage and part."""
    rows = PlannedStep.objects.filter(plan=plan).select_related("step__stage", "maker", "second")
    return {(row.step.stage.key, row.part): row for row in rows}


def local(row_time: datetime) -> str:
    return f"{row_time.astimezone(LONDON):%a %d %H:%M}"


class TestMaking:
    def test_a_plan_by_hand(self) -> None:
        """Carve 10 h in two parts of 5 h from Monday 9:00; all else follows, hour by hour."""
        shop = Workshop()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        rows = planned(plan)
        assert [(rows["carve", n].minutes, local(rows["carve", n].start)) for n in (1, 2)] == [
            (300, "Mon 03 09:00"),
            (300, "Mon 03 14:00"),
        ]
        assert local(rows["carve", 2].finish) == "Tue 04 11:00"
        assert (local(rows["hang", 1].start), rows["hang", 1].second) == (
            "Tue 04 11:00",
            shop.tomas,
        )
        assert local(rows["paint", 1].start) == "Tue 04 12:00"
        assert local(rows["true", 1].start) == "Wed 05 14:00"  # a day on the clock after 14:00
        assert ready_day(plan, LONDON) == date(2027, 5, 5)
        assert plan.status == "proved"
        assert plan.bound == plan.ready

    def test_lateness_that_cannot_be_helped_is_said(self) -> None:
        shop = Workshop(figures=3)
        Figure.objects.filter(guise__character__show=shop.show).update(needed_by=date(2027, 5, 4))
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            found = solve(load_problem(shop.show).problem, work=0, seed=1)
        days = found.lateness_bound // 1440
        assert 0 < days <= found.lateness // 1440
        assert f"they are late by {days}\xa0days together at the least." in plan.bound_words
        assert plan.bound_words.startswith("Nothing these people do could make it earlier than")
        heavy = Figure.objects.filter(guise__character__show=shop.show).first()
        assert heavy is not None
        heavy.weight = 5
        heavy.save(update_fields=["weight"])
        with clock.fixed_at(MORNING):
            again = make_plan(show=shop.show, user=shop.lead)
        assert again.bound_words.endswith("at the least, weights counted in.")
        assert len(again.bound_words) <= 300

    def test_lead_only_goes_to_the_lead_and_the_second_is_another(self) -> None:
        shop = Workshop(figures=3)
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        for row in PlannedStep.objects.filter(plan=plan).select_related("step__stage"):
            if row.step.stage.lead_only:
                assert row.maker_id == shop.ines.pk
            if row.step.stage.key == "hang":
                assert row.second_id == shop.tomas.pk

    def test_the_loaded_problem_passes_the_checker(self) -> None:
        shop = Workshop(figures=3)
        with clock.fixed_at(MORNING):
            loaded = load_problem(shop.show)
        found = solve(loaded.problem, work=5, seed=1)
        assert check_plan(loaded.problem, found) == []

    def test_same_seed_same_plan(self) -> None:
        shop = Workshop(figures=3)
        with clock.fixed_at(MORNING):
            one = planned(make_plan(show=shop.show, user=shop.lead))
            said = {key: (row.start, row.maker_id) for key, row in one.items()}
            two = planned(make_plan(show=shop.show, user=shop.lead))
        assert {key: (row.start, row.maker_id) for key, row in two.items()} == said

    def test_only_the_newest_draft_is_kept(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            make_plan(show=shop.show, user=shop.lead)
        assert Plan.objects.count() == 1

    def test_needed_by_asks_that_it_be_trued_not_bagged(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        dates = figure_dates(plan, LONDON)[Figure.objects.get().pk]
        rows = planned(plan)
        assert dates.fit == rows["true", 1].finish.astimezone(LONDON).date()
        assert dates.late_min == 0

    def test_a_figure_late_for_its_date_says_by_how_much(self) -> None:
        shop = Workshop()
        Figure.objects.update(needed_by=MONDAY)
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        dates = figure_dates(plan, LONDON)[Figure.objects.get().pk]
        trued = planned(plan)["true", 1].finish
        midnight = datetime(2027, 5, 4, tzinfo=LONDON)
        assert dates.late_min == (trued - midnight) // timedelta(minutes=1)
        assert dates.late_days == 2

    def test_hours_across_summer_time_are_the_hours_on_the_wall(self) -> None:
        """On 28 March 2027 London goes to summer time: nine o'clock comes an hour sooner in UTC."""
        shop = Workshop()
        with clock.fixed_at(datetime(2027, 3, 26, 18, 0, tzinfo=UTC)):
            plan = make_plan(show=shop.show, user=shop.lead)
        start = planned(plan)["carve", 1].start
        assert start == datetime(2027, 3, 29, 8, 0, tzinfo=UTC)

    def test_days_off_and_pins_are_kept(self) -> None:
        shop = Workshop()
        add_day_off(company=shop.company, user=shop.lead, first=MONDAY, word="closed")
        Step.objects.filter(stage__key="paint").update(
            pinned_maker=shop.ines, not_before=date(2027, 5, 10)
        )
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        rows = planned(plan)
        assert local(rows["carve", 1].start) == "Tue 04 09:00"
        assert rows["paint", 1].maker == shop.ines
        assert rows["paint", 1].start.date() == date(2027, 5, 10)
        assert DayOff.objects.count() == 1

    @pytest.mark.parametrize(("minutes", "parts"), [(600, 2), (1680, 6), (305, 2), (45, 4)])
    def test_parts_add_up(self, minutes: int, parts: int) -> None:
        sizes = split_evenly(minutes, parts)
        assert sum(sizes) == minutes
        assert max(sizes) <= -(-minutes // parts // 15) * 15 + 15

    def test_minutes_and_instants_are_each_other_s_way_back(self) -> None:
        assert instant_of(minute_of(MORNING)) == MORNING


class TestNoPlan:
    def test_without_figures(self) -> None:
        shop = Workshop()
        Step.objects.all().delete()
        Figure.objects.update(state=Figure.State.STRUCK)
        plan = make_plan(show=shop.show, user=shop.lead)
        assert plan.status == "none"
        assert plan.reasons == [
            "No figures are at the bench yet: take the count to the bench first."
        ]

    def test_without_hours(self) -> None:
        shop = Workshop()
        Hours.objects.all().delete()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        assert (plan.status, len(plan.reasons)) == ("none", 1)
        assert plan.reasons[0].startswith("Nobody has hours from now on")

    def test_with_nobody_who_has_the_craft_the_stage_is_named(self) -> None:
        shop = Workshop()
        shop.ines.crafts.set([shop.crafts["carve"]])
        shop.tomas.crafts.clear()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        assert plan.status == "none"
        assert any("paint" in reason.lower() for reason in plan.reasons)

    def test_with_nobody_to_stand_beside(self) -> None:
        shop = Workshop()
        shop.comes(shop.tomas, [], 9, 17)
        shop.tomas.struck_at = MORNING
        shop.tomas.save()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        assert plan.status == "none"
        assert any("second person" in reason for reason in plan.reasons)

    def test_reasons_never_speak_in_minutes_of_the_core(self) -> None:
        shop = Workshop()
        shop.comes(shop.tomas, [6], 23, 24)
        Step.objects.filter(stage__key="hang").update(own_min=60 * 60)
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        assert plan.status == "none"
        assert not any(char.isdigit() and "minute 2" in reason for reason in plan.reasons
                       for char in reason)  # fmt: skip


class TestMoving:
    def test_finished_steps_stay_put_and_the_rest_moves(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
        carve = shop.step("carve")
        with clock.fixed_at(datetime(2027, 5, 3, 8, 0, tzinfo=UTC)):
            begin_step(step=carve, user=shop.lead)
        with clock.fixed_at(datetime(2027, 5, 3, 16, 0, tzinfo=UTC)):
            finish_step(step=carve, user=shop.lead, minutes=420)
            plan = make_plan(show=shop.show, user=shop.lead)
        rows = planned(plan)
        assert ("carve", 1) not in rows
        assert local(rows["hang", 1].start) == "Tue 04 09:00"

    def test_begun_work_keeps_its_person_and_what_is_left_counts(self) -> None:
        """10 h planned, 7 h 30 spent: 2 h 30 are left, with the one who began."""
        shop = Workshop()
        paint = shop.step("paint")
        Step.objects.filter(pk=paint.pk).update(own_min=600)
        with clock.fixed_at(datetime(2027, 5, 3, 8, 0, tzinfo=UTC)):
            begin_step(step=shop.step("paint"), user=shop.lead, maker=shop.tomas, reason="dry run")
        WorkLog.objects.create(step=paint, maker=shop.tomas, day=MONDAY, minutes=450)
        with clock.fixed_at(datetime(2027, 5, 4, 6, 0, tzinfo=UTC)):
            plan = make_plan(show=shop.show, user=shop.lead)
        row = planned(plan)["paint", 1]
        assert (row.maker, row.minutes) == (shop.tomas, 150)
        assert row.start == datetime(2027, 5, 3, 8, 0, tzinfo=UTC)
        assert local(row.finish) == "Tue 04 11:30"

    def test_what_is_left_is_never_less_than_a_quarter_hour(self) -> None:
        shop = Workshop()
        paint = shop.step("paint")
        with clock.fixed_at(datetime(2027, 5, 3, 8, 0, tzinfo=UTC)):
            begin_step(step=paint, user=shop.lead, maker=shop.tomas, reason="dry run")
        WorkLog.objects.create(step=paint, maker=shop.tomas, day=MONDAY, minutes=450)
        with clock.fixed_at(datetime(2027, 5, 4, 6, 0, tzinfo=UTC)):
            plan = make_plan(show=shop.show, user=shop.lead)
        assert planned(plan)["paint", 1].minutes == 15

    def test_what_follows_a_gate_waits_for_the_pass(self) -> None:
        shop = Workshop()
        with clock.fixed_at(datetime(2027, 5, 3, 8, 0, tzinfo=UTC)):
            finish_step(step=shop.step("carve"), user=shop.lead)
            finish_step(step=shop.step("hang"), user=shop.lead)
        friday = datetime(2027, 5, 7, 8, 0, tzinfo=UTC)
        with clock.fixed_at(friday):
            waiting = planned(make_plan(show=shop.show, user=shop.lead))["paint", 1].start
            pass_step(step=shop.step("hang"), user=shop.lead)
        assert waiting >= friday

    def test_a_press_moves_the_plan_once_it_is_kept(
        self, django_capture_on_commit_callbacks: object
    ) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            before = make_plan(show=shop.show, user=shop.lead)
            # The test's own transaction still holds what laying the workshop asked for.
            transaction.get_connection().run_on_commit.clear()
            with django_capture_on_commit_callbacks(execute=True) as called:  # type: ignore[operator]
                finish_step(step=shop.step("carve"), user=shop.lead)
        assert len(called) == 1
        after = Plan.objects.get()
        assert after.pk != before.pk
        assert ("carve", 1) not in planned(after)

    def test_a_press_makes_no_plan_where_there_was_none(
        self, django_capture_on_commit_callbacks: object
    ) -> None:
        shop = Workshop()
        with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
            finish_step(step=shop.step("carve"), user=shop.lead)
        assert not Plan.objects.exists()

    def test_a_plan_says_when_hours_changed_since(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            assert not is_out_of_date(plan)
            add_day_off(company=shop.company, user=shop.lead, first=MONDAY)
        assert is_out_of_date(plan)


class TestPinningUp:
    def test_one_is_pinned_up_and_the_one_before_stays(self) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            one = pin_up(plan=make_plan(show=shop.show, user=shop.lead), user=shop.lead)
            two = pin_up(plan=make_plan(show=shop.show, user=shop.lead), user=shop.lead)
        one.refresh_from_db()
        assert (one.is_pinned_up, two.is_pinned_up) == (False, True)
        assert one.pinned_up_at is not None
        assert one.steps.exists()
        assert Change.objects.filter(noun="plan").count() == 2

    def test_no_plan_cannot_be_pinned_up(self) -> None:
        shop = Workshop()
        Hours.objects.all().delete()
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
        with pytest.raises(CannotPinUp):
            pin_up(plan=plan, user=shop.lead)

    def test_helpers_see_only_what_is_pinned_up(self, client: Client) -> None:
        shop = Workshop()
        tomas = person(shop.company, Role.MAKER, "Tomas")
        client.force_login(tomas, backend="django.contrib.auth.backends.ModelBackend")
        address = reverse("builds:wall_plan", args=[shop.show.pk])
        with clock.fixed_at(MORNING):
            plan = make_plan(show=shop.show, user=shop.lead)
            before = client.get(address)
            pin_up(plan=plan, user=shop.lead)
            after = client.get(address)
        assert before.context.get("wall") is None
        assert after.context["plan"] == plan


class TestRuns:
    def test_a_run_is_asked_once_found_by_the_worker_and_ended(self) -> None:
        shop = Workshop(figures=2)
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead)
            run = ask_for_better(show=shop.show, user=shop.lead, seconds=1)
            assert ask_for_better(show=shop.show, user=shop.lead) == run
            assert improve_next_plan(stop=lambda: False)
        run.refresh_from_db()
        assert run.state == PlanRun.State.ENDED
        assert run.best == Plan.objects.get()
        assert run.words
        assert not improve_next_plan(stop=lambda: False)

    def test_a_run_stopped_before_it_began_has_ended(self) -> None:
        shop = Workshop()
        run = ask_for_better(show=shop.show, user=shop.lead)
        stop_run(run=run, user=shop.lead)
        assert run.state == PlanRun.State.ENDED
        assert not improve_next_plan(stop=lambda: False)

    def test_a_run_not_heard_of_is_ended_and_can_be_asked_again(self) -> None:
        shop = Workshop()
        long_ago = clock.ticking_now() - timedelta(minutes=2)
        lost = PlanRun.objects.create(
            show=shop.show, asked_at=long_ago, state="running", heartbeat_at=long_ago
        )
        assert end_silent_runs(shop.show) == 1
        run = ask_for_better(show=shop.show, user=shop.lead)
        assert run.pk != lost.pk
