"""The papers of a show as PDFs: bench sheets, week sheets, and all of them in one pack."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from builds.models import Figure, Plan
from builds.queries.sheets.bench import bench_sheet, bench_sheets, makers_of_figure
from builds.queries.sheets.desk import Desk, plan_for_sheets, read_desk
from builds.queries.sheets.papers import BenchSheet, WeekSheet
from builds.queries.sheets.register import read_plot_sheet, read_register
from builds.queries.sheets.week import mondays_of, week_sheet
from company.models import Company, Maker
from company.sheets import LaidOut, Sheet, bind_pdf, join_pdf, lay_out, render_sheet
from scenes.drawings import print_tracks
from scenes.models import Show

# The costume plot wants a wide sheet: the double of the company's own paper.
WIDE_PAPER = {"A4": "A3 landscape", "Letter": "ledger landscape"}


class NothingToPrint(Exception):
    """There is no paper to make; the text says what has to come first."""


NO_PLAN = "There is no plan yet. Take figures to the bench, then make a plan on the wall plan."
NOT_PINNED_UP = "No plan is pinned up yet, so there is nothing to print for the bench."
NO_PLOT = "There is no plot yet: it begins with its scenes and roles on the costume plot."
NO_FIGURES = "There are no figures to list yet: write the costume plot first."
NO_WORK = "The plan has no work left: there is nothing to print."


def desk_for(show: Show, *, only_pinned_up: bool = False) -> Desk:
    """What the sheets of a show draw on. Raises NothingToPrint where there is no plan."""
    plan: Plan | None = plan_for_sheets(show)
    if plan is None or (only_pinned_up and not plan.is_pinned_up):
        raise NothingToPrint(NOT_PINNED_UP if only_pinned_up else NO_PLAN)
    return read_desk(show, plan)


def print_figure(desk: Desk, figure: Figure, paper: str, maker: Maker | None = None) -> bytes:
    """`figure-J4.pdf`: one sheet a person, or the one of `maker`.

    Raises NothingToPrint where no work is left on it.
    """
    sheets = [bench_sheet(desk, figure, maker)] if maker else bench_sheets(desk, figure)
    if not sheets:
        raise NothingToPrint(f"The plan has no work left on {figure.tag}.")
    return join_pdf(
        [_bench_html(sheet, paper) for sheet in sheets], title=_figure_title(desk, figure)
    )


def print_week(desk: Desk, maker: Maker, monday: date, paper: str) -> bytes:
    """`week-tomas-2027-05-10.pdf`."""
    return join_pdf([_week_html(week_sheet(desk, maker, monday), paper)])


def print_pack(desk: Desk, paper: str) -> bytes:
    """`pack.pdf`: for each person the week sheets, then the bench sheets."""
    return bind_pdf([laid for _, laid in _lay_out_all(desk, paper)], title=_pack_title(desk))


def print_all(desk: Desk, paper: str) -> Iterator[tuple[str, bytes]]:
    """The pack, then each figure's and each week's file, with their names.

    Every sheet is laid out once. Raises NothingToPrint where no work is left.
    """
    laid_out = _lay_out_all(desk, paper)
    yield "pack.pdf", bind_pdf([laid for _, laid in laid_out], title=_pack_title(desk))
    files: dict[str, list[LaidOut]] = {}
    for name, laid in laid_out:
        files.setdefault(name, []).append(laid)
    titles = {figure_file(figure): _figure_title(desk, figure) for figure in desk.figures}
    for name, sheets in sorted(files.items()):
        yield name, bind_pdf(sheets, title=titles.get(name, ""))


def print_register(show: Show, paper: str) -> bytes:
    """`register.pdf`: every figure with the count's reasons."""
    sheet = read_register(show)
    if not sheet.guises:
        raise NothingToPrint(NO_FIGURES)
    context = {"sheet": sheet}
    return join_pdf([render_sheet("sheets/register.html", context, paper=paper, title=sheet.title)])


def print_plot(show: Show, paper: str) -> bytes:
    """`costume-plot.pdf`, on the wide paper that goes with the company's."""
    sheet = read_plot_sheet(show)
    if not sheet.data.scenes or not any(role.tracks for role in sheet.data.roles):
        raise NothingToPrint(NO_PLOT)
    context = {"sheet": sheet, "pictures": print_tracks(sheet.data, ident="plot")}
    wide = WIDE_PAPER[paper]
    return join_pdf(
        [render_sheet("sheets/plot_sheet.html", context, paper=wide, title=sheet.title)]
    )


def _lay_out_all(desk: Desk, paper: str) -> list[tuple[str, LaidOut]]:
    """Every sheet in the pack's order, each with the name of the file that it stands in."""
    sheets = list(_all_sheets(desk, paper))
    if not sheets:
        raise NothingToPrint(NO_WORK)
    names = [name for name, _ in sheets]
    return list(zip(names, lay_out([sheet for _, sheet in sheets]), strict=True))


def _all_sheets(desk: Desk, paper: str) -> Iterator[tuple[str, Sheet]]:
    figures_of: dict[int, list[Figure]] = {}
    makers = {maker.pk: maker for maker in desk.makers}
    for figure in desk.figures:
        for maker in makers_of_figure(desk, figure):
            makers.setdefault(maker.pk, maker)
            figures_of.setdefault(maker.pk, []).append(figure)
    for maker in makers.values():
        for monday in mondays_of(desk, maker):
            sheet = week_sheet(desk, maker, monday)
            yield week_file(desk, maker, monday), _week_html(sheet, paper)
        for figure in figures_of.get(maker.pk, []):
            yield figure_file(figure), _bench_html(bench_sheet(desk, figure, maker), paper)


# Names of files


def figure_file(figure: Figure) -> str:
    """'figure-J4.pdf'."""
    return f"figure-{figure.tag}.pdf"


def week_file(desk: Desk, maker: Maker, monday: date) -> str:
    """'week-tomas-2027-05-10.pdf'; two people whose names come out alike are told apart."""
    name = _plain_name(maker.name)
    if any(m.pk != maker.pk and _plain_name(m.name) == name for m in desk.makers):
        name = f"{name}-{maker.pk}"
    return f"week-{name}-{monday.isoformat()}.pdf"


def _plain_name(name: str) -> str:
    """A name as part of a file name: letters, digits and dashes."""
    kept = "".join(c if c.isalnum() else "-" for c in name.casefold())
    return "-".join(part for part in kept.split("-") if part) or "maker"


def _pack_title(desk: Desk) -> str:
    return f"{desk.show.title}: week sheets and bench sheets"


def _figure_title(desk: Desk, figure: Figure) -> str:
    return f"{desk.show.title}: bench sheets of {figure.tag}"


# Templates


def _bench_html(sheet: BenchSheet, paper: str) -> Sheet:
    return render_sheet("sheets/bench_sheet.html", {"sheet": sheet}, paper=paper, title=sheet.title)


def _week_html(sheet: WeekSheet, paper: str) -> Sheet:
    return render_sheet("sheets/week_sheet.html", {"sheet": sheet}, paper=paper, title=sheet.title)


def paper_of(company: Company, asked: str = "") -> str:
    """The paper asked for where it is one that there is, else the company's."""
    return asked if asked in Company.Paper.values else company.paper
