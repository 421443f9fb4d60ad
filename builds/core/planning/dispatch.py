"""Event-driven planning: the clock goes forward, and whoever is free takes the next best step.

The parallel scheme of Kolisch, European Journal of Operational Research 90 (1996) 320-333, with
calendars. Somebody whose time is scarce (the lead) takes what others could do only after it has
waited for that option's bias.
"""

from __future__ import annotations

import heapq
from typing import Any

from builds.core.planning.place import clear, fit, may_use, take
from builds.core.planning.sheet import (
    BEAT,
    BEATS,
    BUSY_N,
    BUSY_TO,
    CAL_DAY,
    CAL_END,
    DAYS,
    GEAR,
    HOLD_AT,
    HOLD_POST,
    HORIZON,
    MARK_AT,
    MARK_N,
    MARKS,
    OPT_AT,
    OPT_PERSON,
    OPT_SECOND,
    PART,
    PEOPLE,
    PRED_AT,
    RELEASE,
    SLOT_FROM,
    SLOT_TO,
    SUCC,
    SUCC_AT,
    SUCC_WAIT,
    WIDTH,
    N,
)
from builds.core.planning.tables import Row


def dispatch_all(
    t: Row,
    key: Row,
    bias: Row,
    forced: Row,
    start: Row,
    finish: Row,
    choice: Row,
    left: Row,
    ready: Row,
    free_at: Row,
    slot: Row,
) -> int:
    """Place all steps by rising key; -1 when done, else a step that found no place.

    `left` and `ready` (one a step), `free_at` and `slot` (one a person) are scratch.
    """
    clear(t)
    pending = [(0, 0)]
    pending.pop()
    events = [0]
    events.pop()
    queue = [0]
    queue.pop()
    open_day(t, pending, events, left, ready, free_at, slot)
    beat = 0
    placed = 0
    unattended = 0
    wanted = [0] * t[PEOPLE]
    while placed < t[N]:
        # the next minute at which something may start
        now = -1
        if len(pending) > 0:
            now = pending[0][0]
        if len(queue) > 0:
            if len(events) > 0 and (now < 0 or events[0] < now):
                now = events[0]
            if beat < t[BEATS] and (now < 0 or t[t[BEAT] + beat] < now):
                now = t[t[BEAT] + beat]
        if now < 0:
            return queue[0] if len(queue) > 0 else 0
        while len(events) > 0 and events[0] <= now:
            heapq.heappop(events)
        while beat < t[BEATS] and t[t[BEAT] + beat] <= now:
            beat += 1
        while len(pending) > 0 and pending[0][0] <= now:
            _, i = heapq.heappop(pending)
            at = len(queue)
            while at > 0 and key[queue[at - 1]] > key[i]:
                at -= 1
            queue.insert(at, i)
            if t[t[OPT_PERSON] + t[t[OPT_AT] + i]] < 0:
                unattended += 1
            for o in range(t[t[OPT_AT] + i], t[t[OPT_AT] + i + 1]):
                if t[t[OPT_PERSON] + o] >= 0:
                    wanted[t[t[OPT_PERSON] + o]] += 1
                if bias[o] > 0:
                    heapq.heappush(events, ready[i] + bias[o])
        for p in range(t[PEOPLE]):
            k = slot[p]
            while k < t[t[CAL_END] + p] and t[t[SLOT_TO] + k] <= now:
                k += 1
            slot[p] = k
        at = 0
        # nothing of the queue can start where nobody is free whom it wants
        while at < len(queue) and (unattended > 0 or is_wanted(t, now, free_at, slot, wanted)):
            i = queue[at]
            best, s, f = start_now(t, i, now, bias, forced, ready, free_at, slot)
            if best < 0:
                at += 1
                continue
            queue.pop(at)
            take(t, i, best, s, f)
            start[i] = s
            finish[i] = f
            choice[i] = best
            placed += 1
            if t[t[OPT_PERSON] + best] >= 0:
                free_at[t[t[OPT_PERSON] + best]] = f
                if t[t[OPT_SECOND] + best] >= 0:
                    free_at[t[t[OPT_SECOND] + best]] = f
            else:
                unattended -= 1
            for o in range(t[t[OPT_AT] + i], t[t[OPT_AT] + i + 1]):
                if t[t[OPT_PERSON] + o] >= 0:
                    wanted[t[t[OPT_PERSON] + o]] -= 1
            heapq.heappush(events, f)
            for h in range(t[t[HOLD_AT] + i], t[t[HOLD_AT] + i + 1]):
                if t[t[HOLD_POST] + h] > 0:
                    heapq.heappush(events, f + t[t[HOLD_POST] + h])
            for x in range(t[t[SUCC_AT] + i], t[t[SUCC_AT] + i + 1]):
                j = t[t[SUCC] + x]
                if f + t[t[SUCC_WAIT] + x] > ready[j]:
                    ready[j] = f + t[t[SUCC_WAIT] + x]
                left[j] -= 1
                if left[j] == 0:
                    heapq.heappush(pending, (ready[j], j))
    return -1


