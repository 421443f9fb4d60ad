"""The lines of the page 'To the bench': what becomes of each track and figure."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from builds.models import Figure
from builds.queries.matched import DraftTrack
from builds.queries.states import Use
from scenes.loading import PlotRows
from scenes.models import Costume, Count, Guise, Show

if TYPE_CHECKING:
    from builds.queries.offers import Offer

KEPT, OVER, AGAIN, NEW, GONE = "kept", "over", "again", "new", "gone"


@dataclass(frozen=True)
class Taking:
    """One step that making a figure over takes."""

    stage: str
    costume: Costume | None
    minutes: int

    @property
    def words(self) -> str:
        """'Cut and sew the oilskin'."""
        return f"{self.stage}: {self.costume}" if self.costume else self.stage


@dataclass(frozen=True)
class BenchLine:
    """One line of the page: a track with its figure, or a figure that has no track now.

    `kind`: kept, over (made over: re-costumed, another head or body), again (a spare taken up),
    new, gone (stranded). `to_sew` are costumes of the track that the figure does not have,
    `takes` the steps that a making over or another costume asks for, with `use` behind them.
    `hours_min` is work to come, for one gone the work in it.
    """

    key: str
    kind: str
    guise: Guise
    figure: Figure | None = None
    track: DraftTrack | None = None
    costumes: tuple[Costume, ...] = ()
    to_sew: tuple[Costume, ...] = ()
    hours_min: int = 0
    is_taken: bool = False
    use: Use | None = None
    takes: tuple[Taking, ...] = ()
    offers: tuple[Offer, ...] = ()

    @property
    def asks(self) -> bool:
        """Whether the lead has something to decide in this line."""
        return not self.is_taken and (self.kind != KEPT or bool(self.to_sew))

    @property
    def what(self) -> frozenset[str]:
        """What of the figure becomes another: costume, head, body."""
        return self.use.over.what if self.use else frozenset()

    @property
    def is_of_other_guise(self) -> bool:
        """Whether the figure was another guise until now."""
        return self.figure is not None and self.figure.guise_id != self.guise.pk


@dataclass(frozen=True)
class Bench:
    """Everything that the page 'To the bench' says.

    `extras` are figures more than the plot needs, by the lead's choice; `spares` whole figures
    that wait for a track; `asked` the spares, whole or a head, that were asked for as such.
    `needed` are the tracks of the draft, `minimum` what it needs where pins ask for more.
    """

    show: Show
    rows: PlotRows
    count: Count | None = None
    lines: tuple[BenchLine, ...] = ()
    extras: tuple[Figure, ...] = ()
    spares: tuple[Figure, ...] = ()
    asked: tuple[Figure, ...] = ()
    shared_min: int = 0
    needed: int = 0
    minimum: int = 0
    by_guise: dict[int, int] = field(default_factory=dict)

    def of_kind(self, kind: str) -> list[BenchLine]:
        """The lines of one kind, in the show's order."""
        return [line for line in self.lines if line.kind == kind]

    @property
    def open_lines(self) -> list[BenchLine]:
        """The lines that ask something of the lead."""
        return [line for line in self.lines if line.asks]

    @property
    def is_settled(self) -> bool:
        """Whether every line of this draft was taken to the bench."""
        return self.count is not None and all(line.is_taken for line in self.lines)

    @property
    def has_figures(self) -> bool:
        """Whether anything is at the bench."""
        return bool(self.extras or self.spares or any(line.figure for line in self.lines))

    @property
    def built(self) -> int:
        """Figures that will be built once every line is taken: needed, and the lead's own more."""
        return self.needed + len(self.extras)

    @property
    def to_build_min(self) -> int:
        """Work in the new figures and in what they share, in minutes."""
        return sum(line.hours_min for line in self.of_kind(NEW)) + self.shared_min

    @property
    def to_redo_min(self) -> int:
        """Work that figures which are there ask for anew."""
        return sum(line.hours_min for line in self.lines if line.kind in (KEPT, OVER, AGAIN))

    @property
    def stranded_min(self) -> int:
        """Work in figures that the draft has no use for."""
        return sum(line.hours_min for line in self.of_kind(GONE))
