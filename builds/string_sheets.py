"""The string chart of a show as a PDF."""

from __future__ import annotations

from builds.queries.sheets.strings import read_string_sheet
from builds.sheets import NothingToPrint
from company.sheets import PaperFile, render_sheet
from scenes.models import Show

NO_STRINGS = (
    "There is no string chart yet: it begins with a drawing, a control with holes, "
    "and the height of the bridge."
)


def strings_paper(show: Show, paper: str, *, guise_pk: int | None = None) -> PaperFile:
    """`strings.pdf`. Raises NothingToPrint where no string can be reckoned."""
    sheet = read_string_sheet(show, guise_pk)
    if not sheet.guises:
        raise NothingToPrint(NO_STRINGS)
    html = render_sheet("sheets/strings.html", {"sheet": sheet}, paper=paper, title=sheet.title)
    return PaperFile("strings.pdf", sheet.title, (html,))
