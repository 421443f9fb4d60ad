"""By when each figure is wanted, and by what: its earliest scene, the show's rehearsal, opening."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from builds.models import Figure, TrackFigure
from scenes.models import Appearance, Count, Scene, Show, TrackStop


@dataclass(frozen=True, slots=True)
class NeededBy:
    """The day at whose end a figure must be fit for rehearsal, and why that day."""

    day: date
    words: str


def accepted_count(show: Show) -> Count | None:
    """The last count that was taken to the bench."""
    return (
        Count.objects.filter(draft__show=show, accepted_at__isnull=False)
        .select_related("draft")
        .order_by("accepted_at", "pk")
        .last()
    )


def scenes_played(show: Show, count: Count | None = None) -> dict[int, list[Scene]]:
    """Scenes of the last accepted count by figure id, in playing order."""
    count = count or accepted_count(show)
    if count is None:
        return {}
    scene_of: dict[UUID, Scene] = {
        row.key: row.scene
        for row in Appearance.objects.filter(draft_id=count.draft_id).select_related("scene")
    }
    figure_of = dict(TrackFigure.objects.filter(count=count).values_list("track_id", "figure_id"))
    played: dict[int, dict[UUID, Scene]] = defaultdict(dict)
    for stop in TrackStop.objects.filter(count=count).order_by("order"):
        scene = scene_of.get(stop.appearance_key)
        if scene is not None and stop.track_id in figure_of:
            played[figure_of[stop.track_id]][scene.key] = scene
    return {
        figure: sorted(scenes.values(), key=lambda scene: (scene.position, scene.pk))
        for figure, scenes in played.items()
    }


def needed_by_dates(
    show: Show, figures: list[Figure], played: dict[int, list[Scene]] | None = None
) -> dict[int, NeededBy]:
    """By figure id; a figure is missing where neither scenes, show nor opening give a day.

    Its own date wins; then the earliest of its scenes, else the show's, else opening.
    """
    played = scenes_played(show) if played is None else played
    found: dict[int, NeededBy] = {}
    for figure in figures:
        needed = _needed_by(show, figure, played.get(figure.pk, []))
        if needed is not None:
            found[figure.pk] = needed
    return found


def _needed_by(show: Show, figure: Figure, scenes: list[Scene]) -> NeededBy | None:
    if figure.needed_by:
        return NeededBy(figure.needed_by, "its own date")
    dated = [(scene.needed_by, index) for index, scene in enumerate(scenes) if scene.needed_by]
    if dated:
        day, index = min(dated)
        assert day is not None
        return NeededBy(day, f"first rehearsal of scene {scenes[index].label}")
    if show.needed_by:
        return NeededBy(show.needed_by, "first rehearsal")
    return NeededBy(show.opening, "opening") if show.opening else None