def open_day(
    t: Row,
    pending: list[tuple[int, int]],
    events: list[int],
    left: Row,
    ready: Row,
    free_at: Row,
    slot: Row,
) -> None:
    """Fill the rows for the start: steps that wait for none, and when fixed steps are over."""
    for p in range(t[PEOPLE]):
        free_at[p] = 0
        slot[p] = t[t[CAL_DAY] + p * t[DAYS]]
        row = t[BUSY_TO] + p * t[WIDTH]
        for j in range(row, row + t[t[BUSY_N] + p]):
            heapq.heappush(events, t[j])
    for e in range(t[GEAR]):
        row = t[MARK_AT] + e * t[MARKS]
        for j in range(row + 1, row + t[t[MARK_N] + e]):
            heapq.heappush(events, t[j])
    for i in range(t[N]):
        left[i] = t[t[PRED_AT] + i + 1] - t[t[PRED_AT] + i]
        ready[i] = t[t[RELEASE] + i]
        if left[i] == 0:
            heapq.heappush(pending, (ready[i], i))


def is_wanted(t: Row, now: int, free_at: Row, slot: Row, wanted: list[int]) -> bool:
    """Whether somebody is free at `now` with whom a step of the queue can be done."""
    for p in range(t[PEOPLE]):
        if wanted[p] > 0 and free_at[p] <= now:
            k = slot[p]
            if k < t[t[CAL_END] + p] and t[t[SLOT_FROM] + k] <= now:
                return True
    return False


def start_now(
    t: Row, i: int, now: int, bias: Row, forced: Row, ready: Row, free_at: Row, slot: Row
) -> Any:
    """The option with which step i can start at `now` and ends soonest, its start and finish."""
    best = -1
    best_s = 0
    best_f = 0
    limit = t[HORIZON]
    for o in range(t[t[OPT_AT] + i], t[t[OPT_AT] + i + 1]):
        if forced[i] >= 0 and forced[i] != o:
            continue
        p = t[t[OPT_PERSON] + o]
        if p >= 0:
            k = slot[p]
            if free_at[p] > now or k >= t[t[CAL_END] + p] or t[t[SLOT_FROM] + k] > now:
                continue
            q = t[t[OPT_SECOND] + o]
            if q >= 0:
                k = slot[q]
                if free_at[q] > now or k >= t[t[CAL_END] + q] or t[t[SLOT_FROM] + k] > now:
                    continue
            if now - ready[i] < bias[o] and forced[i] < 0 and t[t[PART] + i] < 0:
                continue
        if not may_use(t, i, o):
            continue
        s, f = fit(t, i, o, now, now, limit)
        if f >= 0 and (best < 0 or f < best_f):
            best = o
            best_s = s
            best_f = f
            limit = f
    return best, best_s, best_f
