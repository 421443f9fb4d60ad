"""The pieces the solvers share: hand-overs, those to keep, and the weights of the aims."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from scenes.core.counting.relation import Link, Relation
from scenes.core.plot import AppearanceKey, Placed

Unit: TypeAlias = tuple[int, int]  # index of the appearance in the list at hand, copy from 1
Kept: TypeAlias = Sequence[tuple[Unit, Unit]]


class HandOver(NamedTuple):
    """`units` figures go from appearance `first` straight to appearance `second` (indices)."""

    first: int
    second: int
    units: int


@dataclass(frozen=True, slots=True)
class Weights:
    """Whole-number costs that put the aims in order: figures, changes, crossings, stability.

    Each is more than all the lower aims together can ever come to.
    """

    figure: int
    change: int
    crossing: int

    @classmethod
    def of(cls, units: int, kept: int, *, has_changes: bool, has_crossings: bool) -> Weights:
        """Weights for `units` copies of which `kept` hand-overs are worth 1 each.

        >>> Weights.of(10, 0, has_changes=True, has_crossings=True)
        Weights(figure=121, change=11, crossing=1)
        """
        crossing = kept + 1
        change = crossing * (units + 1 if has_crossings else 1)
        return cls(change * (units + 1 if has_changes else 1), change, crossing)

    def of_link(self, link: Link) -> int:
        """The cost of one hand-over."""
        return self.change * link.is_change + self.crossing * link.is_crossing


def hand_overs_to_keep(
    placed: Sequence[Placed],
    relation: Relation,
    previous: Mapping[tuple[AppearanceKey, int], object],
) -> list[tuple[Unit, Unit]]:
    """Hand-overs of the last count that are still allowed, between stops that are still there.

    What was cut from an old track closes up: its neighbours on both sides then follow each other.
    """
    if not previous:
        return []
    old_tracks: dict[object, list[Unit]] = {}
    for index, p in enumerate(placed):
        for copy in range(1, p.appearance.copies + 1):
            stop = (p.appearance.key, copy)
            if stop in previous:
                old_tracks.setdefault(previous[stop], []).append((index, copy))
    return [
        (first, second)
        for units in old_tracks.values()
        for first, second in pairwise(units)
        if relation.can_follow(placed[first[0]], placed[second[0]])
    ]
