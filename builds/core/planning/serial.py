"""Serial generation: steps are taken in order and each gets its earliest place among the others.

Kolisch, European Journal of Operational Research 90 (1996) 320-333: the plans it can make (active
ones) always hold a shortest one, whatever the order of the steps leads to.
"""

from __future__ import annotations

import heapq

from builds.core.planning.place import Room, clear, fit, may_use, take
from builds.core.planning.tables import Row, Tables


def feasible_order(t: Tables, key: Row, order: Row, left: Row) -> None:
    """Fill `order` with steps by rising key, none before one it waits for. O(n log n).

    `left` is scratch, one a step.
    """
    heap = [(0, 0)]
    heap.pop()
    for i in range(t.n):
        left[i] = t.pred_at[i + 1] - t.pred_at[i]
        if left[i] == 0:
            heapq.heappush(heap, (key[i], i))
    count = 0
    while len(heap) > 0:
        _, i = heapq.heappop(heap)
        order[count] = i
        count += 1
        for x in range(t.succ_at[i], t.succ_at[i + 1]):
            j = t.succ[x]
            left[j] -= 1
            if left[j] == 0:
                heapq.heappush(heap, (key[j], j))


def insert_all(
    t: Tables, room: Room, order: Row, bias: Row, forced: Row, start: Row, finish: Row, choice: Row
) -> int:
    """Place all steps in `order`; -1 when done, else the step that found no place.

    A person is chosen by the earliest finish, where `bias` (minutes, one an option) is what a
    finish with that option must be better by. `forced` holds an option a step, or -1.
    """
    clear(t, room)
    for x in range(t.n):
        i = order[x]
        ready = t.release[i]
        for y in range(t.pred_at[i], t.pred_at[i + 1]):
            at = finish[t.pred[y]] + t.pred_wait[y]
            if at > ready:
                ready = at
        best = -1
        best_s = 0
        best_f = 0
        limit = t.horizon
        options_from = t.opt_at[i]
        options_end = t.opt_at[i + 1]
        if forced[i] >= 0:
            options_from = forced[i]
            options_end = options_from + 1
        for o in range(options_from, options_end):
            if not may_use(t, room, i, o):
                continue
            most = limit if best < 0 else min(t.horizon, limit - bias[o])
            s, f = fit(t, room, i, o, ready, t.horizon, most)
            if f >= 0 and (best < 0 or f + bias[o] < best_f + bias[best]):
                best = o
                best_s = s
                best_f = f
                limit = f + bias[o]
        if best < 0:
            return int(i)
        take(t, room, i, best, best_s, best_f)
        start[i] = best_s
        finish[i] = best_f
        choice[i] = best
    return -1
