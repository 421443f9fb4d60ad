"""Finding and taking a place for one step: the inner loop of every decoder.

Written so that the same text runs on lists and, compiled, on arrays: it only indexes, and shifts
rows by slices of equal length.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import Any, NamedTuple

from builds.core.planning.tables import NONE, Row, Rows, Tables

DAY_MIN = 1440


class Room(NamedTuple):
    """Time already taken: rows a person of busy intervals, rows a piece of equipment of marks."""

    busy_from: Rows
    busy_to: Rows
    busy_n: Row
    mark_at: Rows
    mark_used: Rows
    mark_n: Row
    part_person: Row


def make_room(t: Tables) -> Room:
    """Fresh rows with only the fixed steps in them."""
    return Room(
        [list(row) for row in t.busy_from],
        [list(row) for row in t.busy_to],
        list(t.busy_n),
        [list(row) for row in t.mark_at],
        [list(row) for row in t.mark_used],
        list(t.mark_n),
        list(t.part_person),
    )


def clear(t: Tables, room: Room) -> None:
    """Take all but the fixed steps out of the rows again."""
    for p in range(t.people):
        count = t.busy_n[p]
        room.busy_n[p] = count
        for j in range(count):
            room.busy_from[p][j] = t.busy_from[p][j]
            room.busy_to[p][j] = t.busy_to[p][j]
    for e in range(t.gear):
        count = t.mark_n[e]
        room.mark_n[e] = count
        for j in range(count):
            room.mark_at[e][j] = t.mark_at[e][j]
            room.mark_used[e][j] = t.mark_used[e][j]
    for g in range(t.parts):
        room.part_person[g] = t.part_person[g]


def first_after(row: Any, count: int, value: int) -> int:
    """Index of the first of `count` sorted entries greater than `value`."""
    return bisect_right(row, value, 0, count)


def fit(t: Tables, room: Room, i: int, o: int, ready: int, until: int, limit: int) -> Any:
    """Earliest (start, finish) of step i with option o from `ready` on; (-1, -1) if there is none.

    It starts at `until` at the latest and finishes by `limit`. Cost: a few searches a gap tried.
    """
    m = t.minutes[i]
    c = t.opt_cal[o]
    p = t.opt_person[o]
    q = t.opt_second[o]
    one_go = t.one_go[i]
    hold_from = t.hold_at[i]
    hold_end = t.hold_at[i + 1]
    s = ready
    while True:
        if s > until:
            return -1, -1
        if c < 0:
            f = s + m
        else:
            day = s // DAY_MIN
            if day >= t.days:
                return -1, -1
            end = t.cal_end[c]
            k = t.cal_day[c * t.days + day]
            while k < end and t.slot_to[k] <= s:
                k += 1
            if k >= end:
                return -1, -1
            if s < t.slot_from[k]:
                s = t.slot_from[k]
            if one_go:
                while s + m > t.slot_to[k]:
                    k += 1
                    if k >= end:
                        return -1, -1
                    s = t.slot_from[k]
                f = s + m
            else:
                left = m - t.slot_to[k] + s
                while left > 0:
                    k += 1
                    if k >= end:
                        return -1, -1
                    left -= t.slot_to[k] - t.slot_from[k]
                f = t.slot_to[k] + left
            if s > until:
                return -1, -1
        if f > limit:
            return -1, -1
        if p >= 0:
            count = room.busy_n[p]
            j = first_after(room.busy_to[p], count, s)
            if j < count and room.busy_from[p][j] < f:
                s = room.busy_to[p][j]
                continue
            if q >= 0:
                count = room.busy_n[q]
                j = first_after(room.busy_to[q], count, s)
                if j < count and room.busy_from[q][j] < f:
                    s = room.busy_to[q][j]
                    continue
        moved = s
        for h in range(hold_from, hold_end):
            moved = free_from(t, room, h, moved, f)
            if moved != s:
                break
        if moved == s:
            return s, f
        s = moved


def free_from(t: Tables, room: Room, h: int, s: int, f: int) -> int:
    """`s` where the equipment of hold h is free over the hold, else a later start to try."""
    e = t.hold_of[h]
    a = s - t.hold_pre[h]
    b = f + t.hold_post[h]
    room_left = t.capacity[e] - t.hold_amount[h]
    count = room.mark_n[e]
    at = room.mark_at[e]
    used = room.mark_used[e]
    x = first_after(at, count, a) - 1
    while x < count and at[x] < b:
        if used[x] > room_left and a < b:
            return int(at[x + 1] + t.hold_pre[h])
        x += 1
    return s


def take(t: Tables, room: Room, i: int, o: int, s: int, f: int) -> None:
    """Enter step i with option o at [s, f) into the rows of its people and equipment."""
    p = t.opt_person[o]
    if p >= 0 and f > s:
        busy(room, p, s, f)
        q = t.opt_second[o]
        if q >= 0:
            busy(room, q, s, f)
    if t.part[i] >= 0:
        room.part_person[t.part[i]] = p
    for h in range(t.hold_at[i], t.hold_at[i + 1]):
        a = s - t.hold_pre[h]
        b = f + t.hold_post[h]
        if a < b:
            hold(room, t.hold_of[h], a, b, t.hold_amount[h])


def busy(room: Room, p: int, s: int, f: int) -> None:
    """Enter [s, f) into the busy row of person p."""
    count = room.busy_n[p]
    j = first_after(room.busy_from[p], count, s)
    shift_in(room.busy_from[p], count, j, s)
    shift_in(room.busy_to[p], count, j, f)
    room.busy_n[p] = count + 1


def shift_in(row: Any, count: int, j: int, value: int) -> None:
    """Put a value at place j of a row with `count` entries in use, moving the rest on by one."""
    row[j + 1 : count + 1] = row[j:count]
    row[j] = value


def hold(room: Room, e: int, a: int, b: int, amount: int) -> None:
    """Add an amount to the marks of equipment e over [a, b)."""
    at = room.mark_at[e]
    used = room.mark_used[e]
    count = room.mark_n[e]
    x = first_after(at, count, a) - 1
    if at[x] != a:
        x += 1
        shift_in(at, count, x, a)
        shift_in(used, count, x, used[x - 1])
        count += 1
    y = first_after(at, count, b) - 1
    if at[y] != b:
        y += 1
        shift_in(at, count, y, b)
        shift_in(used, count, y, used[y - 1])
        count += 1
    for z in range(x, y):
        used[z] += amount
    room.mark_n[e] = count


def may_use(t: Tables, room: Room, i: int, o: int) -> bool:
    """Whether option o keeps the person whom other parts of the same long step already have."""
    g = t.part[i]
    return bool(g < 0 or room.part_person[g] == NONE or room.part_person[g] == t.opt_person[o])


def score(t: Tables, finish: Row, latest: Row) -> Any:
    """Weighted minutes late, and the minute all is ready. `latest` is scratch, one a figure."""
    ready = t.all_done
    figures = len(t.due)
    for k in range(figures):
        latest[k] = t.figure_done[k]
    for i in range(t.n):
        f = finish[i]
        if f > ready:
            ready = f
        k = t.figure[i]
        if k >= 0 and f > latest[k]:
            latest[k] = f
    late = 0
    for k in range(figures):
        if latest[k] > t.due[k]:
            late += t.weight[k] * (latest[k] - t.due[k])
    return late, ready
