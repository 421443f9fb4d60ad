"""The papers of a performance as PDFs: the running list and the turn-round list."""

from __future__ import annotations

from builds.queries.sheets.playing import read_running, read_turn_round
from builds.sheets import NO_PLOT, NothingToPrint
from company.sheets import PaperFile, render_sheet
from scenes.models import Show


def running_paper(show: Show, paper: str) -> PaperFile:
    """`running-list.pdf`: scene by scene what happens, to which figure, by whom."""
    sheet = read_running(show)
    if not any(scene.lines for scene in sheet.scenes):
        raise NothingToPrint(NO_PLOT)
    html = render_sheet("sheets/running.html", {"sheet": sheet}, paper=paper, title=sheet.title)
    return PaperFile("running-list.pdf", sheet.title, (html,))


def turn_round_paper(show: Show, paper: str) -> PaperFile:
    """`turn-round.pdf`: what is put right between two performances."""
    sheet = read_turn_round(show)
    if not sheet.lines:
        raise NothingToPrint(sheet.lede)
    html = render_sheet("sheets/turn_round.html", {"sheet": sheet}, paper=paper, title=sheet.title)
    return PaperFile("turn-round.pdf", sheet.title, (html,))
