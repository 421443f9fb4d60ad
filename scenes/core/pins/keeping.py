"""Taking pins one by one: which hold together, and why one cannot be kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from scenes.core.counting import Previous, Relation, Stop, Track, say_tight
from scenes.core.counting.causes import explain_pair
from scenes.core.counting.matching import find_followers
from scenes.core.naming import Names
from scenes.core.pins.cover import Ask, PinnedCover, solve_pinned
from scenes.core.pins.values import Apart, More, Pin, Same, Unkept, breaks
from scenes.core.plot import GuiseId, Placed, Plot


@dataclass(slots=True)
class Grouping:
    """The pins of one guise that hold together so far."""

    guise: GuiseId
    placed: Sequence[Placed]
    relation: Relation
    pins: list[Pin] = field(default_factory=list)
    more: int = 0

    def groups(self, extra: Pin | None = None) -> tuple[list[set[Stop]], list[tuple[Stop, Stop]]]:
        """Stops that must be one figure, and pairs that must not be."""
        groups: list[set[Stop]] = []
        apart: list[tuple[Stop, Stop]] = []
        for pin in [*self.pins, *([extra] if extra else [])]:
            if isinstance(pin, Same):
                joined = {pin.first, pin.second}
                for group in [g for g in groups if g & joined]:
                    joined |= group
                    groups.remove(group)
                groups.append(joined)
            elif isinstance(pin, Apart):
                apart.append((pin.first, pin.second))
        return groups, apart

    def is_kept_by(self, tracks: Sequence[Track]) -> bool:
        """Whether these tracks honour everything already."""
        return not self.more and not any(
            isinstance(pin, Same | Apart) and breaks(pin, tracks) for pin in self.pins
        )

    def ask(self) -> Ask:
        """What the solver is asked for."""
        groups, apart = self.groups()
        return Ask(tuple(frozenset(group) for group in groups), tuple(apart), self.more)


class Keeper:
    """Takes pins one by one, leaving out those that cannot be kept."""

    def __init__(
        self, plot: Plot, by_guise: Mapping[GuiseId, Sequence[Placed]], say: Names
    ) -> None:
        self.plot = plot
        self.by_guise = by_guise
        self.say = say
        self.placed = {p.appearance.key: p for placed in by_guise.values() for p in placed}
        self.groupings: dict[GuiseId, Grouping] = {}
        self.unkept: list[Unkept] = []
        self.reach: dict[GuiseId, dict[object, set[object]]] = {}

    def take(self, pin: Pin) -> None:
        """Keep the pin, or note why not."""
        why = self._why_not(pin)
        if why:
            self.unkept.append(Unkept(pin, why))
            return
        grouping = self._grouping(self._guise_of(pin))
        if isinstance(pin, More):
            grouping.more += pin.figures
        grouping.pins.append(pin)

    def solve(self, grouping: Grouping, tracks: Sequence[Track], previous: Previous) -> PinnedCover:
        """The best tracks; pins that only together cannot be kept are left out, last ones first."""
        cover = solve_pinned(grouping.placed, grouping.relation, grouping.ask(), tracks, previous)
        if cover is not None:
            return cover
        pins, grouping.pins, grouping.more = grouping.pins, [], 0
        best = solve_pinned(grouping.placed, grouping.relation, grouping.ask(), tracks, previous)
        for pin in pins:
            grouping.pins.append(pin)
            grouping.more += pin.figures if isinstance(pin, More) else 0
            tried = solve_pinned(
                grouping.placed, grouping.relation, grouping.ask(), tracks, previous
            )
            if tried is None:
                grouping.pins.pop()
                others = "the other pins of " + self.say.guise(grouping.guise)
                self.unkept.append(
                    Unkept(pin, f"no way was found to keep it together with {others}")
                )
            else:
                best = tried
        assert best is not None  # without pins there is always a cover
        return best

    def _grouping(self, guise: GuiseId) -> Grouping:
        if guise not in self.groupings:
            self.groupings[guise] = Grouping(
                guise, self.by_guise[guise], Relation(self.plot, guise)
            )
        return self.groupings[guise]

    def _guise_of(self, pin: Pin) -> GuiseId:
        return pin.guise if isinstance(pin, More) else self._at(pin.first).appearance.guise

    def _at(self, stop: Stop) -> Placed:
        return self.placed[stop.key]

    def _why_not(self, pin: Pin) -> str:
        """Why the pin cannot be kept beside those before it; '' where nothing speaks against it."""
        if isinstance(pin, More):
            if pin.figures < 1:
                raise ValueError(f"figures of {pin!r} is {pin.figures}, fewer than 1")
            if pin.guise not in self.by_guise:
                return f"{self.say.guise(pin.guise)} is not in the plot"
            return ""
        for stop in (pin.first, pin.second):
            if stop.key not in self.placed:
                return "one of the two is no longer in the plot"
            if not 1 <= stop.copy <= self._at(stop).appearance.copies:
                return f"there is no copy {stop.copy} of {self._name(stop)} any more"
        if pin.first == pin.second:
            return "both are the same appearance"
        first, second = self._at(pin.first), self._at(pin.second)
        if first.appearance.guise != second.appearance.guise:
            if isinstance(pin, Apart):
                return "they are two guises, and never one figure"
            return "they are two guises: no figure plays both"
        grouping = self._grouping(first.appearance.guise)
        if isinstance(pin, Apart):
            groups, _ = grouping.groups()
            if any({pin.first, pin.second} <= group for group in groups):
                return "another pin makes them one figure"
            return ""
        return self._why_not_one(grouping, pin)

    def _why_not_one(self, grouping: Grouping, pin: Same) -> str:
        groups, apart = grouping.groups(pin)
        group = next(group for group in groups if pin.first in group)
        if any({one, two} <= group for one, two in apart):
            return "another pin keeps them apart"
        in_order = sorted(group, key=lambda stop: (self._at(stop).enters_s, stop.copy))
        for one, two in pairwise(in_order):
            first, second = self._at(one), self._at(two)
            if second.enters_s < first.leaves_s:
                return f"{self._name(one)} and {self._name(two)} are on at once"
            if second.appearance.key not in self._reached(grouping, first):
                return say_tight(explain_pair(first, second, grouping.relation), self.say)
        return ""

    def _reached(self, grouping: Grouping, first: Placed) -> set[object]:
        """Appearances that a figure may come to after this one, straight or through others."""
        known = self.reach.setdefault(grouping.guise, {})
        if not known:
            followers = find_followers(grouping.placed, grouping.relation)
            keys = [p.appearance.key for p in grouping.placed]
            for i in sorted(range(len(keys)), key=lambda n: -grouping.placed[n].leaves_s):
                known[keys[i]] = set().union(*({keys[j]} | known[keys[j]] for j in followers[i]))
        return known[first.appearance.key]

    def _name(self, stop: Stop) -> str:
        a = self._at(stop).appearance
        return f"{self.say.costume(a.costume)} in {self.say.scene(a.scene)}"
