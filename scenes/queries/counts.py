"""The count of a show's current draft, counted anew only where something it depends on changed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from uuid import UUID

from scenes.core import plot as core
from scenes.core.counting import Count, GuiseCount, Track, count_guise
from scenes.core.naming import Names
from scenes.core.plot_problems import time_problem
from scenes.loading import PlotRows, read_previous, read_rows, to_names, to_plot
from scenes.models import Count as KeptCount
from scenes.models import Show
from scenes.queries.pinned import Pinned, pin_count

GUISES_KEPT = 2048
SCENE_LISTS_KEPT = 64


@dataclass(frozen=True)
class CountedPlot:
    """A draft's rows, the plot they make, its count, and the names to say it with.

    `count` is what is needed; `pinned` what the lead's pins make of it, which is what is built.
    `misfits` says, by appearance, what no longer fits its scene: those are counted as on for the
    whole scene until somebody puts them right.
    """

    rows: PlotRows
    plot: core.Plot
    count: Count
    names: Names
    misfits: dict[Hashable, str]
    pinned: Pinned = field(default_factory=Pinned)

    @property
    def has_blanks(self) -> bool:
        """Whether a costume is undecided or a place not said."""
        return any(
            a.costume is None or not a.from_place or not a.to_place for a in self.plot.appearances
        )

    @property
    def all_tracks(self) -> tuple[Track, ...]:
        """What every figure that is built plays."""
        return tuple(track for guise in self.count.guises for track in self.tracks_of(guise.guise))

    def tracks_of(self, guise: Hashable) -> tuple[Track, ...]:
        """What the figures of a guise that are built play."""
        pinned = self.pinned.guises.get(guise)
        if pinned is None:
            return self.count.of(guise).tracks
        return pinned.tracks + (Track(()),) * pinned.idle

    @property
    def built(self) -> Count:
        """The count with the tracks that are built; a figure with nothing to play has no stops."""
        if not self.pinned.guises:
            return self.count
        guises = tuple(
            replace(one, tracks=tracks, figures=len(tracks))
            for one in self.count.guises
            for tracks in [self.tracks_of(one.guise)]
        )
        return Count(sum(one.figures for one in guises), guises)

    @property
    def times(self) -> dict[Hashable, tuple[int, int]]:
        """Entrance and exit of every appearance in its scene, in seconds, as they were counted."""
        scenes = {scene.key: scene for scene in self.plot.scenes}
        return {a.key: core.within_scene(a, scenes[a.scene]) for a in self.plot.appearances}

    @property
    def misfit_sentences(self) -> list[str]:
        """What no longer fits its scene, each a sentence with what was done about it."""
        return [
            f"{a.guise} in scene {a.scene.label} {self.misfits[a.key]}. "
            "It is counted as on for the whole scene until its minutes are put right."
            for a in self.rows.appearances
            if a.key in self.misfits
        ]


@dataclass(frozen=True, slots=True)
class GuiseQuestion:
    """Everything that the count of one guise depends on, and nothing else.

    Being the key of the store and the only argument of the count, it cannot leave anything out:
    an answer that is found was worked out from equal rows.
    """

    guise: Hashable
    scenes: tuple[core.Scene, ...]
    appearances: tuple[core.Appearance, ...]
    rules: tuple[core.ChangeRule, ...]
    crossing_s: int
    reset_s: int
    walks: frozenset[tuple[tuple[str, str], int]]
    plain_rigs: frozenset[tuple[Hashable, str]]
    previous: frozenset[tuple[tuple[core.AppearanceKey, int], object]]


def count_show(show: Show) -> CountedPlot:
    """The count of the current draft, its tracks as near as can be to the last accepted ones."""
    rows = read_rows(show)
    as_written = to_plot(rows)
    plot, misfits = fit_to_scenes(as_written)
    previous, names = previous_tracks(show), to_names(rows)
    count = count_plot(plot, previous)
    pinned = pin_count(plot, rows.pins, previous, names)
    return CountedPlot(rows, plot, count, names, misfits, pinned)


def count_plot(plot: core.Plot, previous: dict[tuple[UUID, int], int]) -> Count:
    """The same as core's `count_figures`, with every guise that was counted before looked up."""
    scenes = _keep_scenes(tuple(replace(s, label="", title="", act="") for s in plot.scenes))
    appearances: dict[Hashable, list[core.Appearance]] = defaultdict(list)
    before: dict[Hashable, list[tuple[tuple[UUID, int], int]]] = defaultdict(list)
    guise_of = {a.key: a.guise for a in plot.appearances}
    rules: dict[Hashable, list[core.ChangeRule]] = defaultdict(list)
    for appearance in plot.appearances:
        appearances[appearance.guise].append(appearance)
    for rule in plot.rules:
        rules[rule.guise].append(rule)
    for stop, track in previous.items():
        if stop[0] in guise_of:
            before[guise_of[stop[0]]].append((stop, track))
    counted = tuple(
        answer_guise(
            GuiseQuestion(
                guise,
                scenes,
                tuple(appearances[guise]),
                tuple(rules[guise]),
                plot.crossing_s,
                plot.reset_s,
                frozenset(plot.walks.items()),
                frozenset(pair for pair in plot.plain_rigs if pair[0] == guise),
                frozenset(before[guise]),
            )
        )
        for guise in plot.all_guises()
    )
    return Count(sum(one.figures for one in counted), counted)


@lru_cache(maxsize=GUISES_KEPT)
def answer_guise(question: GuiseQuestion) -> GuiseCount:
    """The count of one guise, from its question alone."""
    plot = core.Plot(
        scenes=question.scenes,
        appearances=question.appearances,
        rules=question.rules,
        crossing_s=question.crossing_s,
        reset_s=question.reset_s,
        guises=(question.guise,),
        plain_rigs=question.plain_rigs,
        walks=dict(question.walks),
    )
    return count_guise(plot, question.guise, dict(question.previous))


@lru_cache(maxsize=SCENE_LISTS_KEPT)
def _keep_scenes(scenes: tuple[core.Scene, ...]) -> tuple[core.Scene, ...]:
    """One and the same list for equal ones: the store then holds it once, not once a guise."""
    return scenes


def fit_to_scenes(plot: core.Plot) -> tuple[core.Plot, dict[Hashable, str]]:
    """The plot with whatever no longer fits its scene on for the whole of it, and what that is."""
    scenes = {scene.key: scene for scene in plot.scenes}
    misfits = {}
    for appearance in plot.appearances:
        if what := time_problem(scenes[appearance.scene], appearance):
            misfits[appearance.key] = what
    if not misfits:
        return plot, {}
    fitted = tuple(
        replace(a, enters_s=None, leaves_s=None) if a.key in misfits else a
        for a in plot.appearances
    )
    return replace(plot, appearances=fitted), misfits


def previous_tracks(show: Show) -> dict[tuple[UUID, int], int]:
    """Which track of the last accepted count played each stop; empty before the first."""
    kept = (
        KeptCount.objects.for_company(show.company)
        .filter(draft__show=show, accepted_at__isnull=False)
        .order_by("-accepted_at", "-pk")
        .first()
    )
    return read_previous(kept) if kept is not None else {}
