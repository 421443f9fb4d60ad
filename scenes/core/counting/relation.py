"""Which appearance the same figure may play next: the rule on pairs, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from scenes.core.plot import (
    NOWHERE,
    PLAIN,
    ChangeRule,
    CostumeId,
    GuiseId,
    Placed,
    Plot,
)


class State(NamedTuple):
    """How a figure stands where it comes off or goes on: costume, rig and place."""

    costume: CostumeId | None
    rig: str
    place: str


@dataclass(frozen=True, slots=True)
class Link:
    """What lies between two states: the wait it needs, and what a figure does in it.

    `may_touch`: an exit and an entrance at the same second need no wait at all.
    """

    need_s: int
    may_touch: bool
    is_change: bool
    is_crossing: bool


class Relation:
    """The rule on pairs for one guise of a plot.

    The same figure may play j after i when both are of the guise, the rigs agree (the same, or
    one of them plain and the other a rig that plays plain), the costumes agree (the same, or a
    change rule from the one to the other; rules do not chain), and leaves_i + need <= enters_j.
    The need is the rule's time, plus the way from i's exit to j's entrance when both places are
    said and differ, plus the reset. The reset drops out when i and j touch in one costume at one
    place, or with either place not said.

    An undecided costume agrees with another undecided one and with nothing else: it is counted
    as one costume of its own that nobody has named yet.

    The rule is taken as written, pair by pair: it need not be transitive, and nothing is closed.
    """

    def __init__(self, plot: Plot, guise: GuiseId) -> None:
        self.guise = guise
        self.reset_s = plot.reset_s
        self.crossing_s = plot.crossing_s
        self.walks = plot.walks
        self.plain_rigs = frozenset(rig for owner, rig in plot.plain_rigs if owner == guise)
        self.rules: dict[tuple[CostumeId, CostumeId], ChangeRule] = {
            (rule.from_costume, rule.to_costume): rule
            for rule in plot.rules
            if rule.guise == guise and rule.from_costume != rule.to_costume
        }
        self._links: dict[tuple[State, State], Link | None] = {}

    def link(self, leaving: State, entering: State) -> Link | None:
        """What lies between two states, or None where no figure can go from one to the other."""
        pair = (leaving, entering)
        if pair not in self._links:
            self._links[pair] = self._make_link(leaving, entering)
        return self._links[pair]

    def can_follow(self, first: Placed, second: Placed) -> bool:
        """Whether one figure may play `first` and then `second`."""
        if first.appearance.guise != self.guise or second.appearance.guise != self.guise:
            return False
        link = self.link(state_leaving(first), state_entering(second))
        if link is None:
            return False
        wait_s = second.enters_s - first.leaves_s
        return wait_s >= link.need_s or (wait_s == 0 and link.may_touch)

    def rule_between(self, first: Placed, second: Placed) -> ChangeRule | None:
        """The change rule that a hand-over uses, None where the costume stays."""
        a, b = first.appearance.costume, second.appearance.costume
        return None if a == b or a is None or b is None else self.rules.get((a, b))

    def rigs_agree(self, first: str, second: str) -> bool:
        """The same rig, or one plain and the other a rig that plays plain."""
        if first == second:
            return True
        other = second if first == PLAIN else first if second == PLAIN else None
        return other is not None and other in self.plain_rigs

    def walk_s(self, leaving: str, entering: str) -> int:
        """Seconds from one place to another; 0 where they are one or either is not said."""
        if leaving == entering or NOWHERE in (leaving, entering):
            return 0
        return self.walks.get((leaving, entering), self.crossing_s)

    def _make_link(self, leaving: State, entering: State) -> Link | None:
        if not self.rigs_agree(leaving.rig, entering.rig):
            return None
        change_s = 0
        is_change = leaving.costume != entering.costume
        if is_change:
            if leaving.costume is None or entering.costume is None:
                return None
            rule = self.rules.get((leaving.costume, entering.costume))
            if rule is None:
                return None
            change_s = rule.change_s
        is_crossing = leaving.place != entering.place and NOWHERE not in (
            leaving.place,
            entering.place,
        )
        walk_s = self.walk_s(leaving.place, entering.place)
        return Link(
            need_s=change_s + walk_s + self.reset_s,
            may_touch=not is_change and not is_crossing,
            is_change=is_change,
            is_crossing=is_crossing,
        )


def state_leaving(placed: Placed) -> State:
    """How a figure comes off."""
    a = placed.appearance
    return State(a.costume, a.rig, a.to_place)


def state_entering(placed: Placed) -> State:
    """How a figure goes on."""
    a = placed.appearance
    return State(a.costume, a.rig, a.from_place)


def can_follow(plot: Plot, first: Placed, second: Placed) -> bool:
    """Whether, in this plot, one figure may play `first` and then `second`."""
    return Relation(plot, first.appearance.guise).can_follow(first, second)
