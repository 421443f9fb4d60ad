"""Which figure that exists plays which track of a new count: the cheapest assignment, exactly.

What counts first is work: minutes to build, to redo and thrown away, as the caller prices them.
Among the cheapest matches, in this order: most figures that keep their guise and fewest that take
another, costumes that figure and track share, appearances that the figure played last time,
figures that are still wanted, and the lowest numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

Stop = tuple[Hashable, int]
Grid: TypeAlias = NDArray[np.float64]
Mask: TypeAlias = NDArray[np.bool_]


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


@dataclass(frozen=True, slots=True)
class Prices:
    """What a match costs, in whole minutes, 0 and up.

    `pairs` holds the figures that may play a track, by (track, figure): work still to do, and
    work thrown away, if they do. `build` is the work of a new figure for a track, `stranded`
    what is lost in a figure that is left without one; 0 where not listed.
    """

    pairs: Mapping[tuple[Hashable, Hashable], int]
    build: Mapping[Hashable, int] = field(default_factory=dict)
    stranded: Mapping[Hashable, int] = field(default_factory=dict)


def match_tracks(
    tracks: Sequence[TrackWanted],
    figures: Sequence[FigureThere],
    prices: Prices | None = None,
) -> dict[Hashable, Hashable]:
    """Figure id by track id, for the tracks that a figure plays; the others ask for a new one.

    Exact by the order in the module's first lines: aim by aim a linear sum assignment (Kuhn,
    Harold W., 1955, 'The Hungarian method for the assignment problem', Naval Research Logistics
    Quarterly 2, doi:10.1002/nav.3800020109), each within the cheapest matches of the aims before
    it: those whose pairs all have a reduced cost of nought. Without prices every figure of the
    guise may play a track and as many do as can. O(n^3) in the figures of guises that can take
    each other's place. Raises ValueError where two tracks or two figures have one id, or a price
    is below nought or names what is not there.

    >>> tracks = [TrackWanted("t1", "old", frozenset({"gown"})),
    ...           TrackWanted("t2", "old", frozenset({"coat"}))]
    >>> there = [FigureThere("J1", "old", 1, frozenset({"coat"}))]
    >>> match_tracks(tracks, there)
    {'t2': 'J1'}
    >>> match_tracks(tracks, there, Prices({("t1", "J1"): 60, ("t2", "J1"): 0}, {"t1": 0}))
    {'t2': 'J1'}
    """
    _no_twice("track", [t.id for t in tracks])
    _no_twice("figure", [f.id for f in figures])
    if prices is None:
        prices = _one_guise_prices(tracks, figures)
    _check_prices(tracks, figures, prices)
    matched: dict[Hashable, Hashable] = {}
    for wanted, there in _groups(tracks, figures, prices):
        matched.update(_match_group(wanted, there, prices))
    return {track.id: matched[track.id] for track in tracks if track.id in matched}


def cost_of(
    matched: Mapping[Hashable, Hashable],
    tracks: Sequence[TrackWanted],
    figures: Sequence[FigureThere],
    prices: Prices,
) -> int:
    """Minutes of work that a match costs.

    >>> one = TrackWanted("t", "old")
    >>> cost_of({}, [one], [FigureThere("J1", "old", 1)], Prices({}, {"t": 90}, {"J1": 20}))
    110
    """
    used = set(matched.values())
    return (
        sum(prices.pairs[pair] for pair in matched.items())
        + sum(prices.build.get(t.id, 0) for t in tracks if t.id not in matched)
        + sum(prices.stranded.get(f.id, 0) for f in figures if f.id not in used)
    )


def _one_guise_prices(tracks: Sequence[TrackWanted], figures: Sequence[FigureThere]) -> Prices:
    """As many figures as can be: one of the guise costs nothing, a new one does."""
    by_guise: dict[Hashable, list[FigureThere]] = defaultdict(list)
    for figure in figures:
        by_guise[figure.guise].append(figure)
    pairs = {(track.id, figure.id): 0 for track in tracks for figure in by_guise[track.guise]}
    return Prices(pairs, {track.id: 1 for track in tracks})


def _groups(
    tracks: Sequence[TrackWanted], figures: Sequence[FigureThere], prices: Prices
) -> Iterator[tuple[list[TrackWanted], list[FigureThere]]]:
    """Tracks and figures that have to do with each other, if only through others."""
    of_track: dict[Hashable, list[Hashable]] = defaultdict(list)
    of_figure: dict[Hashable, list[Hashable]] = defaultdict(list)
    for track_id, figure_id in prices.pairs:
        of_track[track_id].append(figure_id)
        of_figure[figure_id].append(track_id)
    seen: set[Hashable] = set()
    for start in tracks:
        if start.id in seen or start.id not in of_track:
            continue
        mine, theirs, rest = {start.id}, set[Hashable](), [start.id]
        while rest:
            for figure_id in of_track[rest.pop()]:
                if figure_id not in theirs:
                    theirs.add(figure_id)
                    fresh = [t for t in of_figure[figure_id] if t not in mine]
                    mine.update(fresh)
                    rest += fresh
        seen |= mine
        there = sorted((f for f in figures if f.id in theirs), key=lambda f: f.number)
        yield [t for t in tracks if t.id in mine], there


def _match_group(
    tracks: list[TrackWanted], figures: list[FigureThere], prices: Prices
) -> list[tuple[Hashable, Hashable]]:
    """The best pairs of one group; figures in the order of their numbers."""
    wide, high = len(figures), len(tracks)
    # A square: a track takes a figure or a new one of its own (the columns behind the figures);
    # a figure that no track takes is met by the row of its own behind the tracks.
    allowed = np.zeros((high + wide, wide + high), dtype=bool)
    work = np.zeros(allowed.shape)
    allowed[high:, wide:] = True
    for row, track in enumerate(tracks):
        allowed[row, wide + row] = True
        work[row, wide + row] = prices.build.get(track.id, 0)
        for column, figure in enumerate(figures):
            price = prices.pairs.get((track.id, figure.id))
            if price is not None:
                allowed[row, column] = True
                work[row, column] = price
    for column, figure in enumerate(figures):
        allowed[high + column, column] = True
        work[high + column, column] = prices.stranded.get(figure.id, 0)
    chosen = np.arange(high + wide)
    for cost in (work, *_finer_aims(tracks, figures, allowed.shape)):
        chosen, allowed = _cheapest(cost, allowed)
    return [
        (track.id, figures[chosen[row]].id)
        for row, track in enumerate(tracks)
        if chosen[row] < wide
    ]


def _finer_aims(
    tracks: list[TrackWanted], figures: list[FigureThere], shape: tuple[int, ...]
) -> Iterator[Grid]:
    """The aims after the work, the first first; less is better."""
    aims = (
        lambda t, f, place: -1 if t.guise == f.guise else 1,
        lambda t, f, place: -len(t.costumes & f.costumes),
        lambda t, f, place: -len(t.stops & f.stops),
        lambda t, f, place: 0 if f.is_wanted else 1,
        lambda t, f, place: place,
    )
    for aim in aims:
        cost = np.zeros(shape)
        for row, track in enumerate(tracks):
            for column, figure in enumerate(figures):
                cost[row, column] = aim(track, figure, column)
        yield cost


def _cheapest(cost: Grid, allowed: Mask) -> tuple[NDArray[np.intp], Mask]:
    """A cheapest assignment, and the pairs of which every cheapest one is made.

    The potentials of the columns come from the assignment by shortest ways: no column may be
    had more cheaply by passing a row on. All numbers are whole and small enough to be exact.
    """
    priced = np.where(allowed, cost, np.inf)
    rows, columns = linear_sum_assignment(priced)
    own = priced[rows, columns]
    potential = np.zeros(cost.shape[1])
    while True:
        better = (priced - own[:, None] + potential[columns][:, None]).min(axis=0)
        if not (better < potential).any():
            break
        potential = np.minimum(potential, better)
    reduced = priced - (own - potential[columns])[:, None] - potential[None, :]
    return columns, allowed & (reduced == 0)


def _no_twice(what: str, ids: list[Hashable]) -> None:
    if len(set(ids)) < len(ids):
        raise ValueError(f"two {what}s have one id: {ids!r}")


def _check_prices(
    tracks: Sequence[TrackWanted], figures: Sequence[FigureThere], prices: Prices
) -> None:
    wanted, there = {t.id for t in tracks}, {f.id for f in figures}
    for pair in prices.pairs:
        if pair[0] not in wanted or pair[1] not in there:
            raise ValueError(f"price of {pair!r}: no such track or figure")
    for minutes in (*prices.pairs.values(), *prices.build.values(), *prices.stranded.values()):
        if minutes < 0:
            raise ValueError(f"a price is 0 or more minutes, got {minutes}")
