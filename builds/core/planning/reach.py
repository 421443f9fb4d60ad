"""How early and how late each step can be when everybody may work on everything at once.

Loops like those of the decoders: on a list, or compiled on an array.
"""

from __future__ import annotations

from typing import Any

from builds.core.planning.sheet import (
    CAL_DAY,
    CAL_END,
    DAYS,
    HORIZON,
    MINUTES,
    ONE_GO,
    PRED,
    PRED_AT,
    PRED_WAIT,
    RELEASE,
    SLOT_FROM,
    SLOT_TO,
    SUCC,
    SUCC_AT,
    SUCC_WAIT,
    N,
)
from builds.core.planning.tables import Row

DAY_MIN = 1440


def soonest(t: Row, c: int, ready: int, minutes: int, one_go: int) -> Any:
    """Earliest (start, finish) from `ready` on in calendar c; (-1, -1) if it has not the hours."""
    day = ready // DAY_MIN
    if day >= t[DAYS]:
        return -1, -1
    end = t[t[CAL_END] + c]
    k = t[t[CAL_DAY] + c * t[DAYS] + day]
    while k < end and t[t[SLOT_TO] + k] <= ready:
        k += 1
    if k >= end:
        return -1, -1
    s = max(ready, t[t[SLOT_FROM] + k])
    if one_go:
        while s + minutes > t[t[SLOT_TO] + k]:
            k += 1
            if k >= end:
                return -1, -1
            s = t[t[SLOT_FROM] + k]
        return s, s + minutes
    left = minutes - t[t[SLOT_TO] + k] + s
    while left > 0:
        k += 1
        if k >= end:
            return -1, -1
        left -= t[t[SLOT_TO] + k] - t[t[SLOT_FROM] + k]
    return s, t[t[SLOT_TO] + k] + left


def latest_start(t: Row, c: int, finish: int, minutes: int, one_go: int) -> int:
    """The last start in calendar c from which `minutes` are done by `finish`; -1 if there is none.

    Nought minutes may start when they finish.
    """
    if minutes == 0:
        return finish
    if finish <= 0:
        return -1
    first = t[t[CAL_DAY] + c * t[DAYS]]
    end = t[t[CAL_END] + c]
    k = t[t[CAL_DAY] + c * t[DAYS] + min((finish - 1) // DAY_MIN, t[DAYS] - 1)]
    while k < end and t[t[SLOT_FROM] + k] < finish:
        k += 1
    k -= 1
    left = minutes
    while k >= first:
        a = t[t[SLOT_FROM] + k]
        b = min(t[t[SLOT_TO] + k], finish)
        if b - a >= left:
            return b - left
        if not one_go:
            left -= b - a
        k -= 1
    return -1


def reach_early(t: Row, topo: Row, cal_at: Row, cal: Row, start: Row, finish: Row) -> None:
    """Fill earliest start and finish of each step; past the horizon where there are no hours."""
    for x in range(t[N]):
        i = topo[x]
        ready = t[t[RELEASE] + i]
        for y in range(t[t[PRED_AT] + i], t[t[PRED_AT] + i + 1]):
            at = finish[t[t[PRED] + y]] + t[t[PRED_WAIT] + y]
            if at > ready:
                ready = at
        minutes = t[t[MINUTES] + i]
        best_s = -1
        best_f = -1
        for y in range(cal_at[i], cal_at[i + 1]):
            s, f = soonest(t, cal[y], ready, minutes, t[t[ONE_GO] + i])
            if f >= 0 and (best_f < 0 or f < best_f):
                best_f = f
            if s >= 0 and (best_s < 0 or s < best_s):
                best_s = s
        if cal_at[i] == cal_at[i + 1]:
            best_s = ready
            best_f = ready + minutes
        elif best_f < 0:
            best_s = ready
            best_f = t[HORIZON] + 1
        start[i] = best_s
        finish[i] = best_f


def reach_late(t: Row, topo: Row, cal_at: Row, cal: Row, end: int, start: Row, finish: Row) -> int:
    """Fill latest start and finish of each step for all to be ready by `end`.

    The answer is -1, or a step that would have to start too early.
    """
    for x in range(t[N] - 1, -1, -1):
        i = topo[x]
        last = end
        for y in range(t[t[SUCC_AT] + i], t[t[SUCC_AT] + i + 1]):
            at = start[t[t[SUCC] + y]] - t[t[SUCC_WAIT] + y]
            if at < last:
                last = at
        minutes = t[t[MINUTES] + i]
        best = last - minutes
        if cal_at[i] < cal_at[i + 1]:
            best = -1
            for y in range(cal_at[i], cal_at[i + 1]):
                best = max(best, latest_start(t, cal[y], last, minutes, t[t[ONE_GO] + i]))
        if best < t[t[RELEASE] + i]:
            return i
        finish[i] = last
        start[i] = best
    return -1
