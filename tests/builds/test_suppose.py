"""Suppose: side by side with now, nothing saved, taken through the services; and what helps."""

from __future__ import annotations

from datetime import date, timedelta
from html import unescape
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.loading.suppose_codes import MOST, read_suppose, read_supposes, read_week, write_week
from builds.models import (
    Equipment,
    Figure,
    FigureCostume,
    Mould,
    Plan,
    PlanRun,
    Pour,
    Stage,
    Step,
)
from builds.queries.plans import is_out_of_date
from builds.services.bench import add_figure
from builds.services.plan_runs import (
    CUT_OFF,
    ask_for_better,
    ask_what_helps,
    carry_out,
    stop_run,
    take_run,
    waits_long,
)
from builds.services.plans import make_plan, pin_up
from builds.services.supposing import compare
from builds.services.take_supposes import take_supposes
from company import clock
from company.models import DayOff, Hours, Maker
from company.services.hours import add_day_off
from tests.builds.foundry import Foundry
from tests.builds.workshop import MORNING, Workshop
from tests.factories import MakerFactory
from tests.laid import read_rows, say_changed

pytestmark = pytest.mark.django_db
QUERIES = 58


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    made = Workshop()
    make_plan(show=made.show, user=made.lead)
    return made


@pytest.fixture
def lead(shop: Workshop, client: Client) -> Client:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


def codes(shop: Workshop) -> dict[str, str]:
    """One of each sort, as the forms write them."""
    paint, carve = shop.crafts["paint"].pk, shop.crafts["carve"].pk
    figure = Figure.objects.get()
    frame = Equipment.objects.create(company=shop.company, name="frame")
    return {
        "more": f"more:{paint},{carve}:024.540-1020:2027-05-03",
        "fewer": f"fewer:{shop.tomas.pk}:2027-05-10",
        "hours": f"hours:{shop.ines.pk}:13.540-780.840-1020:2027-05-03",
        "away": f"away:{shop.ines.pk}:2027-05-03:2027-05-04",
        "cut": f"cut:{figure.pk}",
        "costume": f"cut:{figure.pk}:{figure.costumes.get().costume_id}",
        "opening": "opening:2027-05-04",
        "craft": f"craft:carve:{paint}",
        "gear": f"gear:{frame.pk}",
    }


class TestCodes:
    def test_each_sort_is_read_back_with_words(self, shop: Workshop) -> None:
        for kind, code in codes(shop).items():
            found = read_suppose(shop.show, code)
            assert found is not None, kind
            assert found.code == code
            assert found.words

    def test_weeks_are_written_and_read(self) -> None:
        week = ((1, 3), ((600, 780), (810, 1020)))
        assert read_week(write_week(*week)) == week

    @pytest.mark.parametrize(
        "junk",
        ["", "more", "more:x:0.1-2:2027-05-03", "more:1:7.1-2:2027-05-03", "away:0:2027-05-04:x",
         "away:0:2027-05-04:2027-05-03", "opening:soon", "cut:0", "cut:1:2:3", "fewer:9:2027-05-03",
         "craft:none:1", "gear:9", "mould:9", "hours:1::2027-05-03", "x" * 500, "cut:" + "9" * 100,
         "opening:0001-01-01"],
    )  # fmt: skip
    def test_what_means_nothing_here_is_passed_over(
        self, shop: Workshop, lead: Client, junk: str
    ) -> None:
        answer = lead.get(reverse("builds:suppose", args=[shop.show.pk]), {"s": junk})
        assert answer.status_code == 200

    def test_another_company_s_rows_mean_nothing(self, shop: Workshop) -> None:
        theirs = MakerFactory(name="Odile")
        assert read_suppose(shop.show, f"fewer:{theirs.pk}:2027-05-10") is None

    def test_so_many_at_once_and_each_once(self, shop: Workshop) -> None:
        many = [f"away:0:2027-06-{n:02d}:2027-06-{n:02d}" for n in range(1, 15)]
        assert len(read_supposes(shop.show, [*many, *many])) == MOST


