"""The papers of a show as PDFs: bench sheets, week sheets, and all of them in one pack."""

from __future__ import annotations

from datetime import date

from builds.models import Figure, Plan
from builds.queries.sheets.bench import bench_sheets
from builds.queries.sheets.desk import Desk, plan_for_sheets, read_desk
from builds.queries.sheets.papers import BenchSheet, WeekSheet
from builds.queries.sheets.week import mondays_of, week_sheet
from company.models import Maker
from company.sheets import join_pdf, render_sheet
from scenes.models import Show


class NothingToPrint(Exception):
    """There is no paper to make; the text says what has to come first."""


NO_PLAN = "There is no plan yet. Take figures to the bench, then make a plan on the wall plan."


def desk_for(show: Show, *, only_pinned_up: bool = False) -> Desk:
    """What the sheets of a show draw on. Raises NothingToPrint where there is no plan."""
    plan: Plan | None = plan_for_sheets(show)
    if plan is None or (only_pinned_up and not plan.is_pinned_up):
        raise NothingToPrint("No plan is pinned up yet." if only_pinned_up else NO_PLAN)
    return read_desk(show, plan)


def figure_pages(desk: Desk, figure: Figure, paper: str) -> list[str]:
    """The bench sheets of a figure as HTML, one a person."""
    return [_bench_html(sheet, paper) for sheet in bench_sheets(desk, figure)]


def print_figure(desk: Desk, figure: Figure, paper: str) -> bytes:
    """`figure-J4.pdf`. Raises NothingToPrint where no work is left in the plan."""
    pages = figure_pages(desk, figure, paper)
    if not pages:
        raise NothingToPrint(f"The plan has no work left on {figure.tag}.")
    return join_pdf(pages)


def print_week(desk: Desk, maker: Maker, monday: date, paper: str) -> bytes:
    """`week-tomas-2027-05-10.pdf`."""
    return join_pdf([_week_html(week_sheet(desk, maker, monday), paper)])


def print_pack(desk: Desk, paper: str) -> bytes:
    """`pack.pdf`: every week sheet, then every bench sheet."""
    pages = [
        _week_html(week_sheet(desk, maker, monday), paper)
        for maker in desk.makers
        for monday in mondays_of(desk, maker)
    ]
    for figure in desk.figures:
        pages += figure_pages(desk, figure, paper)
    if not pages:
        raise NothingToPrint("The plan has no work left: there is nothing to print.")
    return join_pdf(pages)


def _bench_html(sheet: BenchSheet, paper: str) -> str:
    context = {"sheet": sheet, "foot_left": sheet.foot_left, "foot_middle": sheet.foot_middle}
    title = f"{sheet.tag}, {sheet.figure}: bench sheet for {sheet.maker}"
    return render_sheet("sheets/bench_sheet.html", context, paper=paper, title=title)


def _week_html(sheet: WeekSheet, paper: str) -> str:
    context = {"sheet": sheet, "foot_left": sheet.foot_left, "foot_middle": sheet.foot_middle}
    title = f"Week sheet for {sheet.maker}, week of {sheet.week}"
    return render_sheet("sheets/week_sheet.html", context, paper=paper, title=title)
