"""What hangs at the bench on parts of the plot: figures begun, their steps, the hours in them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Sum

from builds.models import Figure, Step, TrackFigure, WorkLog
from scenes.models import Appearance, Draft, Show, TrackStop

MOST_STEPS = 4  # named of a figure; of more only the number


@dataclass(frozen=True)
class Hanging:
    """A figure at the bench that plays what would go. `plays_on` says whether it keeps a part."""

    figure: Figure
    hours_min: int
    steps: tuple[str, ...]
    more_steps: int
    plays_on: bool

    @property
    def is_begun(self) -> bool:
        """Whether anything was done for it."""
        return bool(self.hours_min or self.steps)


def read_hanging(show: Show, *, scene_keys: Collection[UUID] = ()) -> list[Hanging]:
    """Figures with begun work that play in these scenes of the current draft."""
    rows = Appearance.objects.filter(draft=show.current_draft_id, scene__key__in=scene_keys)
    return read_hanging_on(show, set(rows.values_list("key", flat=True)))


def read_hanging_on(show: Show, keys: Collection[UUID]) -> list[Hanging]:
    """Figures with begun work whose part, as last taken to the bench, has entries of these keys.

    Five reads, one where nothing is at the bench.
    """
    if not keys:
        return []
    played: dict[int, set[UUID]] = defaultdict(set)
    for figure, key in _stops(show):
        played[figure].add(key)
    wanted = set(keys)
    touched = {figure for figure, its in played.items() if its & wanted}
    return [
        hanging
        for hanging in _begun(show, touched, {f for f in touched if played[f] - wanted})
        if hanging.is_begun
    ]


def read_dropped(show: Show, draft: Draft) -> list[Hanging]:
    """Figures with begun work that would lose something they play if `draft` were the plot."""
    kept = set(Appearance.objects.filter(draft=draft).values_list("key", flat=True))
    lost = {key for _, key in _stops(show)} - kept
    return read_hanging_on(show, lost) if lost else []


def _stops(show: Show) -> list[tuple[int, UUID]]:
    """Figure and appearance key of everything that was last taken to the bench."""
    last = dict(
        TrackFigure.objects.filter(figure__show=show, figure__state=Figure.State.WANTED)
        .order_by("count__accepted_at", "count_id")
        .values_list("figure_id", "track_id")
    )
    figure_of = {track: figure for figure, track in last.items()}
    stops = TrackStop.objects.filter(track__in=figure_of)
    return [
        (figure_of[track], key) for track, key in stops.values_list("track_id", "appearance_key")
    ]


def _begun(show: Show, figures: set[int], playing_on: set[int]) -> list[Hanging]:
    if not figures:
        return []
    rows = Figure.objects.filter(pk__in=figures).select_related("guise__character")
    logs = WorkLog.objects.filter(step__figure__in=figures, struck_at=None)
    hours = dict(logs.values_list("step__figure").annotate(Sum("minutes")))
    steps: dict[int, list[str]] = defaultdict(list)
    begun = Step.objects.filter(figure__in=figures, begun_at__isnull=False, struck_at=None)
    for figure, name in begun.order_by("stage__position", "pk").values_list(
        "figure_id", "stage__name"
    ):
        steps[figure].append(name)
    return [
        Hanging(
            figure,
            hours.get(figure.pk, 0),
            tuple(steps[figure.pk][:MOST_STEPS]),
            max(0, len(steps[figure.pk]) - MOST_STEPS),
            figure.pk in playing_on,
        )
        for figure in rows.order_by("letters", "number")
    ]
