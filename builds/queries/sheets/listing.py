"""Which papers of a show can be printed, by person and week and by figure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from builds.models import Figure
from builds.queries.sheets.bench import figure_title, rows_of_figure
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.rows import printed_from
from builds.queries.sheets.week import mondays_of
from company.models import Maker


@dataclass(frozen=True, slots=True)
class PersonPapers:
    """A person's week sheets."""

    maker: Maker
    weeks: tuple[date, ...]

    @property
    def soon(self) -> tuple[date, ...]:
        """The next four weeks, which is what gets printed."""
        return self.weeks[:4]

    @property
    def later(self) -> tuple[date, ...]:
        """The rest, folded away."""
        return self.weeks[4:]


@dataclass(frozen=True, slots=True)
class FigurePapers:
    """A figure's bench sheets: one page or more for each of these people."""

    figure: Figure
    title: str
    makers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Papers:
    """All papers of a show."""

    printed_from: str
    people: tuple[PersonPapers, ...]
    figures: tuple[FigurePapers, ...]
    lead: str


def list_papers(desk: Desk) -> Papers:
    """The papers that the desk's plan can fill."""
    people = [PersonPapers(maker, tuple(mondays_of(desk, maker))) for maker in desk.makers]
    figures = []
    for figure in desk.figures:
        rows = rows_of_figure(desk, figure)
        makers = dict.fromkeys(
            name
            for row in rows
            for name in (row.maker.name, row.second.name if row.second else None)
            if name
        )
        if makers:
            figures.append(FigurePapers(figure, figure_title(figure), tuple(makers)))
    return Papers(
        printed_from=printed_from(desk),
        people=tuple(found for found in people if found.weeks),
        figures=tuple(figures),
        lead=desk.lead_name,
    )