class TestSides:
    def ready(self, shop: Workshop, *asked: str) -> tuple[date | None, date | None]:
        found = compare(shop.show, read_supposes(shop.show, asked))
        return found.now.ready, found.then.ready if found.then else None

    def test_two_days_off_are_two_days_later(self, shop: Workshop) -> None:
        now, then = self.ready(shop, codes(shop)["away"])
        assert now == date(2027, 5, 5)
        # Monday and Tuesday off: what began on Monday begins on Wednesday, then a weekend dries
        assert then == date(2027, 5, 7)

    def test_a_stage_opened_to_two_pairs_of_hands(self, shop: Workshop) -> None:
        """Carving alone sets the date; with 'carve' done by those who paint Tomas may help."""
        found = compare(shop.show, read_supposes(shop.show, [codes(shop)["craft"]]))
        assert found.then is not None
        assert found.days_gained == 0  # one figure, one step after the other: nobody can help

    def test_opening_moved_is_late_by_days(self, shop: Workshop) -> None:
        found = compare(shop.show, read_supposes(shop.show, ["opening:2027-05-04"]))
        assert found.then is not None
        assert found.then.in_hand == -1
        assert not found.then.is_in_time
        assert found.now.is_in_time

    def test_without_its_only_figure_nothing_is_left(self, shop: Workshop) -> None:
        found = compare(shop.show, read_supposes(shop.show, [codes(shop)["cut"]]))
        assert found.then is not None
        assert (found.then.figures, found.then.work_min) == (0, 0)

    def test_who_nobody_can_replace(self, shop: Workshop) -> None:
        found = compare(shop.show, read_supposes(shop.show, [f"fewer:{shop.ines.pk}:2027-05-03"]))
        assert found.then is not None
        assert "Ines has no hours left" in found.then.reasons[0]

    def test_a_figure_less_is_never_later_nor_more_late(self, settings: Any) -> None:
        """What was found for the show as it stands serves without the figure as well."""
        settings.TODAY = MORNING
        shop = Workshop(figures=5)
        Figure.objects.update(needed_by=date(2027, 5, 7))
        make_plan(show=shop.show, user=shop.lead, work=5)
        for figure in Figure.objects.all():
            found = compare(shop.show, read_supposes(shop.show, [f"cut:{figure.pk}"]))
            assert found.then is not None
            assert found.then.score <= found.now.score

    def test_what_is_gained_by_looking_alone_is_not_put_down_to_what_is_supposed(
        self, settings: Any
    ) -> None:
        """A day off can only cost: as it stands the show is never the worse for it."""
        settings.TODAY = MORNING
        shop = Workshop(figures=4)
        make_plan(show=shop.show, user=shop.lead, work=0)
        for n in (10, 11, 12):
            code = f"away:{shop.tomas.pk}:2027-05-{n}:2027-05-{n}"
            found = compare(shop.show, read_supposes(shop.show, [code]))
            assert found.then is not None
            assert found.now.score <= found.then.score

    def test_a_day_off_that_breaks_a_promise_gains_nothing(self, settings: Any) -> None:
        """Tomas was told a bad order; a day off frees it, and is not thanked for that."""
        settings.TODAY = MORNING
        shop = Workshop(figures=2)
        Step.objects.filter(stage__key="bag").update(not_before=date(2027, 5, 14))
        make_plan(show=shop.show, user=shop.lead)
        pin_up(plan=Plan.objects.first(), user=shop.lead)  # type: ignore[arg-type]
        Step.objects.filter(stage__key="bag").update(not_before=None)
        kept = make_plan(show=shop.show, user=shop.lead)
        assert kept.kept_until is not None
        found = compare(
            shop.show, read_supposes(shop.show, [f"away:{shop.tomas.pk}:2027-05-14:2027-05-14"])
        )
        assert found.then is not None
        assert found.now.score <= found.then.score
        assert found.keeps_told
        assert found.now.ready != found.wall_ready

    def test_several_together(self, shop: Workshop) -> None:
        asked = codes(shop)
        found = compare(shop.show, read_supposes(shop.show, [asked["away"], "opening:2027-05-06"]))
        assert found.then is not None
        assert (found.then.ready, found.then.in_hand) == (date(2027, 5, 7), -1)

    def test_one_helper_more_has_hours_crafts_and_caps(self, shop: Workshop) -> None:
        shop.crafts["paint"].daily_cap_min = 60
        shop.crafts["paint"].save()
        found = compare(shop.show, read_supposes(shop.show, [codes(shop)["more"]]))
        assert found.then is not None
        assert [person.name for person in found.then.people][-1] == "one helper more"

    def test_looking_again_finds_the_same_and_follows_what_changes(self, shop: Workshop) -> None:
        asked = read_supposes(shop.show, [codes(shop)["away"]])
        first = compare(shop.show, asked)
        assert compare(shop.show, asked) == first
        Step.objects.filter(stage__key="carve").update(own_min=1200)
        assert compare(shop.show, asked) != first


