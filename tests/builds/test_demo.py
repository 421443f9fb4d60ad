"""The demo on five days of a year: one of everything to look at, worked out and not typed.

What is asked for is read off the pages as they are computed on that day, so that the story holds
on a weekday, at a weekend, on a leap day and beside a change of the clocks.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from builds.demo.lay import company_of_demo, lay_demo
from builds.models import Figure, PlannedStep, Step, WorkLog
from builds.queries.hangs import HangPage, read_hang
from builds.queries.strings import read_strings
from company.models import Change, User
from scenes.models import Costume, Show

LONDON = ZoneInfo("Europe/London")
DAYS = {
    "a Monday at seven, before anybody is in": datetime(2026, 11, 2, 7, 0, tzinfo=LONDON),
    "the Wednesday after summer time began": datetime(2027, 3, 31, 11, 30, tzinfo=LONDON),
    "the Friday before summer time ends": datetime(2026, 10, 23, 15, 45, tzinfo=LONDON),
    "a Sunday night": datetime(2026, 6, 14, 22, 0, tzinfo=LONDON),
    "the 29th of February": datetime(2028, 2, 29, 12, 0, tzinfo=LONDON),
}


class Pages:
    """The demo's pages as its lead gets them."""

    def __init__(self, show: Show, lead: User) -> None:
        self.show = show
        self.client = Client()
        self.client.force_login(lead)
        self.read: dict[str, Any] = {}

    def get(self, name: str, asked: str = "") -> Any:
        """The answer of a page of the show, asked for once."""
        if name + asked not in self.read:
            answer = self.client.get(reverse(name, args=[self.show.pk]) + asked)
            assert answer.status_code == 200, name
            self.read[name + asked] = answer
        return self.read[name + asked]

    def given(self, name: str, what: str) -> Any:
        """What the page was given to show."""
        return self.get(name).context[what]

    def text(self, name: str, asked: str = "") -> str:
        """The page as it was sent."""
        words: str = self.get(name, asked).content.decode()
        return words


def pour_due(pages: Pages) -> bool:
    """Whether the list of the plan tells of a pour that is still to come."""
    plan = pages.given("builds:wall_plan", "plan")
    pours = PlannedStep.objects.filter(plan=plan, step__pour__isnull=False, step__begun_at=None)
    due = pours.select_related("step__stage").first()
    return due is not None and due.step.stage.name in pages.text("builds:wall_plan", "?as=list")


def hung_states(show: Show) -> dict[str, bool]:
    """What there is to look at of bodies: a stoop, a lean and its cure, weights, a trial hang."""
    figures = Figure.objects.filter(show=show).select_related("guise__character", "show__company")

    def of(role: str, guise: str, costume: str | None = None) -> HangPage:
        figure = figures.filter(guise__character__name=role, guise__name=guise).earliest("number")
        worn = Costume.objects.filter(guise=figure.guise, name=costume).first()
        return read_hang(figure.guise, figure, costume_pk=worn.pk if worn else None)

    stooped, leaning, weighed = (
        of("Jory Tarrow", "at sixty", "pilot coat"),
        of("Jory Tarrow", "at thirty"),
        of("Captain Pell", "", "uniform"),
    )
    assert stooped.hang is not None
    assert leaning.hang is not None
    assert weighed.hang is not None
    return {
        "a stoop that hangs as drawn": stooped.hang.is_true,
        "a figure that leans": leaning.hang.lean.low_deg > 1,
        "what trues it": leaning.hang.truing.ballast is not None
        and abs(leaning.hang.truing.ballast.lean_deg) < 0.25,
        "a trial hang": bool(leaning.trials) and leaning.learnt[0].kind == "torso",
        "one that is weighed": weighed.is_weighed and weighed.hang.is_true,
        "strings that a jerk overloads": bool(read_strings(stooped.guise).strings.over),
    }


def shelf_states(pages: Pages) -> dict[str, bool]:
    """What there is to look at of moulds and castings."""
    shelf = pages.given("builds:mould_list", "shelf")
    cards = (*shelf.cards, *shelf.resting)
    results = {casting.result for card in cards for casting in card.castings}
    return {
        "a casting in its mould": bool(shelf.filled),
        "a worn mould": any(card.wear.value == "worn" for card in cards),
        "castings good, flawed and thrown out": {"good", "flawed", "thrown out"} <= results,
        "a spare on the shelf": any(casting.result == "good" for casting in shelf.lying),
        "what a failure cost": bool(shelf.costs),
    }


