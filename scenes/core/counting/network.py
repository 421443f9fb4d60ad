"""Hand-overs of many appearances: a cheapest flow through pools of waiting figures.

Figures that wait in one costume, rig and place are alike, so they stand in one pool; pools are
chained in time. Arcs then grow with the appearances and the pairs of pools, not with the square
of the appearances. All arcs lead from a lower to a higher node, so that a flow is taken apart in
one sweep.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias

from scenes.core.counting.cheapest_flow import cheapest_flow
from scenes.core.counting.handover import HandOver, Kept, Weights
from scenes.core.counting.relation import Link, Relation, State, state_entering, state_leaving
from scenes.core.plot import Placed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times: TypeAlias = NDArray[np.int64]

Gate: TypeAlias = tuple[State, int]  # a state at one second


def flow(placed: Sequence[Placed], relation: Relation, kept: Kept) -> list[HandOver]:
    """The hand-overs of a best cover, by a flow from exits to entrances, exact.

    The greatest flow is the most hand-overs, so the fewest figures; of those the cheapest has the
    fewest changes, then crossings, then most of `kept` again. n appearances in s states need at
    most 4 n nodes and n (3 + s) arcs.
    """
    network = _lay_out(placed, relation, kept)
    return network.take_apart(network.solve())


def pooled_arcs(
    placed: Sequence[Placed], relation: Relation
) -> tuple[list[int], list[int], list[int], list[int], int, int, int]:
    """The pooled network as plain columns, to measure other solvers on: tails, heads, room and
    costs of its arcs, the number of nodes, source and sink."""
    network = _lay_out(placed, relation, ())
    arcs = network.arcs
    ends = (network.nodes, network.source, network.sink)
    return arcs.tails, arcs.heads, arcs.room, arcs.costs, *ends


def _lay_out(placed: Sequence[Placed], relation: Relation, kept: Kept) -> _Network:
    links = _links(placed, relation)
    weights = Weights.of(
        sum(p.appearance.copies for p in placed),
        len(kept),
        has_changes=any(link.is_change for _, _, link in links),
        has_crossings=any(link.is_crossing for _, _, link in links),
    )
    network = _Network(placed, kept, weights)
    network.build(links, relation)
    return network


def _links(placed: Sequence[Placed], relation: Relation) -> list[tuple[State, State, Link]]:
    """Every pair of pools that a figure can go between."""
    leaving = dict.fromkeys(state_leaving(p) for p in placed)
    entering = dict.fromkeys(state_entering(p) for p in placed)
    found = ((a, b, relation.link(a, b)) for a in leaving for b in entering)
    return [(a, b, link) for a, b, link in found if link is not None]


@dataclass(slots=True)
class _Pool:
    """Nodes of one state, one for each time that something happens, chained in time."""

    times: Times
    first_node: int
    members: list[list[int]]  # appearances at each time

    def node(self, slot: int) -> int:
        return self.first_node + slot

    @property
    def last_node(self) -> int:
        return self.first_node + len(self.members) - 1


@dataclass(slots=True)
class _Arcs:
    """Arcs in the order they were added, as columns."""

    tails: list[int] = field(default_factory=list)
    heads: list[int] = field(default_factory=list)
    room: list[int] = field(default_factory=list)
    costs: list[int] = field(default_factory=list)

    def add(self, tail: int, head: int, room: int, cost: int = 0) -> None:
        self.tails.append(tail)
        self.heads.append(head)
        self.room.append(room)
        self.costs.append(cost)


class _Network:
    """One flow problem: exits supply figures, entrances ask for them.

    Nodes in order: the source; exits of their own (those with a hand-over to keep); gates where
    figures of one pool come off at one second and another may go on at once; waiting pools;
    arriving pools; gates; entrances of their own; the sink.
    """

    def __init__(self, placed: Sequence[Placed], kept: Kept, weights: Weights) -> None:
        self.placed = placed
        self.copies = [p.appearance.copies for p in placed]
        self.units = sum(self.copies)
        self.kept = Counter((first[0], second[0]) for first, second in kept)
        self.weights = weights
        # A hand-over that is not one to keep costs 1 more, so that no cost is below 0.
        self.stray = int(bool(self.kept))
        self.arcs = _Arcs()
        self.source = 0
        self.sink = 0
        self.nodes = 1
        self.supplied_by: dict[int, list[int]] = {}
        self.asked_by: dict[int, list[int]] = {}

    def build(self, links: list[tuple[State, State, Link]], relation: Relation) -> None:
        """Lay out nodes, then arcs."""
        own_out = self._own_nodes({i for i, _ in self.kept})
        touches = self._touches(links, relation)
        gates_out = self._gate_nodes({out for out, _ in touches})
        waiting = self._pools(leaving=True)
        arriving = self._pools(leaving=False)
        gates_in = self._gate_nodes({into for _, into in touches})
        own_in = self._own_nodes({j for _, j in self.kept})
        self.sink = self._new_nodes(1)
        self._lay_exits(waiting, own_out, gates_out)
        self._lay_entrances(arriving, own_in, gates_in)
        for out, into in touches:
            self.arcs.add(gates_out[out], gates_in[into], self.units, self.stray)
        for leaving, entering, link in links:
            self._lay_link(waiting[leaving], arriving[entering], link)
        for (i, j), room in self.kept.items():
            old = relation.link(state_leaving(self.placed[i]), state_entering(self.placed[j]))
            assert old is not None  # only hand-overs that are allowed are kept
            self.arcs.add(own_out[i], own_in[j], room, self.weights.of_link(old))

    def solve(self) -> list[int]:
        """Figures on each arc: the most hand-overs at the least cost."""
        arcs = self.arcs
        return cheapest_flow(
            arcs.tails, arcs.heads, arcs.room, arcs.costs, self.nodes, self.source, self.sink
        )

    def take_apart(self, flows: list[int]) -> list[HandOver]:
        """Which exit feeds which entrance. Of those that wait, the last to come off goes first."""
        tails, heads = self.arcs.tails, self.arcs.heads
        out_arcs: list[list[int]] = [[] for _ in range(self.nodes)]
        supplied = [0] * self.nodes
        asked = [0] * self.nodes
        for arc, amount in enumerate(flows):
            if tails[arc] == self.source:
                supplied[heads[arc]] = amount
            elif heads[arc] == self.sink:
                asked[tails[arc]] = amount
            elif amount:
                out_arcs[tails[arc]].append(arc)
        stacks: list[list[tuple[int, int]]] = [[] for _ in range(self.nodes)]
        found: Counter[tuple[int, int]] = Counter()
        for node in range(self.nodes):
            stack = stacks[node]
            stack.extend(self._share(self.supplied_by.get(node, ()), supplied[node]))
            for j, wanted in self._share(self.asked_by.get(node, ()), asked[node]):
                for i, amount in _pop(stack, wanted):
                    found[i, j] += amount
            # Entrances are served first; what is left waits on along the chain.
            for arc in sorted(out_arcs[node], key=heads.__getitem__, reverse=True):
                stacks[heads[arc]].extend(reversed(_pop(stack, flows[arc])))
        return [HandOver(i, j, amount) for (i, j), amount in sorted(found.items())]

    def _share(self, indices: Sequence[int], amount: int) -> list[tuple[int, int]]:
        """`amount` figures over appearances that are alike, each up to its copies."""
        shares = []
        for index in indices:
            share = min(amount, self.copies[index])
            if share:
                shares.append((index, share))
            amount -= share
        return shares

    # -- nodes -------------------------------------------------------------------------------

    def _new_nodes(self, count: int) -> int:
        first = self.nodes
        self.nodes += count
        return first

    def _own_nodes(self, indices: set[int]) -> dict[int, int]:
        first = self._new_nodes(len(indices))
        return {i: first + n for n, i in enumerate(sorted(indices))}

    def _gate_nodes(self, gates: set[Gate]) -> dict[Gate, int]:
        ordered = sorted(gates, key=lambda gate: (gate[1], repr(gate[0])))
        first = self._new_nodes(len(ordered))
        return {gate: first + n for n, gate in enumerate(ordered)}

    def _pools(self, *, leaving: bool) -> dict[State, _Pool]:
        import numpy as np

        grouped: dict[State, dict[int, list[int]]] = {}
        for i, p in enumerate(self.placed):
            state = state_leaving(p) if leaving else state_entering(p)
            time_s = p.leaves_s if leaving else p.enters_s
            grouped.setdefault(state, {}).setdefault(time_s, []).append(i)
        pools = {}
        for state, by_time in grouped.items():
            times = sorted(by_time)
            pools[state] = _Pool(
                np.array(times, dtype=np.int64),
                self._new_nodes(len(times)),
                [by_time[time_s] for time_s in times],
            )
        return pools

    def _touches(
        self, links: list[tuple[State, State, Link]], relation: Relation
    ) -> list[tuple[Gate, Gate]]:
        """Gates between which a figure goes on in the second it came off, without the reset."""
        if not relation.reset_s:
            return []
        off: dict[int, set[State]] = {}
        on: dict[int, set[State]] = {}
        for p in self.placed:
            off.setdefault(p.leaves_s, set()).add(state_leaving(p))
            on.setdefault(p.enters_s, set()).add(state_entering(p))
        touching = {(a, b) for a, b, link in links if link.may_touch}
        return [
            ((a, time_s), (b, time_s))
            for time_s in sorted(off.keys() & on.keys())
            for a in off[time_s]
            for b in on[time_s]
            if (a, b) in touching
        ]

    # -- arcs --------------------------------------------------------------------------------

    def _lay_exits(
        self, waiting: dict[State, _Pool], own: dict[int, int], gates: dict[Gate, int]
    ) -> None:
        """Exits feed their gate where there is one, and the gate its pool."""
        for state, pool in waiting.items():
            self._chain(pool)
            for slot, members in enumerate(pool.members):
                node = pool.node(slot)
                gate = gates.get((state, int(pool.times[slot])))
                if gate is not None:
                    self.arcs.add(gate, node, self.units)
                    node = gate
                for i in members:
                    if i in own:
                        self.arcs.add(own[i], node, self.copies[i])
                    self.supplied_by.setdefault(own.get(i, node), []).append(i)
        for node, members in self.supplied_by.items():
            self.arcs.add(self.source, node, sum(self.copies[i] for i in members))

    def _lay_entrances(
        self, arriving: dict[State, _Pool], own: dict[int, int], gates: dict[Gate, int]
    ) -> None:
        """A pool serves its gates, a gate its entrances."""
        for state, pool in arriving.items():
            self._chain(pool)
            for slot, members in enumerate(pool.members):
                node = pool.node(slot)
                gate = gates.get((state, int(pool.times[slot])))
                if gate is not None:
                    self.arcs.add(node, gate, self.units)
                    node = gate
                for j in members:
                    if j in own:
                        self.arcs.add(node, own[j], self.copies[j])
                    self.asked_by.setdefault(own.get(j, node), []).append(j)
        for node, members in self.asked_by.items():
            self.arcs.add(node, self.sink, sum(self.copies[j] for j in members))

    def _chain(self, pool: _Pool) -> None:
        for node in range(pool.first_node, pool.last_node):
            self.arcs.add(node, node + 1, self.units)

    def _lay_link(self, out: _Pool, into: _Pool, link: Link) -> None:
        """Arcs from the last time in `out` that is early enough to each time in `into`.

        One arc for each such time is enough: later entrances are reached along the chain.
        """
        import numpy as np

        slots: Any = np.searchsorted(out.times, into.times - link.need_s, side="right") - 1
        is_new = np.ones(len(slots), dtype=bool)
        is_new[1:] = slots[1:] != slots[:-1]
        chosen = np.flatnonzero(is_new & (slots >= 0))
        self.arcs.tails.extend((slots[chosen] + out.first_node).tolist())
        self.arcs.heads.extend((chosen + into.first_node).tolist())
        self.arcs.room.extend([self.units] * len(chosen))
        self.arcs.costs.extend([self.weights.of_link(link) + self.stray] * len(chosen))


def _pop(stack: list[tuple[int, int]], wanted: int) -> list[tuple[int, int]]:
    """Take `wanted` figures off the top of a stack of (where from, how many)."""
    taken = []
    while wanted:
        origin, amount = stack.pop()
        if amount > wanted:
            stack.append((origin, amount - wanted))
            amount = wanted
        taken.append((origin, amount))
        wanted -= amount
    return taken
