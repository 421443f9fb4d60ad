"""What must be put right between two performances: the turn-round list."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

from scenes.core.counting import Track
from scenes.core.plot import GuiseId, Plot, place_appearances


@dataclass(frozen=True, slots=True)
class WayBack:
    """What a figure needs between two performances: `guise`'s track of this number, from 1.

    `costumes` from the one it ends in to the one it begins in; empty where it is the same.
    `change_s` None: nobody has said how to get back. `walk_s`: from where it ends to where it
    begins.
    """

    guise: GuiseId
    track: int
    costumes: tuple[Hashable, ...]
    change_s: int | None
    people: int
    walk_s: int
    from_place: str
    to_place: str


def find_ways_back(plot: Plot, tracks: Mapping[GuiseId, Sequence[Track]]) -> tuple[WayBack, ...]:
    """The turn-round list: every track that ends other than it began, with seconds.

    Between performances changes may be made one after another: the way back is the quickest chain
    of the change rules (Dijkstra 1959, Numerische Mathematik 1).

    >>> find_ways_back(Plot(), {})
    ()
    """
    placed = {p.appearance.key: p.appearance for p in place_appearances(plot)}
    found = []
    for guise, its_tracks in tracks.items():
        for number, track in enumerate(its_tracks, start=1):
            first, last = placed[track.stops[0].key], placed[track.stops[-1].key]
            start, end = first.from_place, last.to_place
            is_moved = bool(start and end) and start != end
            walk_s = plot.walks.get((end, start), plot.crossing_s) if is_moved else 0
            chain: tuple[Hashable, ...] = ()
            change_s: int | None = 0
            people = 0
            if first.costume != last.costume:
                chain, change_s, people = _quickest_way(plot, guise, last.costume, first.costume)
            if chain or is_moved:
                found.append(WayBack(guise, number, chain, change_s, people, walk_s, end, start))
    return tuple(found)


def _quickest_way(
    plot: Plot, guise: GuiseId, start: Hashable, goal: Hashable
) -> tuple[tuple[Hashable, ...], int | None, int]:
    """The quickest chain of changes, its seconds and the most people it takes at once."""
    rules = [rule for rule in plot.rules if rule.guise == guise]
    best: dict[Hashable, tuple[int, int, tuple[Hashable, ...], int]] = {start: (0, 0, (start,), 0)}
    done: set[Hashable] = set()
    while open_ends := {costume: way for costume, way in best.items() if costume not in done}:
        here = min(open_ends, key=lambda costume: (*best[costume][:2], str(costume)))
        seconds, steps, chain, people = best[here]
        if here == goal:
            return chain, seconds, people
        done.add(here)
        for rule in rules:
            way = (seconds + rule.change_s, steps + 1, (*chain, rule.to_costume),
                   max(people, rule.people))  # fmt: skip
            known = best.get(rule.to_costume)
            if rule.from_costume == here and (known is None or way[:2] < known[:2]):
                best[rule.to_costume] = way
    return (start, goal), None, 0