class TestPage:
    def test_now_alone_then_side_by_side_and_nothing_saved(
        self, shop: Workshop, lead: Client
    ) -> None:
        address = reverse("builds:suppose", args=[shop.show.pk])
        asked = codes(shop)
        before = read_rows()
        page = unescape(lead.get(address).content.decode())
        assert "As it stands, all is ready on <b>5 May 2027</b>" in page
        page = unescape(lead.get(address, {"s": [asked["away"]]}).content.decode())
        assert "So all would be ready on <b>7 May 2027</b>" in page
        assert "As supposed" in page
        assert say_changed(before, read_rows()) == []

    def test_a_form_adds_to_what_is_supposed(self, shop: Workshop, lead: Client) -> None:
        address = reverse("builds:suppose", args=[shop.show.pk])
        values = {"s": "opening:2027-06-01", "add": "away", "maker": "", "first": "2027-05-06"}
        answer = lead.get(address, values)
        assert answer.status_code == 302
        assert answer["Location"].endswith("?s=opening:2027-06-01&s=away:0:2027-05-06:2027-05-06")

    @pytest.mark.parametrize(
        ("kind", "values", "words"),
        [
            ("more", {}, "Say what they can do"),
            ("more", {"hours": "late"}, "is not a stretch"),
            ("fewer", {}, "Say who"),
            ("away", {"first": "2027-05-06", "last": "2027-05-05"}, "comes before the first"),
            ("opening", {"opening": "2027-05-01"}, "lies ahead"),
            ("cut", {}, "Say what is cut"),
            ("craft", {}, "Say which stage"),
        ],
    )
    def test_a_form_that_is_wrong_says_so(
        self, shop: Workshop, lead: Client, kind: str, values: dict[str, str], words: str
    ) -> None:
        answer = lead.get(reverse("builds:suppose", args=[shop.show.pk]), {"add": kind, **values})
        assert answer.status_code == 422
        assert words in unescape(answer.content.decode())

    def test_without_a_plan_it_says_what_comes_first(self, shop: Workshop, lead: Client) -> None:
        Hours.objects.all().delete()
        page = lead.get(reverse("builds:suppose", args=[shop.show.pk])).content.decode()
        assert "Nobody has hours from now on" in page

    @pytest.mark.parametrize("figures", [1, 10])
    def test_queries_are_flat(
        self, settings: Any, client: Client, django_assert_num_queries: Any, figures: int
    ) -> None:
        settings.TODAY = MORNING
        made = Workshop(figures=figures)
        make_plan(show=made.show, user=made.lead)
        client.force_login(made.lead, backend="django.contrib.auth.backends.ModelBackend")
        with django_assert_num_queries(QUERIES):
            client.get(
                reverse("builds:suppose", args=[made.show.pk]),
                {"s": f"away:{made.ines.pk}:2027-05-03:2027-05-04"},
            )


