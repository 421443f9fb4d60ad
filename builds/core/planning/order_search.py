"""The coarse search: in which order the figures come, each order decoded whole.

A figure's date in priorities is moved, or two figures change places, or the rule by which dates
become priorities changes. Far fewer numbers than steps, so that it gets from far off to a good
neighbourhood in some hundred decodings; the fine search goes on from there.
"""

from __future__ import annotations

from typing import Any

from builds.core.planning.moves import draw, pick_target
from builds.core.planning.place import score
from builds.core.planning.search import (
    BEST_LATE,
    BEST_READY,
    GOAL,
    LATE,
    MEMORY,
    READY,
    ROUNDS,
    Bench,
    dispatch_keys,
    is_better,
    keep,
    keep_best,
    push_both_ways,
)
from builds.core.planning.serial import feasible_order, insert_all
from builds.core.planning.sheet import (
    FIGURE,
    FIGURES,
    HORIZON,
    OPT_AT,
    OPT_PERSON,
    OPT_SECOND,
    PEOPLE,
    N,
)
from builds.core.planning.tables import Row

# places in `rule`; behind them, for each person, how long others' work waits before they do it
TENTHS, DISPATCH, WAITS = range(3)
MOST_TENTHS = 40
PUSHES = 2


def set_keys(t: Row, b: Bench, stand_in: Row, tenths: int) -> None:
    """Priorities: the first date of the figures behind a step, less a share of its tail."""
    for i in range(t[N]):
        at = t[HORIZON]
        for x in range(b.behind_at[i], b.behind_at[i + 1]):
            at = min(at, stand_in[b.behind[x]])
        b.key[i] = at - b.tail[i] * tenths // 10


def set_bias(t: Row, worth_of: Row, bias: Row) -> None:
    """By how many minutes an option must be better, from what each person's time is worth."""
    for i in range(t[N]):
        least = -1
        for o in range(t[t[OPT_AT] + i], t[t[OPT_AT] + i + 1]):
            worth = 0
            if t[t[OPT_PERSON] + o] >= 0:
                worth += worth_of[t[t[OPT_PERSON] + o]]
            if t[t[OPT_SECOND] + o] >= 0:
                worth += worth_of[t[t[OPT_SECOND] + o]]
            bias[o] = worth
            if least < 0 or worth < least:
                least = worth
        for o in range(t[t[OPT_AT] + i], t[t[OPT_AT] + i + 1]):
            bias[o] -= least


def decode_rule(t: Row, turned: Row, b: Bench, stand_in: Row, rule: Row) -> int:
    """Make a plan by dates and rule, pushed late and early again; -1, or the step without place."""
    bias = b.own_bias
    waits: Any = rule
    set_bias(t, waits[WAITS:], bias)
    set_keys(t, b, stand_in, rule[TENTHS])
    for i in range(t[N]):
        b.forced[i] = -1
    if rule[DISPATCH] == 1:
        failed = dispatch_keys(t, b, bias)
    else:
        feasible_order(t, b.key, b.order, b.left)
        failed = insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)
    for _ in range(PUSHES):
        if failed >= 0:
            return failed
        failed = push_both_ways(t, turned, b, bias)
    return failed


def change_order(t: Row, b: Bench) -> None:
    """Write changed dates and rule into `new_stand_in` and `new_rule`."""
    state = b.state
    figures = t[FIGURES]
    for k in range(figures):
        b.new_stand_in[k] = b.stand_in[k]
    for k in range(WAITS + t[PEOPLE]):
        b.new_rule[k] = b.rule[k]
    kind = draw(state, 100)
    if kind < 18 or figures == 0:
        what = draw(state, 6)
        if what == TENTHS:
            b.new_rule[TENTHS] = draw(state, MOST_TENTHS + 1)
        elif what == DISPATCH:
            b.new_rule[DISPATCH] = 1 - b.rule[DISPATCH]
        elif t[PEOPLE] > 0:
            # an hour at the least, some 170 days at the most
            who = WAITS + draw(state, t[PEOPLE])
            b.new_rule[who] = 0 if draw(state, 4) == 0 else 60 << draw(state, 13)
        return
    if kind < 65:
        one = draw(state, figures)
        other = draw(state, figures)
        if kind < 45:
            # a late figure, the later and heavier the likelier, for one that comes before it
            late = t[t[FIGURE] + pick_target(t, state, b.finish)]
            if late >= 0:
                one = late
                for _ in range(3):
                    if b.stand_in[other] < b.stand_in[one]:
                        break
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
            for k in range(WAITS + t[PEOPLE]):
                b.rule[k] = b.new_rule[k]
            if is_better(t, b):
                keep_best(t, b)
                better += 1
        b.memory[place] = facts[LATE] + facts[READY]
    return better
