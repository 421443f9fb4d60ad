"""The coarse search: in which order the figures come, each order decoded whole.

A figure's date in priorities is moved, or two figures change places, or the rule by which dates
become priorities changes. Far fewer numbers than steps, so that it gets from far off to a good
neighbourhood in some hundred decodings; the fine search goes on from there.
"""

from __future__ import annotations

from builds.core.planning.dispatch import dispatch_all
from builds.core.planning.justify import order_by, push_late, set_latest
from builds.core.planning.moves import draw
from builds.core.planning.place import score
from builds.core.planning.search import (
    BEST_LATE,
    BEST_READY,
    BIASES,
    GOAL,
    LATE,
    MEMORY,
    READY,
    ROUNDS,
    Bench,
    is_better,
    keep,
    keep_best,
)
from builds.core.planning.serial import feasible_order, insert_all
from builds.core.planning.sheet import FIGURES, HORIZON, OPTIONS, N
from builds.core.planning.tables import Row

# places in `rule`
TENTHS, WAIT, DISPATCH = range(3)
RULE = 3
MOST_TENTHS = 40
PUSHES = 2


def set_keys(t: Row, b: Bench, stand_in: Row, tenths: int) -> None:
    """Priorities: the first date of the figures behind a step, less a share of its tail."""
    for i in range(t[N]):
        at = t[HORIZON]
        for x in range(b.behind_at[i], b.behind_at[i + 1]):
            at = min(at, stand_in[b.behind[x]])
        b.key[i] = at - b.tail[i] * tenths // 10


def decode_rule(t: Row, turned: Row, b: Bench, stand_in: Row, rule: Row) -> int:
    """Make a plan by dates and rule, pushed late and early again; -1, or the step without place."""
    options = t[OPTIONS]
    bias: Row = b.bias[rule[WAIT] * options : (rule[WAIT] + 1) * options]
    set_keys(t, b, stand_in, rule[TENTHS])
    for i in range(t[N]):
        b.forced[i] = -1
    if rule[DISPATCH] == 1:
        failed = dispatch_all(
            t,
            b.key,
            bias,
            b.forced,
            b.new_start,
            b.new_finish,
            b.new_choice,
            b.left,
            b.release,
            b.free_at,
            b.slot,
        )
    else:
        feasible_order(t, b.key, b.order, b.left)
        failed = insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)
    for _ in range(PUSHES):
        if failed >= 0:
            return failed
        failed = push_both_ways(t, turned, b, bias)
    return failed


def push_both_ways(t: Row, turned: Row, b: Bench, bias: Row) -> int:
    """Push the new plan late and early again, hands free."""
    _, ready = score(t, b.new_finish)
    set_latest(t, turned, b.new_finish, ready)
    order_by(t, b.new_finish, -1, b.rank, b.order)
    failed = push_late(t, turned, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice)
    if failed >= 0:
        return failed
    order_by(t, b.new_start, 1, b.rank, b.order)
    return insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)


def change_order(t: Row, b: Bench) -> None:
    """Write changed dates and rule into `new_stand_in` and `new_rule`."""
    state = b.state
    figures = t[FIGURES]
    for k in range(figures):
        b.new_stand_in[k] = b.stand_in[k]
    for k in range(RULE):
        b.new_rule[k] = b.rule[k]
    kind = draw(state, 100)
    if kind < 15 or figures == 0:
        what = draw(state, 3)
        if what == TENTHS:
            b.new_rule[TENTHS] = draw(state, MOST_TENTHS + 1)
        elif what == WAIT:
            b.new_rule[WAIT] = draw(state, b.facts[BIASES])
        else:
            b.new_rule[DISPATCH] = 1 - b.rule[DISPATCH]
        return
    if kind < 55:
        one = draw(state, figures)
        other = draw(state, figures)
        b.new_stand_in[one] = b.stand_in[other]
        b.new_stand_in[other] = b.stand_in[one]
        return
    first = b.stand_in[0]
    last = first
    for k in range(figures):
        first = min(first, b.stand_in[k])
        last = max(last, b.stand_in[k])
    for _ in range(1 << draw(state, 3)):
        reach = (last - first) // (2 << draw(state, 5)) + 1
        b.new_stand_in[draw(state, figures)] += draw(state, 2 * reach + 1) - reach


def search_order(t: Row, turned: Row, b: Bench, rounds: int) -> int:
    """Run some rounds of the coarse search; how many found a better plan than the best before."""
    facts = b.facts
    better = 0
    for _ in range(rounds):
        if facts[BEST_LATE] == 0 and facts[BEST_READY] <= facts[GOAL]:
            break
        facts[ROUNDS] += 1
        change_order(t, b)
        if decode_rule(t, turned, b, b.new_stand_in, b.new_rule) >= 0:
            continue
        late, ready = score(t, b.new_finish)
        cost = late + ready
        place = facts[ROUNDS] % facts[MEMORY]
        if cost <= facts[LATE] + facts[READY] or cost <= b.memory[place]:
            keep(t, b, late, ready)
            for k in range(t[FIGURES]):
                b.stand_in[k] = b.new_stand_in[k]
            for k in range(RULE):
                b.rule[k] = b.new_rule[k]
            if is_better(t, b):
                keep_best(t, b)
                better += 1
        b.memory[place] = facts[LATE] + facts[READY]
    return better
