"""The greatest flow through a network at the least cost, exact in whole numbers.

The primal-dual method (Ford and Fulkerson 1962, Flows in Networks, III.3): shortest ways by cost
first, as much flow as fits along all of them at once, then the next shortest. One round for each
different length of way; a costume plot has few, because most hand-overs cost nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Integers: TypeAlias = NDArray[np.int64]

LARGEST_COST = 2**52  # ways are measured in doubles, exact up to here


def cheapest_flow(
    tails: Sequence[int],
    heads: Sequence[int],
    room: Sequence[int],
    costs: Sequence[int],
    nodes: int,
    source: int,
    sink: int,
) -> list[int]:
    """Flow on each arc: the most from `source` to `sink`, and of those the cheapest.

    Arcs from `tails` to `heads` with `room` >= 1 and whole `costs` >= 0; no two arcs join the
    same pair of nodes, in either direction. Raises OverflowError where a way could cost more
    than doubles hold exactly.

    >>> cheapest_flow([0, 0, 1, 2], [1, 2, 3, 3], [2, 1, 1, 2], [0, 5, 0, 0], 4, 0, 3)
    [1, 1, 1, 1]
    """
    if max(costs, default=0) * nodes >= LARGEST_COST:
        raise OverflowError(f"costs up to {max(costs)} over {nodes} nodes are not exact")
    rounds = _Rounds(tails, heads, room, costs, nodes, source, sink)
    while rounds.advance():
        pass
    flows: list[int] = rounds.flow.tolist()
    return flows


class _Rounds:
    """Arcs both ways, sorted once; each round picks those that have room left."""

    def __init__(
        self,
        tails: Sequence[int],
        heads: Sequence[int],
        room: Sequence[int],
        costs: Sequence[int],
        nodes: int,
        source: int,
        sink: int,
    ) -> None:
        import numpy as np

        self.nodes, self.source, self.sink = nodes, source, sink
        tail, head = np.array(tails, dtype=np.int64), np.array(heads, dtype=np.int64)
        cost = np.array(costs, dtype=np.int64)
        count = len(tail)
        both_tail, both_head = np.concatenate([tail, head]), np.concatenate([head, tail])
        order = np.lexsort((both_head, both_tail))
        self.tail, self.head = both_tail[order], both_head[order]
        self.cost = np.concatenate([cost, -cost])[order]
        self.arc = order % max(count, 1)
        self.is_forward = order < count
        self.room = np.array(room, dtype=np.int64)
        self.flow: Integers = np.zeros(count, dtype=np.int64)
        self.price: Integers = np.zeros(nodes, dtype=np.int64)

    def advance(self) -> bool:
        """One round; False when no way is left."""
        import numpy as np
        from scipy.sparse.csgraph import dijkstra, maximum_flow

        left = np.where(self.is_forward, (self.room - self.flow)[self.arc], self.flow[self.arc])
        reduced = self.cost + self.price[self.tail] - self.price[self.head]
        open_arcs = np.flatnonzero(left > 0)
        ways = self._matrix(open_arcs, reduced[open_arcs].astype(np.float64))
        length = dijkstra(ways, indices=self.source)
        if not np.isfinite(length[self.sink]):
            return False
        self.price += np.minimum(length, length[self.sink]).astype(np.int64)
        reduced = self.cost + self.price[self.tail] - self.price[self.head]
        tight = np.flatnonzero((left > 0) & (reduced == 0))
        found = maximum_flow(self._matrix(tight, left[tight]), self.source, self.sink)
        self._add(found.flow)
        return True

    def _add(self, found: Any) -> None:
        """Add a flow given as net amounts from node to node."""
        import numpy as np

        net = found.tocoo()
        forward = np.flatnonzero(self.is_forward)
        keys = self.tail[forward] * self.nodes + self.head[forward]  # sorted, as the arcs are
        wanted = net.row.astype(np.int64) * self.nodes + net.col
        place = np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)
        hit = keys[place] == wanted
        self.flow[self.arc[forward[place[hit]]]] += net.data[hit]

    def _matrix(self, chosen: Integers, values: Any) -> Any:
        import numpy as np
        from scipy.sparse import csr_matrix

        starts = np.zeros(self.nodes + 1, dtype=np.int32)
        np.cumsum(np.bincount(self.tail[chosen], minlength=self.nodes), out=starts[1:])
        heads = self.head[chosen].astype(np.int32)
        if values.dtype == np.int64:
            values = values.astype(np.int32)
        return csr_matrix((values, heads, starts), shape=(self.nodes, self.nodes))
