"""Which figure that exists plays which track of a new count: an exact assignment, guise by guise.

What is compared, in this order: costumes that figure and track share (as many as can be), the
appearances that the figure played last time (as many as can be), whether the figure is still
wanted, and the lowest numbers. Every pair of one guise is allowed: a figure of the right head and
body is never left lying while a new one of the same guise is made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

Stop = tuple[Hashable, int]


@dataclass(frozen=True, slots=True)
class TrackWanted:
    """A track of the count: its guise, the costumes worn on it and its stops."""

    id: Hashable
    guise: Hashable
    costumes: frozenset[Hashable] = frozenset()
    stops: frozenset[Stop] = frozenset()


@dataclass(frozen=True, slots=True)
class FigureThere:
    """A figure that exists: what it wears, what it played last, its number within its letters."""

    id: Hashable
    guise: Hashable
    number: int
    costumes: frozenset[Hashable] = frozenset()
    stops: frozenset[Stop] = frozenset()
    is_wanted: bool = True


def match_tracks(
    tracks: Sequence[TrackWanted], figures: Sequence[FigureThere]
) -> dict[Hashable, Hashable]:
    """Figure id by track id, for as many tracks of each guise as there are figures.

    Exact by the order in the module's first lines (linear sum assignment on whole numbers; Kuhn,
    Harold W., 1955, 'The Hungarian method for the assignment problem', Naval Research Logistics
    Quarterly 2, doi:10.1002/nav.3800020109). O(n^3) in the figures of one guise. Raises ValueError
    where two tracks or two figures have one id.

    >>> tracks = [TrackWanted("t1", "old", frozenset({"gown"})),
    ...           TrackWanted("t2", "old", frozenset({"coat"}))]
    >>> there = [FigureThere("J1", "old", 1, frozenset({"coat"}))]
    >>> match_tracks(tracks, there)
    {'t2': 'J1'}
    """
    _no_twice("track", [t.id for t in tracks])
    _no_twice("figure", [f.id for f in figures])
    by_guise: dict[Hashable, tuple[list[TrackWanted], list[FigureThere]]] = defaultdict(
        lambda: ([], [])
    )
    for track in tracks:
        by_guise[track.guise][0].append(track)
    for figure in figures:
        by_guise[figure.guise][1].append(figure)
    matched: dict[Hashable, Hashable] = {}
    for wanted, there in by_guise.values():
        matched.update(_match_guise(wanted, sorted(there, key=lambda f: f.number)))
    return {track.id: matched[track.id] for track in tracks if track.id in matched}


def _match_guise(
    tracks: list[TrackWanted], figures: list[FigureThere]
) -> list[tuple[Hashable, Hashable]]:
    """Pairs for one guise; figures in the order of their numbers."""
    if not tracks or not figures:
        return []
    # Each aim weighs more than all that the aims after it can add up to, so that one sum of whole
    # numbers keeps them in order. A hundred figures of one guise stay far below 2**53.
    pairs = min(len(tracks), len(figures))
    number_top = pairs * len(figures) + 1
    wanted_top = (pairs + 1) * number_top
    most_stops = max(len(t.stops) for t in tracks)
    stops_top = (pairs * most_stops + 1) * wanted_top
    cost = [
        [
            -len(track.costumes & figure.costumes) * stops_top
            - len(track.stops & figure.stops) * wanted_top
            + (0 if figure.is_wanted else number_top)
            + place
            for place, figure in enumerate(figures)
        ]
        for track in tracks
    ]
    rows, columns = linear_sum_assignment(np.array(cost, dtype=np.float64))
    return [(tracks[r].id, figures[c].id) for r, c in zip(rows, columns, strict=True)]


def _no_twice(what: str, ids: list[Hashable]) -> None:
    if len(set(ids)) < len(ids):
        raise ValueError(f"two {what}s have one id: {ids!r}")
