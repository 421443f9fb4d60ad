"""The count's papers: the figure register with the reasons, and the costume plot as a score."""

from __future__ import annotations

from dataclasses import dataclass, field

from builds.models import Figure
from builds.queries.matched import read_figures_of_stops
from builds.queries.needed import NeededBy, needed_by_dates, scenes_played
from builds.queries.sheets.rows import short_day
from company import clock
from company.templatetags.words import and_list, counted, full_day
from scenes.drawings import TracksData
from scenes.models import Show
from scenes.queries.plot import FigureTag, PlotPage, read_plot
from scenes.queries.tracks import to_tracks


@dataclass(frozen=True, slots=True)
class RegisterRow:
    """A figure of the bench."""

    tag: str
    costumes: str
    scenes: str
    needed: str
    place: str
    castings: tuple[str, ...]
    state: str


@dataclass(frozen=True, slots=True)
class RegisterGuise:
    """A guise: what the draft needs of it and why, and the figures that there are."""

    name: str
    kind: str
    needs: str
    reason: str
    rows: tuple[RegisterRow, ...]


@dataclass(frozen=True, slots=True)
class RegisterSheet:
    """Every figure of a show, numbered for life, under the guise it is."""

    show: str
    lede: str
    guises: tuple[RegisterGuise, ...]
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: figure register"


@dataclass(frozen=True, slots=True)
class PlotSheet:
    """The costume plot as a score; drawn on as many sheets as it needs."""

    show: str
    lede: str
    data: TracksData
    warnings: tuple[str, ...]
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: costume plot"


@dataclass
class _Bench:
    """What is at the bench, for the register."""

    figures: dict[int, list[Figure]] = field(default_factory=dict)
    scenes: dict[int, str] = field(default_factory=dict)
    needed: dict[int, NeededBy] = field(default_factory=dict)


def read_register(show: Show) -> RegisterSheet:
    """The register with the reasons of the draft as it stands. A flat number of queries."""
    page = read_plot(show)
    bench = _read_bench(show)
    views = [view for role in page.roles for view in role.guises]
    guises = [
        RegisterGuise(
            name=str(view.guise),
            kind=view.guise.get_kind_display(),
            needs=counted(view.count.figures, "figure"),
            reason=view.reason if view.count.figures else "not in this draft",
            rows=tuple(_row(bench, figure) for figure in bench.figures.get(view.guise.pk, [])),
        )
        for view in views
        if view.count.figures or view.guise.pk in bench.figures
    ]
    there = [figure for figures in bench.figures.values() for figure in figures]
    return RegisterSheet(
        show=show.title,
        lede=_lede(page, there),
        guises=tuple(guises),
        printed_from=_printed_from(page),
    )


def _lede(page: PlotPage, figures: list[Figure]) -> str:
    wanted = sum(figure.state == Figure.State.WANTED for figure in figures)
    spare = sum(figure.state == Figure.State.SPARE for figure in figures)
    said = f"The plot needs {page.figures}; {wanted} are at the bench."
    return f"{said} {counted(spare, 'spare')} beside them." if spare else said


def _read_bench(show: Show) -> _Bench:
    figures = list(
        Figure.objects.filter(show=show)
        .select_related("guise__character")
        .prefetch_related("costumes__costume", "castings__pattern")
    )
    by_guise: dict[int, list[Figure]] = {}
    for figure in figures:
        by_guise.setdefault(figure.guise_id, []).append(figure)
    played = scenes_played(show)
    return _Bench(
        figures=by_guise,
        scenes={pk: ", ".join(s.label for s in scenes) for pk, scenes in played.items()},
        needed=needed_by_dates(show, figures, played),
    )


def _row(bench: _Bench, figure: Figure) -> RegisterRow:
    needed = bench.needed.get(figure.pk)
    worn = [row.costume.name for row in figure.costumes.all() if row.struck_at is None]
    return RegisterRow(
        tag=figure.tag,
        costumes=and_list(worn) if worn else "",
        scenes=bench.scenes.get(figure.pk, ""),
        needed=short_day(needed.day) if needed else "",
        place=figure.place,
        castings=tuple(casting.code for casting in figure.castings.all()),
        state="" if figure.state == Figure.State.WANTED else figure.get_state_display(),
    )


def read_plot_sheet(show: Show) -> PlotSheet:
    """The costume plot with the numbers that the figures have at the bench."""
    page = read_plot(show)
    tags = {stop: FigureTag(figure.tag) for stop, figure in read_figures_of_stops(show).items()}
    return PlotSheet(
        show=show.title,
        lede=str(page.lede),
        data=to_tracks(page, tags),
        warnings=tuple(page.warnings),
        printed_from=_printed_from(page),
    )


def _printed_from(page: PlotPage) -> str:
    draft = f"plot draft {page.draft.number}" if page.draft else "no plot yet"
    return f"{draft}, printed {full_day(clock.today(page.show.company))}"
