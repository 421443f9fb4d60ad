"""Which papers of a show can be printed, by person and week and by figure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from builds.models import Figure
from builds.queries.sheets.bench import figure_title, makers_of_figure
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.planned_cards import PlannedCard, planned_cards
from builds.queries.sheets.rows import source_words
from builds.queries.sheets.week import mondays_of
from company.models import Maker

WEEKS_SOON = 4  # what gets printed; the rest is folded away


@dataclass(frozen=True, slots=True)
class PersonPapers:
    """A person's week sheets."""

    maker: Maker
    weeks: tuple[date, ...]

    @property
    def soon(self) -> tuple[date, ...]:
        """The next weeks with work."""
        return self.weeks[:WEEKS_SOON]

    @property
    def later(self) -> tuple[date, ...]:
        """The rest, folded away."""
        return self.weeks[WEEKS_SOON:]


@dataclass(frozen=True, slots=True)
class FigurePapers:
    """A figure's bench sheets: one page or more for each of these people."""

    figure: Figure
    title: str
    makers: tuple[Maker, ...]


@dataclass(frozen=True, slots=True)
class Papers:
    """All papers of a show's plan."""

    source: str
    is_pinned_up: bool
    people: tuple[PersonPapers, ...]
    idle: tuple[Maker, ...]
    figures: tuple[FigurePapers, ...]
    done: int
    cards: tuple[PlannedCard, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether no work is left."""
        return not self.figures and not self.people


def list_papers(desk: Desk) -> Papers:
    """The papers that the desk's plan can fill."""
    people = [PersonPapers(maker, tuple(mondays_of(desk, maker))) for maker in desk.makers]
    figures = []
    for figure in desk.figures:
        makers = makers_of_figure(desk, figure)
        if makers:
            figures.append(FigurePapers(figure, figure_title(figure), tuple(makers)))
    return Papers(
        source=source_words(desk),
        is_pinned_up=desk.plan.is_pinned_up,
        people=tuple(found for found in people if found.weeks),
        idle=tuple(found.maker for found in people if not found.weeks),
        figures=tuple(figures),
        done=len(desk.figures) - len(figures),
        cards=tuple(planned_cards(desk.show, desk.rows)),
    )
