"""An edit made on a copy of the plot: the tracks of its guise before and after."""

from __future__ import annotations

from dataclasses import dataclass

from scenes.core.counting import Track
from scenes.core.plot import Plot
from scenes.core.plot_edits import Edit, apply_edit
from scenes.models import Costume
from scenes.queries.counts import CountedPlot, count_plot


@dataclass(frozen=True)
class TriedStop:
    """One appearance on a track: its scene, what is worn, and whether the edit touched it."""

    scene: str
    costume: Costume | None
    is_edited: bool


@dataclass(frozen=True)
class TriedTrack:
    """What one figure plays."""

    number: int
    stops: tuple[TriedStop, ...]


@dataclass(frozen=True)
class Trial:
    """A guise before and after an edit, with the number of figures that the whole plot needs."""

    before: tuple[TriedTrack, ...]
    after: tuple[TriedTrack, ...]
    needed_before: int
    needed_after: int


def read_trial(counted: CountedPlot, edit: Edit) -> Trial:
    """Count the plot with the edit made on a copy of it. Reads nothing."""
    changed = apply_edit(counted.plot, edit)
    after = count_plot(changed, {})
    return Trial(
        _tracks(counted, counted.plot, counted.count.of(edit.guise).tracks, edit),
        _tracks(counted, changed, after.of(edit.guise).tracks, edit),
        counted.count.figures,
        after.figures,
    )


def _tracks(
    counted: CountedPlot, plot: Plot, tracks: tuple[Track, ...], edit: Edit
) -> tuple[TriedTrack, ...]:
    by_key = {a.key: a for a in plot.appearances}
    labels = {scene.key: scene.label for scene in plot.scenes}
    costumes = {costume.pk: costume for costume in counted.rows.costumes}
    return tuple(
        TriedTrack(
            number,
            tuple(
                TriedStop(
                    labels[by_key[stop.key].scene],
                    costumes.get(by_key[stop.key].costume),  # type: ignore[arg-type]
                    stop.key == edit.key,
                )
                for stop in track.stops
            ),
        )
        for number, track in enumerate(tracks, 1)
    )