class TestTaking:
    def take(self, shop: Workshop, *asked: str) -> Any:
        return take_supposes(
            show=shop.show, user=shop.lead, supposes=read_supposes(shop.show, asked)
        )

    def test_what_the_services_can_write_is_written_and_planned(self, shop: Workshop) -> None:
        asked = codes(shop)
        taken = self.take(shop, *(asked[k] for k in ("more", "hours", "away", "craft", "gear")))
        maker = Maker.objects.get(name="Helper 1")
        assert set(maker.crafts.all()) == set(shop.crafts.values())
        assert Hours.objects.filter(maker=maker).count() == 3
        assert Hours.objects.filter(maker=shop.ines, from_date=date(2027, 5, 3)).count() == 4
        assert DayOff.objects.get().first == date(2027, 5, 3)
        stage = Stage.objects.get(key="carve")
        assert (stage.craft, stage.lead_only) == (shop.crafts["paint"], False)
        assert Equipment.objects.get(name="frame").capacity == 2
        assert len(taken.done) == 5
        assert taken.plan == Plan.objects.first()
        assert taken.plan.status != "none"

    def test_leaving_and_opening(self, shop: Workshop) -> None:
        self.take(shop, codes(shop)["fewer"], "opening:2027-07-07")
        shop.tomas.refresh_from_db()
        assert shop.tomas.to_date == date(2027, 5, 9)
        assert shop.show.opening == date(2027, 7, 7)

    def test_a_figure_cut_is_set_aside_and_the_plot_left_as_it_is(
        self, settings: Any, client: Client
    ) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=2)
        make_plan(show=shop.show, user=shop.lead)
        figure = Figure.objects.get(number=2)
        asked = read_supposes(shop.show, [f"cut:{figure.pk}"])
        supposed = compare(shop.show, asked).then
        client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
        address = reverse("builds:suppose_take", args=[shop.show.pk])
        page = client.post(address, {"s": f"cut:{figure.pk}"}, follow=True).content.decode()
        figure.refresh_from_db()
        assert figure.state == Figure.State.SPARE
        assert "J2 is set aside" in page
        assert "By hand: The costume plot still asks for J2" in page
        plan = Plan.objects.first()
        assert plan is not None
        assert supposed is not None
        assert supposed.ready == plan.ready.date()  # type: ignore[union-attr]
        assert not plan.steps.filter(step__figure=figure).exists()

    def test_a_figure_that_never_played_is_struck_not_built_on_as_a_spare(
        self, shop: Workshop
    ) -> None:
        more = add_figure(show=shop.show, user=shop.lead, guise=shop.guise)
        taken = self.take(shop, f"cut:{more.pk}")
        more.refresh_from_db()
        assert more.state == Figure.State.STRUCK
        assert taken.by_hand == []
        assert not Step.objects.filter(figure=more, struck_at=None).exists()

    def test_a_costume_cut_is_not_sewn(self, settings: Any) -> None:
        settings.TODAY = MORNING
        shop = Workshop()
        coat = shop.costume(shop.guise, "coat")
        figure = Figure.objects.get()
        FigureCostume.objects.create(figure=figure, costume=coat)
        make_plan(show=shop.show, user=shop.lead)
        taken = self.take(shop, f"cut:{figure.pk}:{coat.pk}")
        worn = FigureCostume.objects.filter(figure=figure, struck_at=None)
        assert [str(row.costume) for row in worn] == ["smock 1"]
        assert "does without the coat" in taken.done[0]
        assert "the coat of J1" in taken.by_hand[0][0]

    def test_a_second_mould_is_made_and_shares_the_pours(self, settings: Any) -> None:
        foundry = Foundry()
        make_plan(show=foundry.show, user=foundry.lead)
        asked = read_supposes(foundry.show, [f"mould:{foundry.mould().pk}"])
        supposed = compare(foundry.show, asked)
        assert supposed.then is not None
        assert supposed.days_gained is not None
        taken = take_supposes(show=foundry.show, user=foundry.lead, supposes=asked)
        assert [mould.number for mould in Mould.objects.order_by("number")] == [1, 2]
        assert "mould 2 is wanted" in taken.done[0]
        assert taken.by_hand == []
        assert taken.plan is not None
        assert taken.plan.ready is not None
        assert taken.plan.ready.date() == supposed.then.ready
        pours = Pour.objects.filter(struck_at=None).values_list("mould__number", flat=True)
        assert sorted(set(pours)) == [1, 2]

    def test_who_leaves_hands_on_what_is_under_way(self, shop: Workshop) -> None:
        """Tomas has begun to paint and leaves at once: Ines goes on, and all is still planned."""
        for key in ("carve", "hang"):
            step = shop.step(key)
            Step.objects.filter(pk=step.pk).update(
                begun_at=MORNING, finished_at=MORNING, passed_at=MORNING, begun_by=shop.ines
            )
        paint = shop.step("paint")
        Step.objects.filter(pk=paint.pk).update(begun_at=MORNING, begun_by=shop.tomas)
        code = f"fewer:{shop.tomas.pk}:2027-05-03"
        found = compare(shop.show, read_supposes(shop.show, [code])).then
        assert found is not None
        assert found.reasons == ()
        taken = self.take(shop, code)
        paint.refresh_from_db()
        assert paint.pinned_maker == shop.ines
        assert "Ines goes on with Paint J1." in taken.done
        assert taken.plan is not None
        assert taken.plan.status != "none"
        row = taken.plan.steps.get(step=paint)
        assert row.maker == shop.ines

    def test_all_or_nothing(self, shop: Workshop, lead: Client) -> None:
        """A day off twice is refused by its service: the new opening is not written either."""
        asked = codes(shop)["away"]
        self.take(shop, asked)
        before = read_rows()
        with pytest.raises(ValidationError):
            self.take(shop, "opening:2027-07-07", asked)
        page = lead.post(
            reverse("builds:suppose_take", args=[shop.show.pk]),
            {"s": ["opening:2027-07-07", asked]},
            follow=True,
        )
        assert "Nothing was taken" in page.content.decode()
        assert say_changed(before, read_rows()) == []


