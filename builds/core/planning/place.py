"""Finding and taking a place for one step: the inner loop of every decoder.

Written so that the same text runs on a list and, compiled, on an array: it only indexes the sheet.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

from builds.core.planning.sheet import (
    ALL_DONE,
    BASE_AT,
    BASE_FROM,
    BASE_MARKS,
    BASE_N,
    BASE_PART,
    BASE_TO,
    BASE_USED,
    BUSY_FROM,
    BUSY_N,
    BUSY_TO,
    CAL_DAY,
    CAL_END,
    CAPACITY,
    DAYS,
    DUE,
    FIGURE,
    FIGURE_DONE,
    FIGURE_READY,
    FIGURES,
    GEAR,
    GRACE,
    HOLD_AMOUNT,
    HOLD_AT,
    HOLD_OF,
    HOLD_POST,
    HOLD_PRE,
    HORIZON,
    MARK_AT,
    MARK_N,
    MARK_USED,
    MARKS,
    MINUTES,
    ONE_GO,
    OPT_CAL,
    OPT_PERSON,
    OPT_SECOND,
    PART,
    PART_PERSON,
    PARTS,
    PEOPLE,
    SLOT_FROM,
    SLOT_TO,
    WEIGHT,
    WIDTH,
    N,
)
from builds.core.planning.tables import Row

DAY_MIN = 1440


def first_after(t: Any, low: int, high: int, value: int) -> int:
    """The first place from `low` on, before `high`, that holds more than `value`; else `high`."""
    return bisect_right(t, value, low, high)


def shift_in(t: Any, at: int, end: int, value: int) -> None:
    """Put a value at place `at`, moving what stands there and up to `end` on by one."""
    t[at + 1 : end + 1] = t[at:end]
    t[at] = value


def shift_out(t: Any, at: int, end: int) -> None:
    """Drop what stands at place `at`, moving what follows up to `end` back by one."""
    t[at : end - 1] = t[at + 1 : end]


def clear(t: Row) -> None:
    """Take all but the fixed steps out of the sheet again."""
    for p in range(t[PEOPLE]):
        count = t[t[BASE_N] + p]
        t[t[BUSY_N] + p] = count
        row = p * t[WIDTH]
        for j in range(row, row + count):
            t[t[BUSY_FROM] + j] = t[t[BASE_FROM] + j]
            t[t[BUSY_TO] + j] = t[t[BASE_TO] + j]
    for e in range(t[GEAR]):
        count = t[t[BASE_MARKS] + e]
        t[t[MARK_N] + e] = count
        row = e * t[MARKS]
        for j in range(row, row + count):
            t[t[MARK_AT] + j] = t[t[BASE_AT] + j]
            t[t[MARK_USED] + j] = t[t[BASE_USED] + j]
    for g in range(t[PARTS]):
        t[t[PART_PERSON] + g] = t[t[BASE_PART] + g]


def fit(t: Row, i: int, o: int, ready: int, until: int, limit: int) -> Any:
    """Earliest (start, finish) of step i with option o from `ready` on; (-1, -1) if there is none.

    It starts at `until` at the latest and finishes by `limit`. Cost: a few searches a gap tried.
    """
    m = t[t[MINUTES] + i]
    c = t[t[OPT_CAL] + o]
    p = t[t[OPT_PERSON] + o]
    q = t[t[OPT_SECOND] + o]
    one_go = t[t[ONE_GO] + i]
    grace = t[GRACE]
    hold_from = t[t[HOLD_AT] + i]
    hold_end = t[t[HOLD_AT] + i + 1]
    slot_from = t[SLOT_FROM]
    slot_to = t[SLOT_TO]
    first_busy = t[BUSY_FROM] - t[BUSY_TO]
    days = t[CAL_DAY] + c * t[DAYS]
    end = t[t[CAL_END] + c] if c >= 0 else 0
    s = ready
    while True:
        if s > until:
            return -1, -1
        if c < 0:
            f = s + m
        else:
            day = s // DAY_MIN
            if day >= t[DAYS]:
                return -1, -1
            k = t[days + day]
            while k < end and t[slot_to + k] <= s:
                k += 1
            if k >= end:
                return -1, -1
            if s < t[slot_from + k]:
                s = t[slot_from + k]
            if one_go:
                while s + m > t[slot_to + k]:
                    k += 1
                    if k >= end:
                        return -1, -1
                    s = t[slot_from + k]
                f = s + m
            else:
                left = m - t[slot_to + k] + s
                while left > 0:
                    k += 1
                    if k >= end:
                        return -1, -1
                    left -= t[slot_to + k] - t[slot_from + k]
                f = t[slot_to + k] + left
                if q >= 0 and f - s > m:
                    # neither can do anything else in the pause: rather all of it a little later
                    k = t[days + day]
                    while k < end and t[slot_from + k] + m <= f + grace:
                        if t[slot_from + k] > s and t[slot_to + k] - t[slot_from + k] >= m:
                            s = t[slot_from + k]
                            f = s + m
                            break
                        k += 1
            if s > until:
                return -1, -1
        if f > limit:
            return -1, -1
        if p >= 0:
            low = t[BUSY_TO] + p * t[WIDTH]
            high = low + t[t[BUSY_N] + p]
            j = first_after(t, low, high, s)
            if j < high and t[first_busy + j] < f:
                s = t[j]
                continue
            if q >= 0:
                low = t[BUSY_TO] + q * t[WIDTH]
                high = low + t[t[BUSY_N] + q]
                j = first_after(t, low, high, s)
                if j < high and t[first_busy + j] < f:
                    s = t[j]
                    continue
        moved = s
        for h in range(hold_from, hold_end):
            moved = free_from(t, h, s, f)
            if moved != s:
                break
        if moved == s:
            return s, f
        s = moved


def free_from(t: Row, h: int, s: int, f: int) -> int:
    """`s` where the equipment of hold h is free over the hold, else a later start to try."""
    e = t[t[HOLD_OF] + h]
    a = s - t[t[HOLD_PRE] + h]
    b = f + t[t[HOLD_POST] + h]
    if a >= b:
        return s
    room_left = t[t[CAPACITY] + e] - t[t[HOLD_AMOUNT] + h]
    low = t[MARK_AT] + e * t[MARKS]
    high = low + t[t[MARK_N] + e]
    used = t[MARK_USED] - t[MARK_AT]
    x = first_after(t, low, high, a) - 1
    while x < high and t[x] < b:
        if t[used + x] > room_left:
            return t[x + 1] + t[t[HOLD_PRE] + h]
        x += 1
    return s


def take(t: Row, i: int, o: int, s: int, f: int) -> None:
    """Enter step i with option o at [s, f) for its people and equipment."""
    p = t[t[OPT_PERSON] + o]
    if p >= 0 and f > s:
        keep_busy(t, p, s, f)
        q = t[t[OPT_SECOND] + o]
        if q >= 0:
            keep_busy(t, q, s, f)
    g = t[t[PART] + i]
    if g >= 0:
        t[t[PART_PERSON] + g] = p
    for h in range(t[t[HOLD_AT] + i], t[t[HOLD_AT] + i + 1]):
        a = s - t[t[HOLD_PRE] + h]
        b = f + t[t[HOLD_POST] + h]
        if a < b:
            hold(t, t[t[HOLD_OF] + h], a, b, t[t[HOLD_AMOUNT] + h])


def keep_busy(t: Row, p: int, s: int, f: int) -> None:
    """Enter [s, f) among the busy times of person p, joined to those with no work in between.

    A full diary is then a few long stretches, and looking for a gap takes a few steps.
    """
    low = t[BUSY_FROM] + p * t[WIDTH]
    count = t[t[BUSY_N] + p]
    to = t[BUSY_TO] - t[BUSY_FROM]
    j = first_after(t, low, low + count, s)
    joins_before = j > low and next_work(t, p, t[to + j - 1]) >= s
    joins_after = j < low + count and next_work(t, p, f) >= t[j]
    if joins_before and joins_after:
        t[to + j - 1] = t[to + j]
        shift_out(t, j, low + count)
        shift_out(t, to + j, to + low + count)
        t[t[BUSY_N] + p] = count - 1
    elif joins_before:
        t[to + j - 1] = f
    elif joins_after:
        t[j] = s
    else:
        shift_in(t, j, low + count, s)
        shift_in(t, to + j, to + low + count, f)
        t[t[BUSY_N] + p] = count + 1


def next_work(t: Row, p: int, at: int) -> int:
    """The first minute from `at` on that person p works (their calendar has their number)."""
    day = at // DAY_MIN
    end = t[t[CAL_END] + p]
    if day >= t[DAYS]:
        return at
    k = t[t[CAL_DAY] + p * t[DAYS] + day]
    while k < end and t[t[SLOT_TO] + k] <= at:
        k += 1
    if k >= end:
        return t[HORIZON] + 1
    return max(at, t[t[SLOT_FROM] + k])


def hold(t: Row, e: int, a: int, b: int, amount: int) -> None:
    """Add an amount to the marks of equipment e over [a, b)."""
    low = t[MARK_AT] + e * t[MARKS]
    high = low + t[t[MARK_N] + e]
    used = t[MARK_USED] - t[MARK_AT]
    x = first_after(t, low, high, a) - 1
    if t[x] != a:
        x += 1
        shift_in(t, x, high, a)
        shift_in(t, used + x, used + high, t[used + x - 1])
        high += 1
    y = first_after(t, low, high, b) - 1
    if t[y] != b:
        y += 1
        shift_in(t, y, high, b)
        shift_in(t, used + y, used + high, t[used + y - 1])
        high += 1
    for z in range(x, y):
        t[used + z] += amount
    t[t[MARK_N] + e] = high - low


def may_use(t: Row, i: int, o: int) -> bool:
    """Whether option o keeps the person whom other parts of the same long step already have."""
    g = t[t[PART] + i]
    if g < 0:
        return True
    person = t[t[PART_PERSON] + g]
    return person < 0 or person == t[t[OPT_PERSON] + o]


def score(t: Row, finish: Row) -> Any:
    """Weighted minutes late, and the minute all is ready. O(n)."""
    ready = t[ALL_DONE]
    latest = t[FIGURE_READY]
    for k in range(t[FIGURES]):
        t[latest + k] = t[t[FIGURE_DONE] + k]
    for i in range(t[N]):
        f = finish[i]
        if f > ready:
            ready = f
        k = t[t[FIGURE] + i]
        if k >= 0 and f > t[latest + k]:
            t[latest + k] = f
    late = 0
    for k in range(t[FIGURES]):
        over = t[latest + k] - t[t[DUE] + k]
        if over > 0:
            late += t[t[WEIGHT] + k] * over
    return late, ready
