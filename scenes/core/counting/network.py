"""Hand-overs of many appearances: a minimum-cost flow through pools of waiting figures.

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

from scenes.core.counting.handover import HandOver, Kept, Weights
from scenes.core.counting.relation import Link, Relation, State, state_entering, state_leaving
from scenes.core.plot import Placed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times: TypeAlias = NDArray[np.int64]

NEW = -1  # marks a figure that comes from nowhere: the start of a track


def flow(placed: Sequence[Placed], relation: Relation, kept: Kept) -> list[HandOver]:
    """The hand-overs of a best cover, by minimum-cost flow, exact.

    The aims, in order: fewest figures, changes, crossings, then most of `kept` again. With n
    appearances and p pairs of pools about n + p log n to build and some n arcs a pool to solve.
    """
    links = _links(placed, relation)
    weights = Weights.of(
        sum(p.appearance.copies for p in placed),
        len(kept),
        has_changes=any(link.is_change for _, _, link in links),
        has_crossings=any(link.is_crossing for _, _, link in links),
    )
    network = _Network(placed, kept)
    network.build(links, relation, weights)
    return network.take_apart(network.solve(weights))


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

    Nodes in order: the source of new figures; exits of their own (those with a hand-over to
    keep); gates where figures of one pool come off at one second and another may go on at once;
    waiting pools; arriving pools; gates; entrances of their own; the end.
    """

    def __init__(self, placed: Sequence[Placed], kept: Kept) -> None:
        self.placed = placed
        self.copies = [p.appearance.copies for p in placed]
        self.units = sum(self.copies)
        self.kept = Counter((first[0], second[0]) for first, second in kept)
        self.arcs = _Arcs()
        self.source = 0
        self.nodes = 1
        self.supply: dict[int, int] = {}
        self.supplied_by: dict[int, list[int]] = {}
        self.asked_by: dict[int, list[int]] = {}

    def build(
        self, links: list[tuple[State, State, Link]], relation: Relation, weights: Weights
    ) -> None:
        """Lay out nodes, then arcs."""
        own_out = self._own_nodes({i for i, _ in self.kept})
        touches = self._touches(links, relation)
        gates_out = self._gate_nodes({pair[0] for pair in touches})
        waiting = self._pools(leaving=True)
        arriving = self._pools(leaving=False)
        gates_in = self._gate_nodes({pair[1] for pair in touches})
        own_in = self._own_nodes({j for _, j in self.kept})
        self.end = self._new_nodes(1)
        self._lay_exits(waiting, own_out, gates_out)
        self._lay_entrances(arriving, own_in, gates_in, weights)
        for (out, into), cost in touches.items():
            self.arcs.add(gates_out[out], gates_in[into], self.units, cost)
        for leaving, entering, link in links:
            self._lay_link(waiting[leaving], arriving[entering], link, weights)
        for (i, j), room in self.kept.items():
            old = relation.link(state_leaving(self.placed[i]), state_entering(self.placed[j]))
            assert old is not None  # only hand-overs that are allowed are kept
            self.arcs.add(own_out[i], own_in[j], room, weights.of_link(old) - 1)
        self.arcs.add(self.source, self.end, self.units)

    def solve(self, weights: Weights) -> list[int]:
        """Figures on each arc, at the least total cost; exact or an error."""
        flows = self._run(self.arcs.costs, self.units)
        if flows is None:
            flows = self._solve_in_two_steps(weights)
        return flows

    def take_apart(self, flows: list[int]) -> list[HandOver]:
        """Which exit feeds which entrance. Of those that wait, the last to come off goes first."""
        out_arcs: list[list[int]] = [[] for _ in range(self.nodes)]
        for arc, amount in enumerate(flows):
            if amount:
                out_arcs[self.arcs.tails[arc]].append(arc)
        heads = self.arcs.heads
        stacks: list[list[tuple[int, int]]] = [[] for _ in range(self.nodes)]
        stacks[self.source].append((NEW, self.units))
        found: Counter[tuple[int, int]] = Counter()
        for node in range(self.nodes):
            stack = stacks[node]
            stack.extend((i, self.copies[i]) for i in self.supplied_by.get(node, ()))
            for j in self.asked_by.get(node, ()):
                for i, amount in _pop(stack, self.copies[j]):
                    if i != NEW:
                        found[i, j] += amount
            # Entrances are served first; what is left waits on, and ends only if nothing comes.
            arcs = sorted(out_arcs[node], key=lambda arc: (heads[arc] == self.end, -heads[arc]))
            for arc in arcs:
                stacks[heads[arc]].extend(reversed(_pop(stack, flows[arc])))
        return [HandOver(i, j, amount) for (i, j), amount in sorted(found.items())]

    def _run(self, costs: Sequence[int], new_figures: int) -> list[int] | None:
        """One run of the solver; None where the costs are beyond its numbers."""
        import numpy as np
        from ortools.graph.python import min_cost_flow

        solver = min_cost_flow.SimpleMinCostFlow()
        arcs = solver.add_arcs_with_capacity_and_unit_cost(
            np.array(self.arcs.tails, dtype=np.int32),
            np.array(self.arcs.heads, dtype=np.int32),
            np.array(self.arcs.room, dtype=np.int64),
            np.array(costs, dtype=np.int64),
        )
        supply = {**self.supply, self.source: new_figures, self.end: -new_figures}
        solver.set_nodes_supplies(
            np.array(list(supply), dtype=np.int32), np.array(list(supply.values()), dtype=np.int64)
        )
        status = solver.solve()
        if status == solver.OPTIMAL:
            flows: list[int] = solver.flows(arcs).tolist()
            return flows
        if status in (solver.BAD_COST_RANGE, solver.BAD_CAPACITY_RANGE):
            return None
        raise RuntimeError(f"the count could not be solved: {status}")

    def _solve_in_two_steps(self, weights: Weights) -> list[int]:
        """First the figures alone, then the lower aims with just that many figures."""
        figures_only = [1 if cost >= weights.figure else 0 for cost in self.arcs.costs]
        first = self._run(figures_only, self.units)
        if first is None:
            raise OverflowError(f"{self.units} appearances of one guise are too many to count")
        new = sum(amount for amount, cost in zip(first, figures_only, strict=True) if cost)
        lower = [0 if cost >= weights.figure else cost for cost in self.arcs.costs]
        second = self._run(lower, new)
        if second is None:
            raise OverflowError(f"{self.units} appearances of one guise are too many to count")
        return second

    # -- nodes -------------------------------------------------------------------------------

    def _new_nodes(self, count: int) -> int:
        first = self.nodes
        self.nodes += count
        return first

    def _own_nodes(self, indices: set[int]) -> dict[int, int]:
        first = self._new_nodes(len(indices))
        return {i: first + n for n, i in enumerate(sorted(indices))}

    def _gate_nodes(self, gates: set[tuple[State, int]]) -> dict[tuple[State, int], int]:
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
    ) -> dict[tuple[tuple[State, int], tuple[State, int]], int]:
        """Gates between which a figure goes on in the second it came off, without the reset."""
        if not relation.reset_s:
            return {}
        off: dict[int, set[State]] = {}
        on: dict[int, set[State]] = {}
        for p in self.placed:
            off.setdefault(p.leaves_s, set()).add(state_leaving(p))
            on.setdefault(p.enters_s, set()).add(state_entering(p))
        touching = {(a, b) for a, b, link in links if link.may_touch}
        return {
            ((a, time_s), (b, time_s)): 0
            for time_s in sorted(off.keys() & on.keys())
            for a in off[time_s]
            for b in on[time_s]
            if (a, b) in touching
        }

    # -- arcs --------------------------------------------------------------------------------

    def _lay_exits(
        self,
        waiting: dict[State, _Pool],
        own: dict[int, int],
        gates: dict[tuple[State, int], int],
    ) -> None:
        """Exits feed their gate where there is one, the gate its pool, the pool the end."""
        for state, pool in waiting.items():
            for slot, members in enumerate(pool.members):
                node = pool.node(slot)
                gate = gates.get((state, int(pool.times[slot])))
                if gate is not None:
                    self.arcs.add(gate, node, self.units)
                    node = gate
                for i in members:
                    if i in own:
                        self.arcs.add(own[i], node, self.copies[i])
                    self._put(own.get(i, node), i, self.supplied_by, self.copies[i])
            self._chain(pool)
            self.arcs.add(pool.last_node, self.end, self.units)

    def _lay_entrances(
        self,
        arriving: dict[State, _Pool],
        own: dict[int, int],
        gates: dict[tuple[State, int], int],
        weights: Weights,
    ) -> None:
        """A pool serves its gates, a gate its entrances; new figures may join at the start."""
        for state, pool in arriving.items():
            self.arcs.add(self.source, pool.first_node, self.units, weights.figure)
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
                    self._put(own.get(j, node), j, self.asked_by, -self.copies[j])

    def _put(self, node: int, index: int, users: dict[int, list[int]], supply: int) -> None:
        users.setdefault(node, []).append(index)
        self.supply[node] = self.supply.get(node, 0) + supply

    def _chain(self, pool: _Pool) -> None:
        for node in range(pool.first_node, pool.last_node):
            self.arcs.add(node, node + 1, self.units)

    def _lay_link(self, out: _Pool, into: _Pool, link: Link, weights: Weights) -> None:
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
        self.arcs.costs.extend([weights.of_link(link)] * len(chosen))


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
