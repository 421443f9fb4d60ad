"""Serial generation: steps are taken in order and each gets its earliest place among the others.

Kolisch, European Journal of Operational Research 90 (1996) 320-333: the plans it can make (active
ones) always hold a shortest one, whatever the order of the steps leads to.
"""

from __future__ import annotations

import heapq

from builds.core.planning.place import clear, fit, may_use, take
from builds.core.planning.sheet import (
    HORIZON,
    OPT_AT,
    PRED,
    PRED_AT,
    PRED_WAIT,
    RELEASE,
    SUCC,
    SUCC_AT,
    N,
)
from builds.core.planning.tables import Row


def feasible_order(t: Row, key: Row, order: Row, left: Row) -> None:
    """Fill `order` with steps by rising key, none before one it waits for. O(n log n).

    `left` is scratch, one a step.
    """
    heap = [(0, 0)]
    heap.pop()
    for i in range(t[N]):
        left[i] = t[t[PRED_AT] + i + 1] - t[t[PRED_AT] + i]
        if left[i] == 0:
            heapq.heappush(heap, (key[i], i))
    count = 0
    while len(heap) > 0:
        _, i = heapq.heappop(heap)
        order[count] = i
        count += 1
        for x in range(t[t[SUCC_AT] + i], t[t[SUCC_AT] + i + 1]):
            j = t[t[SUCC] + x]
            left[j] -= 1
            if left[j] == 0:
                heapq.heappush(heap, (key[j], j))


def insert_all(
    t: Row, order: Row, bias: Row, forced: Row, start: Row, finish: Row, choice: Row, kept: int
) -> int:
    """Place all steps in `order`; -1 when done, else the step that found no place.

    A person is chosen by the earliest finish, where `bias` (minutes, one an option) is what a
    finish with that option must be better by. `forced` holds an option a step, or -1. The first
    `kept` steps stay where `start`, `finish` and `choice` have them.
    """
    clear(t)
    horizon = t[HORIZON]
    for x in range(kept):
        i = order[x]
        take(t, i, choice[i], start[i], finish[i])
    for x in range(kept, t[N]):
        i = order[x]
        ready = t[t[RELEASE] + i]
        for y in range(t[t[PRED_AT] + i], t[t[PRED_AT] + i + 1]):
            at = finish[t[t[PRED] + y]] + t[t[PRED_WAIT] + y]
            if at > ready:
                ready = at
        best = -1
        best_s = 0
        best_f = 0
        limit = horizon
        options_from = t[t[OPT_AT] + i]
        options_end = t[t[OPT_AT] + i + 1]
        if forced[i] >= 0:
            options_from = forced[i]
            options_end = options_from + 1
        for o in range(options_from, options_end):
            if not may_use(t, i, o):
                continue
            most = horizon if best < 0 else min(horizon, limit - bias[o])
            s, f = fit(t, i, o, ready, horizon, most)
            if f >= 0 and (best < 0 or f + bias[o] < limit):
                best = o
                best_s = s
                best_f = f
                limit = f + bias[o]
        if best < 0:
            return i
        take(t, i, best, best_s, best_f)
        start[i] = best_s
        finish[i] = best_f
        choice[i] = best
    return -1
