"""The smallest set of tracks that covers the appearances of one guise."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from scenes.core.counting.assignment import assign
from scenes.core.counting.handover import HandOver, Kept, hand_overs_to_keep
from scenes.core.counting.network import flow
from scenes.core.counting.relation import Link, Relation, State, state_entering, state_leaving
from scenes.core.plot import AppearanceKey, CostumeId, Placed

# Up to here the plain assignment answers in a few milliseconds; above, the flow is quicker.
SMALL_UNITS = 16

Solver = Callable[[Sequence[Placed], Relation, Kept], list[HandOver]]


@dataclass(frozen=True, slots=True)
class Cover:
    """A best cover of a set of appearances that no figure leaves or joins.

    `placed` in playing order; hand-overs by index into it. Figures = copies - units handed over.
    """

    placed: tuple[Placed, ...]
    hand_overs: tuple[HandOver, ...]

    @property
    def figures(self) -> int:
        """The number of tracks."""
        return count_units(self.placed) - sum(hand.units for hand in self.hand_overs)


def count_units(placed: Sequence[Placed]) -> int:
    """Copies of all the appearances together."""
    return sum(p.appearance.copies for p in placed)


def make_covers(
    placed: Sequence[Placed],
    relation: Relation,
    previous: Mapping[tuple[AppearanceKey, int], object],
    solver: Solver | None = None,
) -> list[Cover]:
    """Best covers of the separate parts of a guise, by first entrance.

    Two costumes (or rigs) that no chain of rules joins never share a figure, so each part is
    solved on its own; together they are a best cover of the guise. `solver` forces a method.

    The fewest tracks are a minimum path cover on the pairs as they stand: appearances less a
    maximum matching of exits to entrances (Fulkerson 1956, Note on Dilworth's decomposition
    theorem for partially ordered sets, Proc. AMS 7; Hopcroft and Karp 1973, SIAM J. Comput. 2).
    """
    covers = []
    for part in split_parts(placed, relation):
        kept = hand_overs_to_keep(part, relation, previous)
        if len(part) == 1:
            hand_overs: list[HandOver] = []
        elif solver is not None:
            hand_overs = solver(part, relation, kept)
        elif count_units(part) <= SMALL_UNITS:
            hand_overs = assign(part, relation, kept)
        else:
            hand_overs = flow(part, relation, kept)
        covers.append(Cover(part, tuple(hand_overs)))
    return covers


def split_parts(placed: Sequence[Placed], relation: Relation) -> list[tuple[Placed, ...]]:
    """Appearances in parts between which no figure can ever go, whatever the times."""
    kinds = dict.fromkeys(kind_of(p) for p in placed)
    root = {kind: kind for kind in kinds}

    def find(kind: State) -> State:
        while root[kind] != kind:
            root[kind] = root[root[kind]]
            kind = root[kind]
        return kind

    by_costume: dict[CostumeId | None, list[State]] = {}
    for kind in kinds:
        by_costume.setdefault(kind.costume, []).append(kind)
    pairs = [*((costume, costume) for costume in by_costume), *relation.rules]
    for first, second in pairs:
        for a in by_costume.get(first, ()):
            for b in by_costume.get(second, ()):
                if relation.link(a, b) is not None:
                    root[find(a)] = find(b)
    parts: dict[State, list[Placed]] = {}
    for p in placed:
        parts.setdefault(find(kind_of(p)), []).append(p)
    return [tuple(part) for part in parts.values()]


def kind_of(placed: Placed) -> State:
    """Costume and rig alone; the place never parts figures for good."""
    return State(placed.appearance.costume, placed.appearance.rig, "")


class Reach:
    """Spreads along allowed hand-overs from a set of exits, each entrance visited once.

    Entrances of one state stand in order of time, so those reached from an exit are a tail of
    them, and a tail is never walked twice: about appearances x states in all.
    """

    def __init__(self, placed: Sequence[Placed], relation: Relation) -> None:
        self.placed = placed
        self.relation = relation
        self.by_state: dict[State, list[int]] = {}
        for index, p in enumerate(placed):
            self.by_state.setdefault(state_entering(p), []).append(index)
        self.times = {
            state: [placed[index].enters_s for index in indices]
            for state, indices in self.by_state.items()
        }
        self.leaving = [state_leaving(p) for p in placed]
        self.onward: dict[State, list[tuple[State, Link]]] = {}
        self.start_anew()

    def start_anew(self) -> None:
        """Forget what was reached; what was found out about the states stays."""
        self.unseen = {state: len(indices) for state, indices in self.by_state.items()}
        self.reached: set[int] = set()

    def entrances_after(self, index: int) -> list[int]:
        """Entrances that the figure of this exit may take and that were not reached before."""
        found = []
        first = self.placed[index]
        for state, link in self._onward(self.leaving[index]):
            times, unseen = self.times[state], self.unseen[state]
            slot = bisect_left(times, first.leaves_s + link.need_s, hi=unseen)
            indices = self.by_state[state]
            if slot < unseen:
                found.extend(indices[slot:unseen])
                self.unseen[state] = slot
            if link.may_touch and link.need_s:
                start = bisect_left(times, first.leaves_s, hi=slot)
                found.extend(indices[start : bisect_right(times, first.leaves_s, hi=slot)])
        if not found:
            return found
        fresh = [j for j in dict.fromkeys(found) if j not in self.reached]
        self.reached.update(fresh)
        return fresh

    def _onward(self, leaving: State) -> list[tuple[State, Link]]:
        """States that a figure may enter in after leaving in this one."""
        if leaving not in self.onward:
            links = ((state, self.relation.link(leaving, state)) for state in self.by_state)
            self.onward[leaving] = [(state, link) for state, link in links if link is not None]
        return self.onward[leaving]


def find_witness(cover: Cover, relation: Relation) -> tuple[int, ...] | None:
    """Appearances of which no two can share a figure, as many copies as the cover has tracks.

    From the matching, by Koenig's theorem: exits and entrances that a smallest vertex cover
    leaves free on both sides. No two of these can follow directly; where none is reached from
    another through a third either, they prove the number (Dilworth 1950, A decomposition theorem
    for partially ordered sets, Annals of Mathematics 51). None where there is no such proof,
    which happens only where the pairs are not transitive.
    """
    placed = cover.placed
    given = [0] * len(placed)
    takers: list[list[int]] = [[] for _ in placed]
    for hand in cover.hand_overs:
        given[hand.first] += hand.units
        takers[hand.second].append(hand.first)
    open_exits = [i for i, p in enumerate(placed) if given[i] < p.appearance.copies]
    exits = set(open_exits)
    reach = Reach(placed, relation)
    while open_exits:
        for j in reach.entrances_after(open_exits.pop()):
            fresh = [i for i in takers[j] if i not in exits]
            exits.update(fresh)
            open_exits.extend(fresh)
    witness = tuple(i for i in sorted(exits) if i not in reach.reached)
    if sum(placed[i].appearance.copies for i in witness) != cover.figures:
        return None
    return witness if _apart_for_good(witness, reach) else None


def _apart_for_good(witness: tuple[int, ...], reach: Reach) -> bool:
    """Whether no appearance of the witness comes after another on any run of hand-overs."""
    reach.start_anew()
    to_do = list(witness)
    while to_do:
        to_do.extend(reach.entrances_after(to_do.pop()))
    return reach.reached.isdisjoint(witness)
