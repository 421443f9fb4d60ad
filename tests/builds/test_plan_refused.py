"""What cannot be planned, or makes no sense, is said in a sentence that names it.

Each through the page and through the command: never a crash, never an empty page, nothing saved
that was refused.
"""

from __future__ import annotations

import io
import json
from datetime import date
from html import unescape

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from builds.models import Figure, Stage, StageAfter, Step
from company import clock
from company.models import Maker
from tests.builds.workshop import MONDAY, MORNING, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(settings: object) -> Workshop:
    settings.TODAY = MORNING  # type: ignore[attr-defined]
    return Workshop()


@pytest.fixture
def lead(shop: Workshop, client: Client) -> Client:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


def page_of(shop: Workshop, lead: Client) -> str:
    """The wall plan once planned anew."""
    with clock.fixed_at(MORNING):
        lead.post(reverse("builds:plan_make", args=[shop.show.pk]))
        answer = lead.get(reverse("builds:wall_plan", args=[shop.show.pk]))
    assert answer.status_code == 200
    return unescape(answer.content.decode()).replace("\u00a0", " ")


def command_of(shop: Workshop) -> tuple[int, list[str]]:
    """Exit code and reasons of the command, as a script reads them."""
    out = io.StringIO()
    code = 0
    with clock.fixed_at(MORNING):
        try:
            call_command("plan_builds", shop.show.title, "--json", stdout=out, stderr=io.StringIO())
        except SystemExit as end:
            code = int(end.code or 0)
    reasons = json.loads(out.getvalue()).get("reasons", [])
    return code, [why.replace("\u00a0", " ") for why in reasons]


def refused(shop: Workshop, lead: Client, *words: str) -> None:
    """No plan, and the same sentence with these words on the page and from the command."""
    page = page_of(shop, lead)
    code, reasons = command_of(shop)
    assert code == 1
    assert any(all(word in why for word in words) for why in reasons), reasons
    assert all(why in page for why in reasons)
    assert "There is no plan yet, and this is why" in page


class TestNoPlan:
    def test_craft_nobody_has(self, shop: Workshop, lead: Client) -> None:
        shop.crafts["paint"].makers.clear()
        refused(
            shop, lead, "Nobody may do this: it needs somebody with the craft 'paint'", "Paint J1"
        )

    def test_nought_hours(self, shop: Workshop, lead: Client) -> None:
        for maker in (shop.ines, shop.tomas):
            shop.comes(maker, [], 9, 17)
        refused(shop, lead, "Nobody has hours from now on")

    def test_nought_hours_of_the_only_one_who_can(self, shop: Workshop, lead: Client) -> None:
        shop.comes(shop.ines, [], 9, 17)
        refused(shop, lead, "Ines has no hours left", "Carve J1")

    def test_person_leaving_in_the_middle(self, shop: Workshop, lead: Client) -> None:
        Maker.objects.filter(pk=shop.ines.pk).update(to_date=MONDAY)
        words = "Ines alone may do", "only 8 h left until 3 May 2027, the last day", "Carve J1"
        refused(shop, lead, *words)

    def test_step_longer_than_the_hours_that_remain(self, shop: Workshop, lead: Client) -> None:
        Step.objects.filter(stage__key="paint").update(own_min=30_000)
        Maker.objects.filter(pk__in=[shop.ines.pk, shop.tomas.pk]).update(to_date=date(2027, 6, 30))
        refused(shop, lead, "Paint J1")

    def test_in_one_go_longer_than_any_stretch(self, shop: Workshop, lead: Client) -> None:
        Stage.objects.filter(key="carve").update(in_one_go=True)
        refused(shop, lead, "10 h in one go", "the longest stretch of Ines is 8 h", "Carve J1")

    def test_pinned_to_somebody_who_has_left(self, shop: Workshop, lead: Client) -> None:
        Step.objects.filter(stage__key="paint").update(pinned_maker=shop.tomas)
        Maker.objects.filter(pk=shop.tomas.pk).update(to_date=date(2027, 5, 2))
        refused(shop, lead, "Tomas has no hours left", "Paint J1")

    def test_ring_in_a_route_that_got_past_the_form(self, shop: Workshop, lead: Client) -> None:
        """The form refuses it; rows that hold one all the same are named, not walked for ever."""
        StageAfter.objects.create(stage=shop.stages["carve"], after=shop.stages["true"])
        refused(shop, lead, "A route waits for itself", "carve (string)", "true (string)")


class TestRefusedAtTheForm:
    def test_ring_in_a_route(self, shop: Workshop, lead: Client) -> None:
        carve, bag = shop.stages["carve"], shop.stages["bag"]
        address = reverse("builds:stage_edit", args=[carve.pk])
        page = lead.get(address).content.decode()
        assert page
        answer = lead.post(
            address,
            {
                "name": "Carve",
                "strand": carve.strand,
                "scope": carve.scope,
                "hours_min": "10",
                "wait_min": "0",
                "rate": "1.0",
                "second": "",
                "after": [str(bag.pk)],
                "version": carve.version,
            },
        )
        assert answer.status_code == 422
        assert "Carve" in answer.content.decode()
        assert not StageAfter.objects.filter(stage=carve, after=bag).exists()

    def test_figure_needed_before_the_first_day(self, shop: Workshop, lead: Client) -> None:
        figure = Figure.objects.get()
        address = reverse("builds:figure_edit", args=[figure.pk])
        with clock.fixed_at(MORNING):
            answer = lead.post(
                address, {"needed_by": "2027-04-01", "weight": "1", "version": figure.version}
            )
        assert answer.status_code == 422
        assert "first day" in answer.content.decode()
        figure.refresh_from_db()
        assert figure.needed_by is None

    def test_a_date_that_is_past_already_is_late_and_said(
        self, shop: Workshop, lead: Client
    ) -> None:
        """What was let through before the first day moved is planned, and its lateness named."""
        Figure.objects.update(needed_by=date(2027, 4, 1))
        page = page_of(shop, lead)
        assert "late" in page
        assert "for 1 Apr" in page


class TestHandedOn:
    """Who leaves with work under way: it is named, and can be given to somebody else."""

    def begin_paint(self, shop: Workshop) -> Step:
        for key in ("carve", "hang"):
            Step.objects.filter(stage__key=key).update(
                begun_at=MORNING, finished_at=MORNING, passed_at=MORNING, begun_by=shop.ines
            )
        Step.objects.filter(stage__key="paint").update(begun_at=MORNING, begun_by=shop.tomas)
        Maker.objects.filter(pk=shop.tomas.pk).update(to_date=date(2027, 5, 2))
        return shop.step("paint")

    def test_it_is_named_with_the_way_out(self, shop: Workshop, lead: Client) -> None:
        self.begin_paint(shop)
        refused(shop, lead, "Paint J1 is under way, but Tomas has no hours left for 2 h")
        assert "can be handed on" in page_of(shop, lead)

    def test_somebody_else_goes_on_with_it(self, shop: Workshop, lead: Client) -> None:
        step = self.begin_paint(shop)
        with clock.fixed_at(MORNING):
            answer = lead.post(
                reverse("builds:step_edit", args=[step.pk]),
                {"note": "", "own_min": "", "pinned_maker": shop.ines.pk, "version": step.version},
            )
        assert answer.status_code == 302
        page = page_of(shop, lead)
        assert "If the hours hold, everything is ready to play" in page
        row = step.planned.get()
        assert (row.maker, row.minutes) == (shop.ines, 120)
        assert Step.objects.get(pk=step.pk).begun_by == shop.tomas  # what was done stays his
