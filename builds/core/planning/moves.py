"""Small changes to a plan that are worth decoding again: the neighbourhood of the search.

A move writes `key` (rank of each step for the decoders, at first the starts of the present plan)
and `forced` (the option each step keeps, or -1 where a new choice is free).
"""

from __future__ import annotations

from builds.core.planning.sheet import (
    DUE,
    FIGURE,
    FIGURE_DONE,
    FIGURES,
    HOLD_AT,
    HOLD_OF,
    OPT_AT,
    OPT_PERSON,
    OPT_SECOND,
    PART,
    PRED,
    PRED_AT,
    PRED_WAIT,
    USER,
    USER_AT,
    USER_POST,
    WEIGHT,
    N,
)
from builds.core.planning.tables import Row

PRIME = 2147483647


def draw(state: Row, below: int) -> int:
    """A number from 0 to below - 1; `state` is one number that moves on (Park and Miller 1988)."""
    state[0] = state[0] * 48271 % PRIME
    return state[0] % below


def start_move(t: Row, start: Row, choice: Row, key: Row, forced: Row) -> None:
    """Begin a move: everything as in the present plan."""
    for i in range(t[N]):
        key[i] = start[i] * 4
        forced[i] = choice[i]


def loosen(t: Row, state: Row, forced: Row, order: Row, kept: int, percent: int) -> None:
    """Let that share of the steps behind the first `kept` in `order` change hands."""
    for x in range(kept, t[N]):
        if draw(state, 100) < percent:
            forced[order[x]] = -1
            if draw(state, 8) == 0:
                any_hands(t, state, order[x], forced)


def any_hands(t: Row, state: Row, i: int, forced: Row) -> None:
    """Give step i to anybody who may do it (parts of a long step keep their common hands)."""
    if t[t[PART] + i] < 0:
        first = t[t[OPT_AT] + i]
        forced[i] = first + draw(state, t[t[OPT_AT] + i + 1] - first)


def shift_steps(t: Row, state: Row, key: Row, forced: Row, reach: int, count: int) -> None:
    """Move some steps earlier or later by up to `reach`, hands free."""
    for _ in range(count):
        i = draw(state, t[N])
        key[i] += draw(state, 2 * reach + 1) - reach
        forced[i] = -1


def shake(t: Row, state: Row, start: Row, key: Row, forced: Row, ready: int) -> None:
    """Move some of the steps around one time of the plan, all hands free."""
    middle = draw(state, ready + 1)
    width = ready >> draw(state, 7)
    reach = (ready >> (5 + draw(state, 9))) + 1
    percent = 100 >> draw(state, 6)
    for i in range(t[N]):
        forced[i] = -1
        if abs(start[i] - middle) <= width and draw(state, 100) < percent:
            key[i] += 4 * (draw(state, 2 * reach + 1) - reach)


def shift_group(t: Row, state: Row, key: Row, group: Row, groups: int, reach: int) -> None:
    """Move all steps of one figure or guise together."""
    g = draw(state, groups)
    by = draw(state, 2 * reach + 1) - reach
    for i in range(t[N]):
        if group[i] == g:
            key[i] += by


def swap_groups(t: Row, state: Row, key: Row, group: Row, groups: int) -> None:
    """Let two figures change places in time."""
    one = draw(state, groups)
    other = draw(state, groups)
    first = -1
    second = -1
    for i in range(t[N]):
        if group[i] == one and (first < 0 or key[i] < first):
            first = key[i]
        if group[i] == other and (second < 0 or key[i] < second):
            second = key[i]
    if first < 0 or second < 0:
        return
    for i in range(t[N]):
        if group[i] == one:
            key[i] += second - first
        elif group[i] == other:
            key[i] += first - second