class TestWhatHelps:
    def late(self, shop: Workshop) -> None:
        """The figure is wanted on Wednesday morning's eve, a day too soon for one carver."""
        Figure.objects.update(needed_by=date(2027, 5, 4))

    def run(self, shop: Workshop, *asked: str) -> PlanRun:
        ask_what_helps(show=shop.show, user=shop.lead, asked=asked)
        run = take_run()
        assert run is not None
        carry_out(run, stop=lambda: False)
        run.refresh_from_db()
        return run

    def test_nothing_is_tried_where_all_is_in_time(self, shop: Workshop) -> None:
        run = self.run(shop)
        assert run.words == "All is in time already: nothing needs to change."
        assert run.state == PlanRun.State.ENDED

    def test_single_changes_are_tried_and_the_cheapest_come_first(self, settings: Any) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=4)
        Stage.objects.filter(key="carve").update(lead_only=False)
        Figure.objects.update(needed_by=date(2027, 5, 10))
        make_plan(show=shop.show, user=shop.lead)
        before = read_rows()
        run = self.run(shop)
        rows = run.found["rows"]
        assert run.found["tried"] == run.found["of"] > 4
        works = [row for row in rows if row["is_in_time"]]
        assert works
        assert [row["is_in_time"] for row in rows] == sorted(
            (row["is_in_time"] for row in rows), reverse=True
        )
        prices = [(row["sort"], row["asked_min"]) for row in works]
        assert prices == sorted(prices)
        assert all(row["cost"] and row["ready"] for row in rows)
        # whatever was tried, the workshop is as it was
        changed = say_changed(before, read_rows())
        assert [line for line in changed if "PlanRun" not in line and "Change " not in line] == []

    def test_what_is_supposed_already_is_the_ground_it_stands_on(self, shop: Workshop) -> None:
        self.late(shop)
        run = self.run(shop, "opening:2027-07-01")
        assert run.asked == ["opening:2027-07-01"]
        assert "opening:2027-07-01" not in [row["code"] for row in run.found["rows"]]

    def test_costumes_that_matter_are_never_proposed(self, shop: Workshop) -> None:
        self.late(shop)
        assert any(row["code"].startswith("cut") for row in self.run(shop).found["rows"])
        Figure.objects.get().costumes.get().costume.__class__.objects.update(matters=True)
        assert not any(row["code"].startswith("cut") for row in self.run(shop).found["rows"])

    def test_stopped_it_keeps_what_it_found(self, shop: Workshop) -> None:
        self.late(shop)
        ask_what_helps(show=shop.show, user=shop.lead)
        run = take_run()
        assert run is not None
        asked: list[int] = []

        def stop() -> bool:
            asked.append(1)
            return len(asked) > 60

        carry_out(run, stop=stop)
        run.refresh_from_db()
        assert run.state == PlanRun.State.ENDED
        assert run.found["tried"] < run.found["of"]
        assert "single changes tried" in run.words

    def test_the_page_asks_shows_how_far_it_is_and_stops(
        self, shop: Workshop, lead: Client
    ) -> None:
        address = reverse("builds:suppose", args=[shop.show.pk])
        lead.post(reverse("builds:help_ask", args=[shop.show.pk]))
        page = lead.get(address).content.decode()
        assert "The trying begins in a moment" in page
        row = {
            "code": "opening:2027-07-01", "words": "later", "cost": "none", "is_in_time": False,
            "ready": "2027-05-05", "sooner": 1, "late": [["J1", 2]],
        }  # fmt: skip
        PlanRun.objects.update(found={"tried": 3, "of": 12, "rows": [row], "is_in_time": False})
        asked = lead.get(
            reverse("builds:help_run", args=[shop.show.pk]), headers={"HX-Request": "true"}
        )
        assert "3 of 12 so far" in asked.content.decode()
        assert "So far none is enough alone" in asked.content.decode()
        assert "<html" not in asked.content.decode()
        lead.post(reverse("builds:help_stop", args=[shop.show.pk]))
        assert PlanRun.objects.get().state == PlanRun.State.ENDED
        assert "Stopped before it began" in lead.get(address).content.decode()

    def test_both_searches_may_run_side_by_side(self, shop: Workshop) -> None:
        ask_for_better(show=shop.show, user=shop.lead)
        ask_what_helps(show=shop.show, user=shop.lead)
        again = ask_what_helps(show=shop.show, user=shop.lead)
        assert PlanRun.objects.count() == 2
        assert stop_run(run=again, user=shop.lead).state == PlanRun.State.ENDED
        assert PlanRun.objects.filter(state=PlanRun.State.ASKED).count() == 1


