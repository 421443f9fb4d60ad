"""How long the papers take: one sheet of each sort and the whole pack of the demo's show.

Everything happens in a database of its own. Times are medians in milliseconds of making a file
from the desk as read, after one that is not timed; the ratio is to one week sheet in the same run.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

from builds.benchmarks.pages import own_database
from builds.demo.lay import lay_demo
from builds.models import Figure
from builds.queries.sheets.bench import makers_of_figure
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.week import mondays_of
from builds.sheets import (
    desk_for,
    figure_paper,
    pack_paper,
    plot_paper,
    register_paper,
    week_paper,
)
from company.models import Maker
from company.sheets import NO_PANGO, CannotPrint, PaperFile, bind_pdf, can_print, lay_out
from scenes.models import Show

REFERENCE = "one week sheet"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A paper: its pages, median time, time a page, ratio to one week sheet."""

    what: str
    pages: int
    median_ms: float
    page_ms: float
    ratio: float


def measure_sheets(runs: int = 3) -> list[SheetRow]:
    """Rows for reading the desk and for each sort of paper, medians of `runs` (>= 1).

    Raises CannotPrint without Pango, ValueError for fewer than one run.
    """
    if runs < 1:
        raise ValueError(f"runs is {runs}, fewer than 1")
    if not can_print():
        raise CannotPrint(NO_PANGO)
    with own_database():
        show, _ = lay_demo()
        show = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
        return _measure(show, runs)


def _measure(show: Show, runs: int) -> list[SheetRow]:
    desk = desk_for(show)
    figure, maker = _busiest(desk)
    monday = mondays_of(desk, maker)[0]
    papers: dict[str, Callable[[], PaperFile]] = {
        REFERENCE: lambda: week_paper(desk, maker, monday, "A4"),
        f"bench sheets of {figure.tag}": lambda: figure_paper(desk, figure, "A4"),
        "figure register": lambda: register_paper(show, "A4"),
        "costume plot": lambda: plot_paper(show, "A4"),
        "the pack of two weeks": lambda: pack_paper(desk_for(show), "A4", weeks=2),
        f"the pack, {len(desk.figures)} figures": lambda: pack_paper(desk_for(show), "A4"),
    }
    timed = {what: _time(make, runs) for what, make in papers.items()}
    reference_ms = timed[REFERENCE][1]
    return [
        SheetRow(what, pages, median_ms, median_ms / pages, median_ms / reference_ms)
        for what, (pages, median_ms) in timed.items()
    ]


def _busiest(desk: Desk) -> tuple[Figure, Maker]:
    """The figure with most work left, and somebody who works on it."""
    figure = max(desk.figures, key=lambda one: len(desk.rows_by_figure.get(one.pk, ())))
    return figure, makers_of_figure(desk, figure)[0]


def _time(make: Callable[[], PaperFile], runs: int) -> tuple[int, float]:
    """Pages of a file, and how long it takes from the rows to the bytes."""
    pages = sum(laid.pages for laid in lay_out(make().sheets))
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        bind_pdf(lay_out(make().sheets))
        times.append((time.perf_counter() - began) * 1000)
    return pages, statistics.median(times)
