"""Event-driven planning: the clock goes forward, and whoever is free takes the next best step.

The parallel scheme of Kolisch, European Journal of Operational Research 90 (1996) 320-333, with
calendars. Somebody whose time is scarce (the lead) takes what others could do only after it has
waited for that option's bias.
"""

from __future__ import annotations

import heapq

from builds.core.planning.place import Room, clear, fit, may_use, take
from builds.core.planning.tables import Row, Tables


def dispatch_all(
    t: Tables,
    room: Room,
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
    clear(t, room)
    pending = [(0, 0)]
    pending.pop()
    events = [0]
    events.pop()
    queue = [0]
    queue.pop()
    for p in range(t.people):
        free_at[p] = 0
        slot[p] = t.cal_day[p * t.days]
        for j in range(t.busy_n[p]):
            heapq.heappush(events, t.busy_to[p][j])
    for e in range(t.gear):
        for j in range(1, t.mark_n[e]):
            heapq.heappush(events, t.mark_at[e][j])
    for i in range(t.n):
        left[i] = t.pred_at[i + 1] - t.pred_at[i]
        ready[i] = t.release[i]
        if left[i] == 0:
            heapq.heappush(pending, (ready[i], i))
    beat = 0
    beats = len(t.beats)
    placed = 0
    while placed < t.n:
        # the next minute at which something may start
        now = -1
        if len(pending) > 0:
            now = pending[0][0]
        if len(queue) > 0:
            if len(events) > 0 and (now < 0 or events[0] < now):
                now = events[0]
            if beat < beats and (now < 0 or t.beats[beat] < now):
                now = t.beats[beat]
        if now < 0:
            return int(queue[0]) if len(queue) > 0 else 0
        while len(events) > 0 and events[0] <= now:
            heapq.heappop(events)
        while beat < beats and t.beats[beat] <= now:
            beat += 1
        while len(pending) > 0 and pending[0][0] <= now:
            _, i = heapq.heappop(pending)
            at = len(queue)
            while at > 0 and key[queue[at - 1]] > key[i]:
                at -= 1
            queue.insert(at, i)
            for o in range(t.opt_at[i], t.opt_at[i + 1]):
                if bias[o] > 0:
                    heapq.heappush(events, ready[i] + bias[o])
        for p in range(t.people):
            k = slot[p]
            while k < t.cal_end[p] and t.slot_to[k] <= now:
                k += 1
            slot[p] = k
        at = 0
        while at < len(queue):
            i = queue[at]
            best = -1
            best_s = 0
            best_f = 0
            limit = t.horizon
            for o in range(t.opt_at[i], t.opt_at[i + 1]):
                if forced[i] >= 0 and forced[i] != o:
                    continue
                p = t.opt_person[o]
                if p >= 0:
                    if free_at[p] > now or slot[p] >= t.cal_end[p] or t.slot_from[slot[p]] > now:
                        continue
                    q = t.opt_second[o]
                    if q >= 0 and (
                        free_at[q] > now or slot[q] >= t.cal_end[q] or t.slot_from[slot[q]] > now
                    ):
                        continue
                    if now - ready[i] < bias[o] and forced[i] < 0 and t.part[i] < 0:
                        continue
                if not may_use(t, room, i, o):
                    continue
                s, f = fit(t, room, i, o, now, now, limit)
                if f >= 0 and (best < 0 or f < best_f):
                    best = o
                    best_s = s
                    best_f = f
                    limit = f
            if best < 0:
                at += 1
                continue
            queue.pop(at)
            take(t, room, i, best, best_s, best_f)
            start[i] = best_s
            finish[i] = best_f
            choice[i] = best
            placed += 1
            if t.opt_person[best] >= 0:
                free_at[t.opt_person[best]] = best_f
                if t.opt_second[best] >= 0:
                    free_at[t.opt_second[best]] = best_f
            heapq.heappush(events, best_f)
            for h in range(t.hold_at[i], t.hold_at[i + 1]):
                if t.hold_post[h] > 0:
                    heapq.heappush(events, best_f + t.hold_post[h])
            for x in range(t.succ_at[i], t.succ_at[i + 1]):
                j = t.succ[x]
                at_least = best_f + t.succ_wait[x]
                if at_least > ready[j]:
                    ready[j] = at_least
                left[j] -= 1
                if left[j] == 0:
                    heapq.heappush(pending, (ready[j], j))
    return -1
