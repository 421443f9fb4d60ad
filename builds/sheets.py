"""The papers of a show as PDFs: bench sheets, week sheets, and all of them in one pack."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from builds.models import Figure, Mould, Plan, Pour
from builds.queries.materials import Materials
from builds.queries.sheets.bench import bench_sheet, bench_sheets, makers_of_figure, rows_for
from builds.queries.sheets.casting_cards import (
    CastingCard,
    mould_card,
    pour_card,
    read_card_desk,
)
from builds.queries.sheets.desk import Desk, plan_for_sheets, read_desk
from builds.queries.sheets.papers import BenchSheet, WeekSheet
from builds.queries.sheets.planned_cards import (
    draw_card,
    mould_file,
    planned_cards,
    planned_row,
    pour_file,
    read_mould,
    read_pours,
)
from builds.queries.sheets.register import read_plot_sheet, read_register
from builds.queries.sheets.spans import days_of, is_left_over
from builds.queries.sheets.wall import read_wall_sheet
from builds.queries.sheets.week import mondays_of, week_sheet
from builds.queries.shopping import read_shopping, shopping_sheet
from company.models import Company, Maker
from company.sheets import PaperFile, Sheet, bind_pdf, lay_out, render_sheet
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


def figure_paper(desk: Desk, figure: Figure, paper: str, maker: Maker | None = None) -> PaperFile:
    """`figure-J4.pdf`: one sheet a person, or the one of `maker`.

    Raises NothingToPrint where no work is left on it.
    """
    sheets = [bench_sheet(desk, figure, maker)] if maker else bench_sheets(desk, figure)
    if not sheets:
        raise NothingToPrint(f"The plan has no work left on {figure.tag}.")
    title = f"{desk.show.title}: bench sheets of {figure.tag}"
    return PaperFile(figure_file(figure), title, tuple(_bench_html(s, paper) for s in sheets))


def week_paper(desk: Desk, maker: Maker, monday: date, paper: str) -> PaperFile:
    """`week-tomas-2027-05-10.pdf`."""
    sheet = week_sheet(desk, maker, monday)
    name = week_file(desk, maker, monday)
    return PaperFile(name, f"{desk.show.title}: {sheet.title}", (_week_html(sheet, paper),))


def pack_paper(desk: Desk, paper: str, *, weeks: int | None = None) -> PaperFile:
    """`pack.pdf`: for each person the week sheets, the bench sheets, the mould and pour cards.

    With `weeks` only what falls due from now to the end of so many weeks, this one included.
    """
    until = date.max
    if weeks is not None:
        until = desk.diary.week_start(desk.today) + timedelta(days=7 * weeks)
    pack = _pack_of(desk, _papers_by_person(desk, paper, until))
    return replace(pack, name=f"pack-{weeks}-weeks.pdf") if weeks is not None else pack


def print_all(desk: Desk, paper: str) -> Iterator[tuple[str, bytes]]:
    """The pack, then each figure's and each week's file and the wall plan, with their names.

    Every sheet is laid out once. Raises NothingToPrint where no work is left.
    """
    papers = _papers_by_person(desk, paper)
    pack = _pack_of(desk, papers)
    laid_out = dict(zip(pack.sheets, lay_out(pack.sheets), strict=True))
    yield pack.name, bind_pdf(list(laid_out.values()), title=pack.title)
    files: dict[tuple[str, str], list[Sheet]] = {}
    for file in papers:
        files.setdefault((file.name, file.title), []).extend(file.sheets)
    for (name, title), sheets in sorted(files.items()):
        yield name, bind_pdf([laid_out[sheet] for sheet in sheets], title=title)
    wall = wall_paper(desk.show, desk.plan, paper)
    yield wall.name, wall.pdf()


def register_paper(show: Show, paper: str) -> PaperFile:
    """`register.pdf`: every figure with the count's reasons."""
    sheet = read_register(show)
    if not sheet.guises:
        raise NothingToPrint(NO_FIGURES)
    html = render_sheet("sheets/register.html", {"sheet": sheet}, paper=paper, title=sheet.title)
    return PaperFile("register.pdf", sheet.title, (html,))


def plot_paper(show: Show, paper: str) -> PaperFile:
    """`costume-plot.pdf`, on the wide paper that goes with the company's."""
    sheet = read_plot_sheet(show)
    if not sheet.data.scenes or not any(role.tracks for role in sheet.data.roles):
        raise NothingToPrint(NO_PLOT)
    context = {"sheet": sheet, "pictures": print_tracks(sheet.data, ident="plot")}
    html = render_sheet(
        "sheets/plot_sheet.html", context, paper=WIDE_PAPER[paper], title=sheet.title
    )
    return PaperFile("costume-plot.pdf", sheet.title, (html,))


def wall_paper(show: Show, plan: Plan, paper: str) -> PaperFile:
    """`wall-plan.pdf`: the weeks from this one on, on the wide paper that goes with the company's.

    Raises NothingToPrint where there is no plan.
    """
    if plan.status == "none":
        raise NothingToPrint(NO_PLAN)
    sheet = read_wall_sheet(show, plan)
    context = {"sheet": sheet}
    html = render_sheet(
        "sheets/wall_sheet.html", context, paper=WIDE_PAPER[paper], title=sheet.title
    )
    return PaperFile("wall-plan.pdf", sheet.title, (html,))


