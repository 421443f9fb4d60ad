"""From 'which unit follows which' to tracks, for models that decide unit by unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scenes.core.counting.figures import make_track
from scenes.core.counting.handover import Unit
from scenes.core.counting.relation import Relation
from scenes.core.counting.results import Previous, Stop, Track
from scenes.core.counting.stability import Played, Run, name_runs
from scenes.core.plot import Placed


def list_units(placed: Sequence[Placed]) -> list[Unit]:
    """Every copy of every appearance as (index, copy), in playing order."""
    return [
        (index, copy)
        for index, p in enumerate(placed)
        for copy in range(1, p.appearance.copies + 1)
    ]


def thread_tracks(
    placed: Sequence[Placed],
    follower: Mapping[Unit, Unit],
    relation: Relation,
    previous: Previous,
) -> tuple[Track, ...]:
    """Tracks by first entrance, carrying on those of the last count; all copies are played.

    >>> from scenes.core.plot import Appearance, Plot, Scene, place_appearances
    >>> plot = Plot((Scene("a", "1", 60),), (Appearance("x", "Heron", None, "a", copies=2),))
    >>> tracks = thread_tracks(place_appearances(plot), {}, Relation(plot, "Heron"), {})
    >>> [track.stops for track in tracks]
    [(Stop(key='x', copy=1),), (Stop(key='x', copy=2),)]
    """
    followed = set(follower.values())
    ways = []
    for start in list_units(placed):
        if start in followed:
            continue
        way = [start]
        while way[-1] in follower:
            way.append(follower[way[-1]])
        ways.append(way)
    ways.sort(key=lambda way: [*(index for index, _ in way), len(placed)])
    runs = []
    for way in ways:
        run = Run()
        for index, copy in way:
            stop = (placed[index].appearance.key, copy)
            run.played.append(Played(index, previous.get(stop)))
        runs.append(run)
    name_runs(runs)
    return tuple(
        make_track(
            tuple(Stop(placed[index].appearance.key, copy) for index, copy in way),
            [placed[index] for index, _ in way],
            run,
            relation,
        )
        for way, run in zip(ways, runs, strict=True)
    )
