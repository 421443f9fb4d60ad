"""An independent check of a pinned count: it shares nothing with the solver but the plot."""

from __future__ import annotations

from collections.abc import Iterator

from scenes.core.counting.checking import check_track
from scenes.core.pins.values import Apart, PinnedCount, Same, breaks
from scenes.core.plot import Plot, place_appearances


def check_pinned(plot: Plot, pinned: PinnedCount) -> list[str]:
    """What is wrong with a pinned count, as sentences; [] when it holds.

    Every copy is played once, every hand-over is allowed, the changes named are those made, every
    kept pin is honoured. It shares nothing with the solver.
    """
    return list(_faults(plot, pinned))


def _faults(plot: Plot, pinned: PinnedCount) -> Iterator[str]:
    placed = {p.appearance.key: p for p in place_appearances(plot)}
    wanted = sorted(
        (str(key), copy) for key, p in placed.items() for copy in range(1, p.appearance.copies + 1)
    )
    played = sorted(
        (str(stop.key), stop.copy)
        for guise in pinned.guises for track in guise.tracks for stop in track.stops
    )  # fmt: skip
    if wanted != played:
        yield "not every copy is played exactly once"
        return
    for guise in pinned.guises:
        if guise.build < guise.needs:
            yield f"guise {guise.guise!r}: {guise.build} built where {guise.needs} are needed"
        for track in guise.tracks:
            stops = [placed[stop.key] for stop in track.stops]
            if any(p.appearance.guise != guise.guise for p in stops):
                yield f"guise {guise.guise!r}: a track plays another guise"
            yield from check_track(plot, stops, track)
    tracks = [track for guise in pinned.guises for track in guise.tracks]
    for pin in pinned.kept:
        if isinstance(pin, Same | Apart) and breaks(pin, tracks):
            yield f"{pin!r} is said to be kept and is not"