def states(pages: Pages) -> dict[str, bool]:
    """What there is to look at on the pages."""
    register = pages.given("builds:figure_list", "register")
    today = pages.given("builds:today", "today")
    bench = pages.given("builds:bench", "bench")
    return {
        "a figure ready to play": any(row.is_ready for row in register.rows),
        "one half done": any(row.is_begun and not row.is_ready for row in register.rows),
        "one late for its date": any(row.is_late for row in register.rows) and bool(today.late),
        "a mould drying": any("mould" in dry.step.stage.key for dry in today.drying),
        "a pour due": pour_due(pages),
        **shelf_states(pages),
        "a step that waits for the pass": bool(today.for_the_pass),
        "one that asks for the lead": any(step.needs_lead_words for step in today.asking),
        "something left over": bool(today.overdue),
        "one undecided costume": "One costume is not decided yet" in pages.text("scenes:plot"),
        "a change longer than any wait": "Longer than any wait" in pages.text("scenes:plot"),
        "a pin kept and one that cannot be": "Not kept: " in pages.text("scenes:plot")
        and "you build" in pages.text("scenes:plot"),
        "a scene with too few people": "you are three" in pages.text("scenes:plot"),
        "blanks that move the count": "if the blanks go against you"
        in pages.text("scenes:plot_range"),
        "a figure no longer needed": bool(bench.of_kind("gone")),
        "one to be re-costumed": any(
            line.what == {"costume"} and line.takes for line in bench.of_kind("over")
        ),
        "a spare head asked for": any(f.extent == "head" for f in bench.asked),
        "an edit that saves a figure": bool(pages.given("builds:saving_list", "savings").lines),
        "parts that break at each performance": "Break-away parts" in pages.text("scenes:plot"),
        "a new one wanted": bool(bench.of_kind("new")),
        "a plan that stands": pages.given("builds:wall_plan", "plan").status != "none",
        **hung_states(pages.show),
        "days in hand or late": pages.given("builds:wall_plan", "in_hand") is not None,
    }


@pytest.mark.django_db
@pytest.mark.parametrize("now", DAYS.values(), ids=DAYS.keys())
def test_demo_has_one_of_everything_to_look_at(
    now: datetime, settings: Any, django_capture_on_commit_callbacks: Any
):
    settings.TODAY = now
    with django_capture_on_commit_callbacks(execute=True):
        show, lead = lay_demo()

    pages = Pages(show, lead)

    assert [state for state, is_there in states(pages).items() if not is_there] == []
    assert company_of_demo() == show.company
    assert_nothing_lies_ahead(now, show)
    assert_ledes_say_what_is_counted(pages)


def assert_nothing_lies_ahead(now: datetime, show: Show) -> None:
    """Nothing on record was done after the moment in which the demo is laid, or on a day off."""
    for column in ("begun_at", "finished_at", "passed_at"):
        assert not Step.objects.filter(show=show, **{f"{column}__gt": now}).exists(), column
    assert not WorkLog.objects.filter(day__gt=now.date()).exists()
    assert not Change.objects.filter(at__gt=now).exists()
    off = {5, 6}
    assert {log.day.weekday() for log in WorkLog.objects.all()}.isdisjoint(off)


def assert_ledes_say_what_is_counted(pages: Pages) -> None:
    """The first sentences hold the numbers that a count of the rows gives."""
    wanted = Figure.objects.filter(show=pages.show, state=Figure.State.WANTED).count()
    bench = pages.given("builds:bench", "bench")
    kept = len([line for line in bench.lines if line.figure and line.kind != "gone"])
    assert bench.needed == kept + len(bench.of_kind("new"))
    assert wanted == kept + len(bench.of_kind("gone"))
    words = re.sub(r"<[^>]+>", "", pages.text("scenes:plot"))
    assert f"; you build {bench.needed}." in " ".join(words.split())
