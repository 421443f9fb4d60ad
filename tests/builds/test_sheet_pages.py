"""The page of the papers and the files behind it: who gets which, what is refused, and how."""

from __future__ import annotations

import builtins
import io
import sys
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from builds.models import Plan, Step
from builds.queries.plans import latest_plan
from builds.services.plans import make_plan, pin_up
from company import clock, sheets
from company.models import Company, Maker, Role, User
from tests.builds.workshop import MONDAY, MORNING, Workshop
from tests.factories import CompanyFactory, MakerFactory, ShowFactory, person
from tests.papers import read_words

pytestmark = pytest.mark.django_db

LIST_QUERIES = 50
FIGURE_QUERIES = 44
WEEK_QUERIES = 44
PACK_QUERIES = 46
REGISTER_QUERIES = 23
PLOT_QUERIES = 44

Ask = Callable[..., Any]


@pytest.fixture
def ask(settings: Any) -> Ask:
    """Asks for an address as somebody, on the Monday morning that the plan begins."""
    settings.TODAY = MORNING

    def ask_as(user: User, name: str, *args: Any, **query: Any) -> Any:
        client = Client()
        client.force_login(user)
        return client.get(reverse(f"builds:{name}", args=args), query)

    return ask_as


def shop_with(figures: int = 1) -> Workshop:
    shop = Workshop(figures)
    with clock.fixed_at(MORNING):
        pin_up(plan=make_plan(show=shop.show, user=shop.lead, work=0), user=shop.lead)
    return shop


@pytest.fixture
def shop() -> Workshop:
    return shop_with()


def addresses(shop: Workshop) -> list[tuple[Any, ...]]:
    show = shop.show.pk
    return [
        ("sheet_list", show),
        ("sheet_pack", show),
        ("sheet_week", show, shop.tomas.pk, MONDAY.isoformat()),
        ("sheet_figure", shop.figure("J1").pk),
        ("sheet_register", show),
        ("sheet_plot", show),
    ]


class TestWho:
    @pytest.mark.parametrize("role", list(Role))
    def test_everybody_of_the_company(self, shop: Workshop, ask: Ask, role: Role) -> None:
        user = person(shop.company, role, "Odile")
        for address in addresses(shop):
            answer = ask(user, *address)
            assert answer.status_code == 200, address
            if address[0] != "sheet_list":
                assert answer["Content-Type"] == "application/pdf"
                assert answer.content.startswith(b"%PDF-")
                assert answer["Cache-Control"] == "private, no-store"
                assert answer["Content-Disposition"].startswith('inline; filename="')

    def test_a_stranger_finds_nothing(self, shop: Workshop, ask: Ask) -> None:
        stranger = person(CompanyFactory(), Role.LEAD, "Odile")
        for address in addresses(shop):
            assert ask(stranger, *address).status_code == 404, address

    def test_nobody_is_sent_to_the_door(self, shop: Workshop) -> None:
        for name, *args in addresses(shop):
            answer = Client().get(reverse(f"builds:{name}", args=args))
            assert answer.status_code == 302
            assert reverse("company:sign_in") in answer["Location"]

    @pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
    def test_before_a_plan_is_pinned_up_only_the_lead_prints(self, ask: Ask, role: Role) -> None:
        shop = Workshop()
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead, work=0)
        user = person(shop.company, role, "Odile")
        answer = ask(user, "sheet_pack", shop.show.pk)
        assert answer.status_code == 422
        assert "No plan is pinned up yet" in answer.content.decode()
        assert "No plan is pinned up yet" in ask(user, "sheet_list", shop.show.pk).content.decode()
        drafted = ask(shop.lead, "sheet_pack", shop.show.pk)
        assert "draft plan of 3 May, not pinned up" in read_words(drafted.content)
        page = ask(shop.lead, "sheet_list", shop.show.pk).content.decode()
        assert "This plan is a draft that only you see" in page

    def test_helpers_get_what_is_pinned_up_though_a_draft_is_newer(
        self, shop: Workshop, ask: Ask
    ) -> None:
        shop.comes(shop.tomas, [4], 9, 17)
        with clock.fixed_at(MORNING):
            make_plan(show=shop.show, user=shop.lead, work=0)
        assert Plan.objects.count() == 2
        tomas = person(shop.company, Role.MAKER, "Tomas")
        for user in (tomas, shop.lead):
            answer = ask(user, "sheet_figure", shop.figure("J1").pk)
            assert "pinned-up plan of 3 May" in read_words(answer.content)
        note = "The plan has followed the work since it was pinned up"
        assert note in ask(shop.lead, "sheet_list", shop.show.pk).content.decode()
        assert note not in ask(tomas, "sheet_list", shop.show.pk).content.decode()