def link_people(t: Row, start: Row, choice: Row, before: Row, last_of: Row) -> None:
    """Fill `before` (two a step): the step that its person, and its second, did just before.

    `last_of` is scratch, one a person.
    """
    order = [(start[i], i) for i in range(t[N])]
    order.sort()
    for p in range(len(last_of)):
        last_of[p] = -1
    for x in range(len(order)):
        i = order[x][1]
        before[2 * i] = -1
        before[2 * i + 1] = -1
        p = t[t[OPT_PERSON] + choice[i]]
        if p >= 0:
            before[2 * i] = last_of[p]
            last_of[p] = i
        q = t[t[OPT_SECOND] + choice[i]]
        if q >= 0:
            before[2 * i + 1] = last_of[q]
            last_of[q] = i


def pick_target(t: Row, state: Row, finish: Row) -> int:
    """The last step of a late figure, the later and heavier the likelier; else the last of all."""
    ready = [0] * t[FIGURES]
    last = [-1] * t[FIGURES]
    end = 0
    for i in range(t[N]):
        if finish[i] > finish[end]:
            end = i
        k = t[t[FIGURE] + i]
        if k >= 0 and (last[k] < 0 or finish[i] > ready[k]):
            ready[k] = finish[i]
            last[k] = i
    late = 0
    for k in range(t[FIGURES]):
        if last[k] >= 0 and ready[k] > t[t[DUE] + k] and ready[k] >= t[t[FIGURE_DONE] + k]:
            late += t[t[WEIGHT] + k] * (ready[k] - t[t[DUE] + k]) // 16 + 1
    if late == 0 or draw(state, 8) == 0:
        return end
    at = draw(state, late)
    for k in range(t[FIGURES]):
        if last[k] >= 0 and ready[k] > t[t[DUE] + k] and ready[k] >= t[t[FIGURE_DONE] + k]:
            at -= t[t[WEIGHT] + k] * (ready[k] - t[t[DUE] + k]) // 16 + 1
            if at < 0:
                return last[k]
    return end


def pull_chain(
    t: Row, state: Row, start: Row, finish: Row, key: Row, forced: Row, before: Row, chain: Row
) -> None:
    """Walk back what held up a late step; turn round one place where somebody was not free."""
    i = pick_target(t, state, finish)
    count = 0
    while i >= 0:
        held = -1
        since = -1
        for y in range(t[t[PRED_AT] + i], t[t[PRED_AT] + i + 1]):
            j = t[t[PRED] + y]
            at = finish[j] + t[t[PRED_WAIT] + y]
            if at > since:
                held = j
                since = at
        for x in range(2 * i, 2 * i + 2):
            j = before[x]
            if j >= 0 and finish[j] > since:
                held = j
                since = finish[j]
                chain[2 * count] = i
                chain[2 * count + 1] = j
        busy = held >= 0 and (before[2 * i] == held or before[2 * i + 1] == held)
        for h in range(t[t[HOLD_AT] + i], t[t[HOLD_AT] + i + 1]):
            e = t[t[HOLD_OF] + h]
            for x in range(t[t[USER_AT] + e], t[t[USER_AT] + e + 1]):
                j = t[t[USER] + x]
                at = finish[j] + t[t[USER_POST] + x]
                if j != i and since < at <= start[i]:
                    held = j
                    since = at
                    chain[2 * count] = i
                    chain[2 * count + 1] = j
                    busy = True
        if busy:
            count += 1
        i = held
    if count == 0:
        return
    # the end of the chain matters most: two draws, the nearer to the end wins half the time
    at = draw(state, count)
    if draw(state, 2) == 0:
        at = min(at, draw(state, count))
    late = chain[2 * at]
    early = chain[2 * at + 1]
    if draw(state, 3) == 0:
        key[early] = key[late] + 1
    else:
        key[late] = key[early] - 1
    if draw(state, 2) == 0:
        forced[late] = -1
    if draw(state, 2) == 0:
        forced[early] = -1


def inherit(t: Row, key: Row, rank_order: Row) -> None:
    """Make what a step waits for as urgent as the step. `rank_order`: none before its waits."""
    for x in range(t[N] - 1, -1, -1):
        i = rank_order[x]
        for y in range(t[t[PRED_AT] + i], t[t[PRED_AT] + i + 1]):
            j = t[t[PRED] + y]
            if key[j] > key[i]:
                key[j] = key[i]
