"""The current draft against the bench: who plays each track, what is new, what is not needed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from django.db.models import Sum

from builds.core import workshop as core
from builds.core.stepping import want_steps
from builds.models import Figure, WorkLog
from builds.queries.matched import DraftTrack, read_matched
from builds.queries.steps import poured_parts, read_workshop
from scenes.loading import PlotRows
from scenes.models import Costume, Count, Guise, Show

KEPT, AGAIN, NEW, GONE = "kept", "again", "new", "gone"


@dataclass(frozen=True)
class BenchLine:
    """One line of the page: a track with its figure, or a figure that has no track now.

    `kind`: kept, again (a spare taken up), new, gone. `to_sew` are costumes of the track that
    the figure does not have. `hours_min` is work to come for a new figure, spent for one gone.
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

    @property
    def asks(self) -> bool:
        """Whether the lead has something to decide in this line."""
        return not self.is_taken and (self.kind != KEPT or bool(self.to_sew))


@dataclass(frozen=True)
class Bench:
    """Everything that the page 'To the bench' says."""

    show: Show
    rows: PlotRows
    count: Count | None = None
    lines: tuple[BenchLine, ...] = ()
    extras: tuple[Figure, ...] = ()
    spares: tuple[Figure, ...] = ()
    shared_min: int = 0
    needed: int = 0
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


def read_bench(show: Show) -> Bench:
    """The draft as it stands now, matched to the figures that exist. Nothing is written."""
    matched = read_matched(show)
    rows, count, tracks, figures = matched.rows, matched.count, matched.tracks, matched.figures
    wears, last, taken, pairs = matched.wears, matched.last, matched.taken, matched.pairs
    lines = [_track_line(track, pairs.get(track.key), wears, taken) for track in tracks]
    busy = {figure.pk for figure in pairs.values()}
    idle = [figure for figure in figures if figure.pk not in busy]
    spent = _spent(idle)
    for figure in idle:
        if figure.state == Figure.State.WANTED and figure.pk in last:
            lines.append(_gone_line(figure, wears[figure.pk], spent.get(figure.pk, 0)))
    lines, shared_min = _with_hours(show, lines)
    counts: dict[int, int] = defaultdict(int)
    for track in tracks:
        counts[track.guise.pk] += 1
    return Bench(
        show=show,
        rows=rows,
        count=count,
        lines=tuple(sorted(lines, key=_order_of(rows))),
        extras=tuple(f for f in idle if f.state == Figure.State.WANTED and f.pk not in last),
        spares=tuple(f for f in idle if f.state == Figure.State.SPARE),
        shared_min=shared_min,
        needed=len(tracks),
        by_guise=dict(counts),
    )


def _track_line(
    track: DraftTrack,
    figure: Figure | None,
    wears: dict[int, list[Costume]],
    taken: dict[int, int],
) -> BenchLine:
    is_taken = track.pk is not None and track.pk in taken
    if figure is None:
        return BenchLine(track.key, NEW, track.guise, None, track, track.costumes, track.costumes)
    kind = KEPT if figure.state == Figure.State.WANTED else AGAIN
    has = {costume.pk for costume in wears[figure.pk]}
    to_sew = tuple(costume for costume in track.costumes if costume.pk not in has)
    return BenchLine(
        track.key, kind, track.guise, figure, track, track.costumes, to_sew, is_taken=is_taken
    )


def _gone_line(figure: Figure, costumes: list[Costume], spent_min: int) -> BenchLine:
    return BenchLine(
        f"figure:{figure.pk}",
        GONE,
        figure.guise,
        figure,
        costumes=tuple(costumes),
        hours_min=spent_min,
    )


def _spent(figures: list[Figure]) -> dict[int, int]:
    rows = WorkLog.objects.filter(step__figure__in=figures, struck_at=None)
    return dict(rows.values_list("step__figure").annotate(Sum("minutes")))


def _with_hours(show: Show, lines: list[BenchLine]) -> tuple[list[BenchLine], int]:
    """New lines with the work in them, and the work that their guises need beside."""
    fresh = [line for line in lines if line.kind == NEW]
    if not fresh:
        return lines, 0
    shop = read_workshop(show)
    before = {step.key for step in want_steps(shop)}
    after = want_steps(replace(shop, figures=shop.figures + tuple(_as_if(shop, fresh))))
    minutes: dict[object, int] = defaultdict(int)
    shared_min = 0
    for step in after:
        subject = step.key.subject
        owner = subject.id[1] if subject.kind == "pour" and isinstance(subject.id, tuple) else None
        if subject.kind in ("figure", "costume") or owner is not None:
            minutes[owner or subject.id] += step.minutes
        elif step.key not in before:
            shared_min += step.minutes
    return [
        replace(line, hours_min=minutes[line.key]) if line.kind == NEW else line for line in lines
    ], shared_min


def _as_if(shop: core.Workshop, fresh: list[BenchLine]) -> list[core.Figure]:
    """The new lines as figures that exist, each with the castings it will take."""
    figures = []
    for line in fresh:
        wears = tuple(
            core.Worn(costume.pk, costume.sewing_min, number > 0)
            for number, costume in enumerate(line.costumes)
        )
        route = shop.routes.get(line.guise.kind, ())
        pours = {part: ((part, line.key),) for part in poured_parts(route)}
        figures.append(core.Figure(line.key, line.guise.pk, wears, pours))
    return figures


def _order_of(rows: PlotRows) -> Callable[[BenchLine], tuple[int, bool, int]]:
    """Lines by role and guise as the show has them; figures there first, then new, then gone."""
    place = {guise.pk: number for number, guise in enumerate(rows.guises)}

    def order(line: BenchLine) -> tuple[int, bool, int]:
        number = line.figure.number if line.figure else 10**6
        return place[line.guise.pk], line.kind == GONE, number

    return order