class TestWhat:
    def test_the_list_leads_to_every_paper(self, shop: Workshop, ask: Ask) -> None:
        page = ask(shop.lead, "sheet_list", shop.show.pk).content.decode()
        for name, *args in addresses(shop)[1:]:
            assert f'href="{reverse(f"builds:{name}", args=args)}?paper=A4' in page
        assert "1\u00a0figure still has work to print" in page

    def test_a_pack_of_the_weeks_to_come(self, ask: Ask) -> None:
        """Four figures of about two days each: more than a week of three days holds."""
        shop = Workshop(figures=4)
        shop.comes(shop.ines, range(3), 9, 17)
        with clock.fixed_at(MORNING):
            pin_up(plan=make_plan(show=shop.show, user=shop.lead, work=0), user=shop.lead)
        found = {
            weeks: read_words(ask(shop.lead, "sheet_pack", shop.show.pk, weeks=weeks).content)
            for weeks in ("1", "2", "", "-3", "nonsense")
        }
        assert len(found["1"]) < len(found["2"]) < len(found[""])
        assert "week of 3 May" in found["1"]
        assert "week of 10 May" not in found["1"]
        assert "week of 10 May" in found["2"]
        assert found["-3"] == found["nonsense"] == found[""]
        answer = ask(shop.lead, "sheet_pack", shop.show.pk, weeks="2")
        assert 'filename="pack-2-weeks.pdf"' in answer["Content-Disposition"]

    def test_names_of_the_files(self, shop: Workshop, ask: Ask) -> None:
        names = [
            ask(shop.lead, *address)["Content-Disposition"].partition("=")[2].strip('"')
            for address in addresses(shop)[1:]
        ]
        assert names == [
            "pack.pdf",
            "week-tomas-2027-05-03.pdf",
            "figure-J1.pdf",
            "register.pdf",
            "costume-plot.pdf",
        ]

    def test_a_name_beyond_latin_letters(self, shop: Workshop, ask: Ask) -> None:
        Maker.objects.filter(pk=shop.tomas.pk).update(name="Томаш Łódź")
        answer = ask(shop.lead, "sheet_week", shop.show.pk, shop.tomas.pk, MONDAY.isoformat())
        assert "filename*=utf-8''week-" in answer["Content-Disposition"]

    @pytest.mark.parametrize(
        ("asked", "own", "width_mm"),
        [("A4", "Letter", 210), ("Letter", "A4", 215.9), ("", "Letter", 215.9),
         ("nonsense", "A4", 210), ("A3 landscape", "A4", 210)],
    )  # fmt: skip
    def test_paper(self, shop: Workshop, ask: Ask, asked: str, own: str, width_mm: float) -> None:
        Company.objects.filter(pk=shop.company.pk).update(paper=own)
        answer = ask(shop.lead, "sheet_figure", shop.figure("J1").pk, paper=asked)
        assert answer.status_code == 200
        assert width_of(answer.content) == pytest.approx(width_mm, abs=0.2)

    def test_the_plot_is_on_wide_paper(self, shop: Workshop, ask: Ask) -> None:
        for paper, width_mm in (("A4", 420), ("Letter", 431.8)):
            answer = ask(shop.lead, "sheet_plot", shop.show.pk, paper=paper)
            assert width_of(answer.content) == pytest.approx(width_mm, abs=0.2)

    def test_one_persons_sheet_of_a_figure(self, shop: Workshop, ask: Ask) -> None:
        figure = shop.figure("J1").pk
        text = read_words(ask(shop.lead, "sheet_figure", figure, maker=shop.tomas.pk).content)
        assert "for Tomas" in text
        assert "for Ines," not in text
        others = MakerFactory(company=shop.company, name="Priya")
        theirs = MakerFactory(company=CompanyFactory(), name="Odile")
        for wrong in (others.pk, theirs.pk, "x", "-1", "9" * 30):
            assert ask(shop.lead, "sheet_figure", figure, maker=wrong).status_code == 404

    def test_a_figure_without_work_left_says_so(self, shop: Workshop, ask: Ask) -> None:
        Step.objects.update(begun_at=MORNING, finished_at=MORNING, passed_at=MORNING)
        answer = ask(shop.lead, "sheet_figure", shop.figure("J1").pk)
        assert answer.status_code == 422
        assert "The plan has no work left on J1." in answer.content.decode()
        assert ask(shop.lead, "sheet_pack", shop.show.pk).status_code == 422
        page = ask(shop.lead, "sheet_list", shop.show.pk).content.decode()
        assert "All the work of the plan is done" in page
        assert "Print the whole pack" not in page

    def test_a_show_with_nothing_in_it(self, shop: Workshop, ask: Ask) -> None:
        bare = ShowFactory(company=shop.company, title="Ferry Songs")
        page = ask(shop.lead, "sheet_list", bare.pk)
        assert page.status_code == 200
        assert "There is no plan yet" in page.content.decode()
        for name, words in (
            ("sheet_pack", "There is no plan yet"),
            ("sheet_register", "There are no figures to list yet"),
            ("sheet_plot", "There is no plot yet"),
        ):
            answer = ask(shop.lead, name, bare.pk)
            assert answer.status_code == 422
            assert words in answer.content.decode()