class TestSilence:
    def test_a_killed_worker_is_noticed_and_offered_again(
        self, shop: Workshop, lead: Client
    ) -> None:
        ask_for_better(show=shop.show, user=shop.lead)
        run = take_run()
        assert run is not None
        PlanRun.objects.update(heartbeat_at=clock.ticking_now() - timedelta(minutes=2))
        page = lead.get(reverse("builds:wall_plan", args=[shop.show.pk])).content.decode()
        assert CUT_OFF in unescape(page)
        assert "Look again" in page

    def test_what_nobody_takes_up_is_said_unless_a_worker_is_busy(
        self, shop: Workshop, lead: Client
    ) -> None:
        busy = ask_for_better(show=shop.show, user=shop.lead)
        PlanRun.objects.filter(pk=busy.pk).update(
            state=PlanRun.State.RUNNING, heartbeat_at=clock.ticking_now()
        )
        waits = ask_what_helps(show=shop.show, user=shop.lead)
        assert not waits_long(waits)
        waits.asked_at = clock.ticking_now() - timedelta(minutes=2)
        waits.save()
        assert not waits_long(waits)
        PlanRun.objects.filter(pk=busy.pk).update(state=PlanRun.State.ENDED)
        assert waits_long(waits)
        page = lead.get(reverse("builds:suppose", args=[shop.show.pk])).content.decode()
        assert "does not seem to run" in page
        assert PlanRun.objects.get(pk=waits.pk).state == PlanRun.State.ASKED

    def test_while_it_looks_nothing_worse_is_ever_put_on_the_wall(self, settings: Any) -> None:
        """The search begins far off; what it keeps on the way is never worse than what there was,
        so that a killed worker leaves the best behind."""
        settings.TODAY = MORNING
        shop = Workshop(figures=6)
        Figure.objects.update(needed_by=date(2027, 5, 10))
        before = make_plan(show=shop.show, user=shop.lead, work=200)
        told: list[Plan] = []
        last = make_plan(show=shop.show, user=shop.lead, work=30, report=told.append)
        assert told  # the first plan at once
        scores = [
            (sum(row["late_min"] for row in plan.figures), plan.ready)
            for plan in (before, *told, last)
        ]
        assert scores == sorted(scores, reverse=True)

    def test_what_was_recorded_meanwhile_counts(self, settings: Any) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=6)
        Figure.objects.update(needed_by=date(2027, 5, 10))
        make_plan(show=shop.show, user=shop.lead, work=0)
        ask_for_better(show=shop.show, user=shop.lead, seconds=1)
        run = take_run()
        assert run is not None
        asked: list[int] = []

        def stop() -> bool:
            asked.append(1)
            if len(asked) == 1:
                add_day_off(
                    company=shop.company, user=shop.lead, maker=shop.ines, first=date(2027, 5, 3)
                )
            return len(asked) > 3

        plan = carry_out(run, stop=stop)
        assert plan is not None
        assert not is_out_of_date(plan)
        assert asked
        carved = plan.steps.filter(step__stage__key="carve").order_by("start")
        assert carved[0].start.date() == date(2027, 5, 4)

    def test_the_days_on_the_way_to_the_best_are_kept(self, settings: Any) -> None:
        settings.TODAY = MORNING
        shop = Workshop(figures=3)
        make_plan(show=shop.show, user=shop.lead, work=0)
        ask_for_better(show=shop.show, user=shop.lead, seconds=1)
        run = take_run()
        assert run is not None
        plan = carry_out(run, stop=lambda: False)
        run.refresh_from_db()
        assert plan is not None
        assert plan.ready is not None
        assert run.found["trail"][-1] == {"ready": plan.ready.isoformat(), "late": 0}
        assert run.best == plan