def mould_paper(mould: Mould, paper: str, *, only_pinned_up: bool = False) -> PaperFile:
    """`mould-JORY60-1.pdf`: what to weigh out for a mould, its clock, what to mind."""
    mould = read_mould(mould.pk)
    plan = _plan_for(mould.pattern.show, only_pinned_up)
    desk = read_card_desk(Materials(mould.pattern.show.company), plan)
    row = planned_row(plan, mould=mould) or planned_row(
        plan, pattern=mould.pattern, stage__holds_mould=False, stage__in_one_go=True
    )
    sheet = mould_card(mould, desk, row)
    return PaperFile(mould_file(mould), sheet.title, (_card_html(sheet, paper),))


def pour_paper(pour: Pour, paper: str, *, only_pinned_up: bool = False) -> PaperFile:
    """`pour-JORY60-3.pdf`: amounts, clock times, cautions, and rings for what comes out."""
    (pour,) = read_pours([pour.pk])
    show = pour.mould.pattern.show
    plan = _plan_for(show, only_pinned_up)
    desk = read_card_desk(Materials(show.company), plan)
    sheet = pour_card(pour, desk, planned_row(plan, pour=pour))
    return PaperFile(pour_file(pour), sheet.title, (_card_html(sheet, paper),))


def shopping_paper(
    show: Show, paper: str, weeks: int, *, only_pinned_up: bool = False
) -> PaperFile:
    """`what-to-buy.pdf`. Raises NothingToPrint where there is no plan to read it off."""
    shopping = read_shopping(show, weeks, only_pinned_up=only_pinned_up)
    if not shopping.has_plan:
        raise NothingToPrint(NOT_PINNED_UP if only_pinned_up else NO_PLAN)
    sheet = shopping_sheet(shopping)
    html = render_sheet("sheets/shopping.html", {"sheet": sheet}, paper=paper, title=sheet.title)
    return PaperFile("what-to-buy.pdf", sheet.title, (html,))


def _plan_for(show: Show, only_pinned_up: bool) -> Plan | None:
    """The plan that cards take their days from; a card without one has lines to write on."""
    plan = plan_for_sheets(show)
    return None if plan is None or (only_pinned_up and not plan.is_pinned_up) else plan


def _card_html(sheet: CastingCard, paper: str) -> Sheet:
    return render_sheet(
        "sheets/casting_card.html", {"sheet": sheet}, paper=paper, title=sheet.title
    )


def _pack_of(desk: Desk, papers: list[PaperFile]) -> PaperFile:
    if not papers:
        raise NothingToPrint(NO_WORK)
    sheets = tuple(sheet for paper in papers for sheet in paper.sheets)
    return PaperFile("pack.pdf", f"{desk.show.title}: week sheets and bench sheets", sheets)


def _papers_by_person(desk: Desk, paper: str, until: date = date.max) -> list[PaperFile]:
    """Each person's weeks, figures for that person alone, then cards, of work before a day."""
    figures_of: dict[int, list[Figure]] = {}
    makers = {maker.pk: maker for maker in desk.makers}
    for figure in desk.figures:
        for maker in makers_of_figure(desk, figure):
            rows = rows_for(desk, figure, maker)
            if any(day < until for day in days_of(desk, rows)) or is_left_over(desk, rows):
                makers.setdefault(maker.pk, maker)
                figures_of.setdefault(maker.pk, []).append(figure)
    papers = []
    cards = _cards_by_maker(desk, until)
    for maker in makers.values():
        mondays = [monday for monday in mondays_of(desk, maker) if monday < until]
        papers += [week_paper(desk, maker, monday, paper) for monday in mondays]
        papers += [figure_paper(desk, f, paper, maker) for f in figures_of.get(maker.pk, [])]
        papers += [
            PaperFile(name, sheet.title, (_card_html(sheet, paper),))
            for name, sheet in cards.get(maker.pk, [])
        ]
    return papers


def _cards_by_maker(desk: Desk, until: date) -> dict[int, list[tuple[str, CastingCard]]]:
    """The cards of the pours and moulds that the plan still holds, with whoever does them."""
    rows = [row for row in desk.rows if desk.local(row.start).date() < until]
    planned = planned_cards(desk.show, rows)
    if not planned:
        return {}
    own = read_card_desk(Materials(desk.company), desk.plan)
    found: dict[int, list[tuple[str, CastingCard]]] = {}
    for card in planned:
        found.setdefault(card.row.maker_id, []).append((card.file_name, draw_card(card, own)))
    return found


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


# Templates


def _bench_html(sheet: BenchSheet, paper: str) -> Sheet:
    return render_sheet("sheets/bench_sheet.html", {"sheet": sheet}, paper=paper, title=sheet.title)


def _week_html(sheet: WeekSheet, paper: str) -> Sheet:
    return render_sheet("sheets/week_sheet.html", {"sheet": sheet}, paper=paper, title=sheet.title)


def paper_of(company: Company, asked: str = "") -> str:
    """The paper asked for where it is one that there is, else the company's."""
    return asked if asked in Company.Paper.values else company.paper