class TestWeeks:
    def test_a_day_inside_a_week_leads_to_its_first(self, shop: Workshop, ask: Ask) -> None:
        answer = ask(
            shop.lead, "sheet_week", shop.show.pk, shop.tomas.pk, "2027-05-06", paper="Letter"
        )
        assert answer.status_code == 302
        assert answer["Location"].endswith("/2027-05-03.pdf?paper=Letter")
        Company.objects.filter(pk=shop.company.pk).update(week_start=6)
        answer = ask(shop.lead, "sheet_week", shop.show.pk, shop.tomas.pk, "2027-05-03")
        assert answer["Location"].endswith("/2027-05-02.pdf")

    @pytest.mark.parametrize(
        "monday", ["soon", "2027-02-30", "1999-01-04", "9999-12-31", "0001-01-01", "20270503x"]
    )
    def test_what_is_no_day_or_no_plan_reaches(self, shop: Workshop, ask: Ask, monday: str) -> None:
        args = (shop.show.pk, shop.tomas.pk, monday)
        assert ask(shop.lead, "sheet_week", *args).status_code == 404

    def test_a_compact_date_leads_to_the_usual_one(self, shop: Workshop, ask: Ask) -> None:
        answer = ask(shop.lead, "sheet_week", shop.show.pk, shop.tomas.pk, "20270503")
        assert answer["Location"].endswith("/2027-05-03.pdf")

    def test_a_week_beyond_the_plan_is_a_quiet_one(self, shop: Workshop, ask: Ask) -> None:
        later = (MONDAY + timedelta(days=70)).isoformat()
        answer = ask(shop.lead, "sheet_week", shop.show.pk, shop.tomas.pk, later)
        assert "Nothing is planned in this week." in read_words(answer.content)

    def test_somebody_elses_maker_or_nobodys(self, shop: Workshop, ask: Ask) -> None:
        theirs = MakerFactory(company=CompanyFactory(), name="Odile")
        struck = MakerFactory(company=shop.company, name="Priya", struck_at=MORNING)
        for pk in (theirs.pk, struck.pk, 10**9):
            args = (shop.show.pk, pk, MONDAY.isoformat())
            assert ask(shop.lead, "sheet_week", *args).status_code == 404


@pytest.mark.parametrize("figures", [1, 10])
def test_flat_query_counts(figures: int, settings: Any) -> None:
    settings.TODAY = MORNING
    shop = shop_with(figures)
    client = Client()
    client.force_login(shop.lead)
    counted = {}
    for name, *args in addresses(shop):
        with CaptureQueriesContext(connection) as seen:
            assert client.get(reverse(f"builds:{name}", args=args)).status_code == 200
        counted[name] = len(seen)
    assert counted == {
        "sheet_list": LIST_QUERIES,
        "sheet_pack": PACK_QUERIES,
        "sheet_week": WEEK_QUERIES,
        "sheet_figure": FIGURE_QUERIES,
        "sheet_register": REGISTER_QUERIES,
        "sheet_plot": PLOT_QUERIES,
    }


def test_without_pango_the_page_says_what_to_install_and_the_rest_works(
    shop: Workshop, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def refuse(name: str, *args: Any, **more: Any) -> Any:
        if name.partition(".")[0] == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *args, **more)

    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    sheets._join.cache_clear()
    sheets._press.cache_clear()
    monkeypatch.setattr(builtins, "__import__", refuse)
    page = ask(shop.lead, "sheet_list", shop.show.pk)
    assert page.status_code == 200
    assert "sudo apt install libpango-1.0-0" in page.content.decode()
    answer = ask(shop.lead, "sheet_pack", shop.show.pk)
    assert answer.status_code == 422
    assert "This machine cannot make PDFs yet" in answer.content.decode()
    assert latest_plan(shop.show) is not None
    assert ask(shop.lead, "today", shop.show.pk).status_code == 200


def width_of(pdf: bytes) -> float:
    """The page's width in mm."""
    return float(PdfReader(io.BytesIO(pdf)).pages[0].mediabox.width) / 72 * 25.4
