"""What would save a figure: single edits of the plot, each with what it spares the bench."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Min

from builds.core.make_over import Wanted, make_over
from builds.models import Figure, PlannedStep
from builds.queries.bench import read_spent
from builds.queries.bench_words import EXTENT_WORDS
from builds.queries.build_minutes import read_build_minutes
from builds.queries.last_days import read_last_days
from builds.queries.matched import DraftTrack, Matched, Matching, read_matched
from builds.queries.plans import latest_plan
from scenes.core.plot import Plot
from scenes.core.plot_edits import Edit, apply_edit
from scenes.core.savings import Saving, find_savings
from scenes.models import Guise, Show
from scenes.queries.counts import CountedPlot, count_plot, count_show, previous_tracks
from scenes.queries.pinned import pin_count

MOST_LINES = 30  # the best ones: a longer list is read by nobody


@dataclass(frozen=True)
class SavingLine:
    """One edit that saves figures: what to do, what it spares, and until when to decide.

    `tags` are figures at the bench that would be left over, `fresh` how many would not have to
    be begun at all. `minutes` is their work still to do, sewing left out. `last_day` None: no day
    is known, or work on it has begun (`is_begun`).
    """

    code: str
    edit: Edit
    words: str
    guise: Guise
    figures: int
    minutes: int
    tags: tuple[str, ...] = ()
    fresh: int = 0
    spent_min: int = 0
    has_begun: bool = False
    last_day: date | None = None
    last_day_why: str = ""

    @property
    def is_begun(self) -> bool:
        """Whether there is work already in what would be saved."""
        return self.spent_min > 0 or self.has_begun


@dataclass(frozen=True)
class SpareLine:
    """A spare that was asked for: the first to go."""

    figure: Figure
    minutes: int
    words: str


@dataclass(frozen=True)
class Savings:
    """The list, the best first; `count` is the plot as it stands."""

    counted: CountedPlot
    lines: tuple[SavingLine, ...]
    spares: tuple[SpareLine, ...] = ()

    def line(self, code: str) -> SavingLine | None:
        """The line of a code; None where the plot has changed so that it is gone."""
        return next((line for line in self.lines if line.code == code), None)


def code_of(edit: Edit) -> str:
    """What names an edit in an address: the same for the same edit of the same plot."""
    said = (edit.kind, edit.guise, edit.key, edit.at_s, edit.place, edit.costume, edit.rule)
    return hashlib.blake2s(repr(said).encode(), digest_size=6).hexdigest()


def read_savings(show: Show) -> Savings:
    """Every single edit that saves a figure, and the spares. A flat number of reads."""
    counted = count_show(show)
    needed = {one.guise: one.figures for one in counted.count.guises}
    figure_min, _ = read_build_minutes(show, needed)  # type: ignore[arg-type]
    matters = {costume.pk for costume in counted.rows.costumes if costume.matters}
    found = find_savings(counted.plot, figure_min, matters)
    sparing = _Sparing(show, counted, figure_min)
    lines = [line for saving in found if (line := sparing.line(saving)) is not None]
    # Two appearances of one guise in one scene make the same sentence: it is said once.
    lines = list({(line.words, line.minutes): line for line in reversed(lines)}.values())[::-1]
    lines.sort(key=lambda line: (-line.minutes, -line.figures))
    lines = sparing.with_days(lines[:MOST_LINES])
    return Savings(counted, tuple(lines), sparing.spares())


def plot_with(counted: CountedPlot, edit: Edit) -> Plot:
    """The plot as it would be with the edit made."""
    return apply_edit(counted.plot, edit)


class _Sparing:
    """What the bench is spared, edit by edit: the match with it beside the match without."""

    def __init__(self, show: Show, counted: CountedPlot, figure_min: Mapping[int, int]) -> None:
        self.show, self.counted, self.figure_min = show, counted, figure_min
        self.matched: Matched = read_matched(show)
        self.previous = previous_tracks(show)
        self.guises = {guise.pk: guise for guise in counted.rows.guises}
        self.costumes = {costume.pk: costume for costume in counted.rows.costumes}
        self.spent = read_spent(self.matched.figures)
        self.before = self._match(counted.plot)

    def line(self, saving: Saving) -> SavingLine | None:
        """The saving as the bench sees it; None where the lead's pins let nothing be saved."""
        edit = saving.edit
        used, fresh, tracks = self._match(apply_edit(self.counted.plot, edit))
        figures = self.before[2] - tracks
        if figures <= 0:
            return None
        left = [f for f in self.matched.figures if f.pk in self.before[0] - used]
        not_made = max(0, self.before[1] - fresh)
        guise = self.guises[edit.guise]  # type: ignore[index]
        return SavingLine(
            code=code_of(edit),
            edit=edit,
            words=edit.words(self.counted.names),
            guise=guise,
            figures=figures,
            minutes=sum(self._left_min(figure) for figure in left)
            + not_made * self.figure_min.get(guise.pk, 0),
            tags=tuple(figure.tag for figure in left),
            fresh=not_made,
            has_begun=any(
                self.matched.pricing.standings[figure.pk].now.is_begun for figure in left
            ),
            spent_min=sum(self.spent.get(figure.pk, 0) for figure in left),
        )

    def _left_min(self, figure: Figure) -> int:
        """Work still to do in a figure, its cloth left out: that is sewn in any case."""
        pricing = self.matched.pricing
        bare = replace(pricing.standings[figure.pk].now, dressed_in=None)
        wanted = Wanted(pricing.wanted(figure.guise, ()).guise)
        over = make_over(
            pricing.routes.get(figure.guise.kind, ()),
            bare,
            wanted,
            rank=pricing.ranks[figure.guise_id],
        )
        return over.to_come_min if over is not None else 0

    def _match(self, plot: Plot) -> tuple[set[int], int, int]:
        """Ids of the figures that are used, how many are new, and how many are built."""
        count = count_plot(plot, self.previous)
        pinned = pin_count(plot, self.counted.rows.pins, self.previous, self.counted.names)
        built = replace(self.counted, plot=plot, count=count, pinned=pinned).built
        worn = {a.key: a.costume for a in plot.appearances}
        tracks = []
        for of_guise in built.guises:
            for number, track in enumerate(of_guise.tracks):
                costumes = dict.fromkeys(worn[stop.key] for stop in track.stops)
                tracks.append(
                    DraftTrack(
                        f"{of_guise.guise}:{number}",
                        self.guises[of_guise.guise],  # type: ignore[index]
                        tuple((stop.key, stop.copy) for stop in track.stops),  # type: ignore[misc]
                        tuple(self.costumes[c] for c in costumes if c is not None),  # type: ignore[index]
                    )
                )
        m = self.matched
        found = Matching(tracks, m.figures, m.wears, m.last, {}, m.pricing).match()
        return set(found.values()), len(tracks) - len(found), len(tracks)

    def with_days(self, lines: list[SavingLine]) -> list[SavingLine]:
        """The lines with the last day on which each can be decided."""
        plan, zone = latest_plan(self.show), ZoneInfo(self.show.company.time_zone)
        starts: dict[str, date] = {}
        if plan is not None:
            rows = PlannedStep.objects.filter(plan=plan, step__figure__show=self.show)
            for figure in self.matched.figures:
                starts.setdefault(figure.tag, date.max)
            tags = {figure.pk: figure.tag for figure in self.matched.figures}
            for pk, first in rows.values_list("step__figure").annotate(Min("latest_start")):
                if first is not None and pk in tags:
                    starts[tags[pk]] = first.astimezone(zone).date()
        fresh = read_last_days(self.show, {line.guise.pk for line in lines if line.fresh})
        return [self._dated(line, starts, fresh) for line in lines]

    def _dated(
        self,
        line: SavingLine,
        starts: Mapping[str, date],
        fresh: Mapping[int, tuple[date, str]],
    ) -> SavingLine:
        if line.is_begun:
            return line
        days = [
            (starts[tag], f"work on {tag} begins then at the latest")
            for tag in line.tags
            if starts.get(tag, date.max) != date.max
        ]
        if line.fresh and line.guise.pk in fresh:
            days.append(fresh[line.guise.pk])
        if not days:
            return line
        day, why = min(days)
        return replace(line, last_day=day, last_day_why=why)

    def spares(self) -> tuple[SpareLine, ...]:
        """Spares that were asked for and are not ready: the first to go."""
        m = self.matched
        asked = [
            f
            for f in (*m.figures, *m.parts)
            if f.state == Figure.State.SPARE and f.pk not in m.last
        ]
        left = _left_of_spares(self.show, asked)
        return tuple(
            SpareLine(figure, left[figure.pk], f"the {EXTENT_WORDS[figure.extent][0]}")
            for figure in asked
            if left.get(figure.pk)
        )


def _left_of_spares(show: Show, asked: list[Figure]) -> dict[int, int]:
    """Minutes of work still planned for each spare."""
    left: dict[int, int] = {}
    for figure in Figure.objects.filter(pk__in=[f.pk for f in asked]).prefetch_related("steps"):
        left[figure.pk] = sum(
            step.work_min
            for step in figure.steps.all()
            if step.finished_at is None and step.struck_at is None
        )
    return left
