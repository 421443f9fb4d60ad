"""Every page of the resolver in a real browser: nothing axe minds, nothing that sticks out.

The pages are those of tests/ways.py, so a new one is tried by itself. `open_page` fails the test
for any word on the console and any missing static file.
"""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

from django.urls import reverse

from company.services.companies import start_company
from scenes.services.shows import start_show
from tests.browser.conftest import DESK, HEIGHTS, PHONE
from tests.laid import lay_show
from tests.ways import ANYBODY, READER, WAYS, address_of

NARROWEST = 360
# Addresses that answer with a file, not with a page.
FILES = {
    "scenes:file_download",
    "scenes:sketch_file",
    "builds:drawing_picture",
    "builds:drawing_sheet",
    "builds:photo_file",
    "builds:sheet_figure",
    "builds:sheet_mould",
    "builds:sheet_pack",
    "builds:sheet_plot",
    "builds:sheet_pour",
    "builds:sheet_register",
    "builds:sheet_running",
    "builds:sheet_shopping",
    "builds:sheet_strings",
    "builds:table_download",
    "builds:sheet_turn_round",
    "builds:sheet_wall",
    "builds:sheet_week",
}
# Pages are looked at once more as they are after a question: name, what follows the address.
ASKED = (
    ("builds:wall_plan", "?as=list"),
    ("builds:wall_plan", "?by=person&weeks=2"),
    ("builds:wall_plan", "?by=figure&weeks=12"),
    ("builds:wall_plan", "?by=drying"),
    ("builds:today", "?day=2026-03-05"),
    ("builds:figure_list", "?late=1"),
    ("company:detail", "?week=2026-03-11"),
    ("company:holiday_list", "?country=GB&year=2027"),
    ("company:home", "?all"),
)
DARK = ("builds:today", "builds:wall_plan", "scenes:plot", "scenes:plot_grid", "company:detail")


def pages_of(at: Any, *, who: tuple[str, ...] | None = None) -> Iterator[tuple[str, str]]:
    """Name and address of every page for which `at` has what it shows."""
    for name, way in WAYS.items():
        if "GET" not in way.how or name in FILES or (who and way.who not in who):
            continue
        try:
            yield name, address_of(name, at)
        except (AttributeError, IndexError):
            continue  # the empty show has no such row


class Look:
    """Goes through pages in one window and keeps what is wrong with them."""

    def __init__(self, page: Any, find_faults: Any) -> None:
        self.page, self.find_faults = page, find_faults
        self.faults: list[str] = []

    def at(self, name: str, address: str, status: int = 200, widths: Any = (DESK, PHONE)) -> None:
        answer = self.page.goto(address)
        if answer.status != status:
            self.faults.append(f"{name}: answered {answer.status}, not {status}")
        for width in widths:
            self.page.set_viewport_size({"width": width, "height": HEIGHTS[width]})
            self.faults += [f"{name} at {width}: {f}" for f in self.find_faults(self.page)]
            self._see_edges(name, width)
        self.page.set_viewport_size({"width": NARROWEST, "height": HEIGHTS[PHONE]})
        self._see_edges(name, NARROWEST)

    def _see_edges(self, name: str, width: int) -> None:
        over = self.page.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        if over > 0:
            self.faults.append(f"{name} at {width}: the page is {over} px too wide")


def test_every_page_of_a_show_in_its_build(open_page, find_faults, live_server):
    at = lay_show()
    look = Look(open_page(at.lead), find_faults)
    for name, address in pages_of(at):
        if WAYS[name].who != ANYBODY:
            look.at(name, address)
    for name, asked in ASKED:
        look.at(name + asked, address_of(name, at) + asked)
    look.at("no such page", "/nothing/", 404)
    look.page.emulate_media(color_scheme="dark")
    for name in DARK:
        look.at(f"{name}, dark", address_of(name, at))

    assert look.faults == []
    assert set(WAYS) > FILES


def test_every_page_as_those_see_it_who_only_look(open_page, find_faults, live_server):
    at = lay_show()
    look = Look(open_page(at.reader), find_faults)
    for name, address in pages_of(at, who=(READER,)):
        look.at(f"{name} for a reader", address, widths=(PHONE,))
    look.at("what only a lead may", address_of("scenes:show_edit", at), 403)
    look.page = open_page(None)
    for name, address in pages_of(at, who=(ANYBODY,)):
        look.at(f"{name} before signing in", address)

    assert look.faults == []


def test_every_page_of_a_show_with_nothing_in_it(open_page, find_faults, live_server):
    company, lead = start_company(name="Driftmoor Figure Theatre", lead_name="Ines")
    look = Look(open_page(lead), find_faults)
    look.at("home without a show", reverse("company:home"))
    show = start_show(company=company, user=lead, title="The Salt Almanac")
    at = SimpleNamespace(company=company, lead=lead, show=show)
    tried = set()
    for name, address in pages_of(at):
        if WAYS[name].who != ANYBODY:
            look.at(f"{name}, empty", address)
            tried.add(name)

    assert look.faults == []
    assert {"builds:today", "builds:bench", "scenes:plot_grid", "builds:sheet_list"} <= tried
