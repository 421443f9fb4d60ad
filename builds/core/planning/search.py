"""The search: one plan is changed a little, decoded again, and kept unless it is much worse.

Late acceptance (Burke and Bykov, European Journal of Operational Research 258 (2017) 70-78): a plan
is kept when it is no worse than the one of so many rounds ago. The rounds depend on the seed alone,
never on how many there will be, so that more of them never give a worse plan.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from builds.core.planning.dispatch import dispatch_all
from builds.core.planning.justify import order_by, push_late, set_latest
from builds.core.planning.moves import (
    draw,
    inherit,
    link_people,
    loosen,
    pull_chain,
    shake,
    shift_group,
    shift_steps,
    start_move,
    swap_groups,
)
from builds.core.planning.place import DAY_MIN, score
from builds.core.planning.serial import feasible_order, insert_all
from builds.core.planning.sheet import OPT_PERSON, OPT_SECOND, OPTIONS, PEOPLE, N
from builds.core.planning.tables import Row

# places in `facts`
LATE, READY, BEST_LATE, BEST_READY, BEST_UNTIDY = range(5)
ROUNDS, GOAL, LINKED, GROUPS, TWINS, BIASES, MEMORY, SINCE = range(5, 13)
EARLY, ASKS_EARLY, SHAKES = 13, 14, 15
FACTS = 16
PATIENCE = 20  # rounds a step without a better plan, after which much worse ones are let in
TWIN_COST = 3  # one more pair of hands on twins weighs as much as so many changes within a day

# shares of the moves, in percent, up to and with each
PULL, SHIFT_FEW, SHIFT_MANY, SHIFT_GROUP, SWAP, TURN = 40, 60, 75, 84, 88, 99


class Bench(NamedTuple):
    """All rows a search works on; lists, or arrays where the loops are compiled."""

    facts: Row
    state: Row
    rank: Row
    group: Row
    bias: Any  # one row an option for each level, behind each other: sliced
    topo: Row
    key: Row
    order: Row
    left: Row
    release: Row
    free_at: Row
    slot: Row
    forced: Row
    before: Row
    chain: Row
    twin: Row
    hands: Row
    memory: Row
    behind_at: Row
    behind: Row
    tail: Row
    stand_in: Row
    new_stand_in: Row
    rule: Row
    new_rule: Row
    own_bias: Row
    start: Row
    finish: Row
    choice: Row
    new_start: Row
    new_finish: Row
    new_choice: Row
    best_start: Row
    best_finish: Row
    best_choice: Row


def copy_row(one: Any, other: Any, count: int) -> None:
    """Copy `count` numbers from one row to another."""
    other[:count] = one[:count]


def search(t: Row, turned: Row, b: Bench, rounds: int) -> int:
    """Run some rounds, up to the goal; how many found a better plan than the best before."""
    facts = b.facts
    better = 0
    for _ in range(rounds):
        if facts[BEST_LATE] == 0 and facts[BEST_READY] <= facts[GOAL]:
            break
        facts[ROUNDS] += 1
        if facts[ROUNDS] - facts[SINCE] > PATIENCE * (t[N] + 2):
            let_go(t, b)
        if try_move(t, turned, b) >= 0:
            continue
        late, ready = score(t, b.new_finish)
        early = mean_finish(t, b, b.new_finish)
        cost = late + ready + early
        place = facts[ROUNDS] % facts[MEMORY]
        if cost <= facts[LATE] + facts[READY] + facts[EARLY] or cost <= b.memory[place]:
            keep(t, b, late, ready)
            facts[EARLY] = early
            if is_better(t, b):
                keep_best(t, b)
                facts[SINCE] = facts[ROUNDS]
                better += 1
        b.memory[place] = facts[LATE] + facts[READY] + facts[EARLY]
    return better


def mean_finish(t: Row, b: Bench, finish: Row) -> int:
    """The mean finish of all steps, where it is asked for: it tells plans of one day apart."""
    if b.facts[ASKS_EARLY] == 0 or t[N] == 0:
        return 0
    total = 0
    for i in range(t[N]):
        total += finish[i]
    return total // t[N]


def ask_early(t: Row, b: Bench, asks: int) -> None:
    """Begin, or cease, to prefer plans whose steps are done early."""
    facts = b.facts
    facts[ASKS_EARLY] = asks
    facts[EARLY] = mean_finish(t, b, b.start)
    for place in range(facts[MEMORY]):
        b.memory[place] = facts[LATE] + facts[READY] + facts[EARLY]


def let_go(t: Row, b: Bench) -> None:
    """Leave a dead end: accept worse plans for a while, half the time back from the best one."""
    facts = b.facts
    facts[SINCE] = facts[ROUNDS]
    facts[ASKS_EARLY] = 1 - facts[ASKS_EARLY]
    if draw(b.state, 2) == 0:
        copy_row(b.best_start, b.start, t[N])
        copy_row(b.best_finish, b.finish, t[N])
        copy_row(b.best_choice, b.choice, t[N])
        facts[LATE] = facts[BEST_LATE]
        facts[READY] = facts[BEST_READY]
        facts[LINKED] = 0
    facts[EARLY] = mean_finish(t, b, b.start)
    cost = facts[LATE] + facts[READY] + facts[EARLY]
    cost += cost // (4 << draw(b.state, 7))
    for place in range(facts[MEMORY]):
        b.memory[place] = cost


def is_better(t: Row, b: Bench) -> bool:
    """Whether the present plan beats the best: less late, sooner ready, or as good and tidier."""
    facts = b.facts
    if facts[LATE] != facts[BEST_LATE]:
        return facts[LATE] < facts[BEST_LATE]
    if facts[READY] != facts[BEST_READY]:
        return facts[READY] < facts[BEST_READY]
    return count_untidy(t, b, b.start, b.finish, b.choice) < facts[BEST_UNTIDY]


def count_untidy(t: Row, b: Bench, start: Row, finish: Row, choice: Row) -> int:
    """Changes of work within a day, and pairs of hands too many on steps that are twins."""
    order = [(start[i], i) for i in range(t[N])]
    order.sort()
    for p in range(t[PEOPLE]):
        b.free_at[p] = -1
    for k in range(len(b.hands)):
        b.hands[k] = 0
    count = 0
    for x in range(t[N]):
        i = order[x][1]
        p = t[t[OPT_PERSON] + choice[i]]
        q = t[t[OPT_SECOND] + choice[i]]
        if p < 0:
            continue
        if b.free_at[p] == start[i] // DAY_MIN:
            count += 1
        b.free_at[p] = (finish[i] - 1) // DAY_MIN
        if q >= 0:
            if b.free_at[q] == start[i] // DAY_MIN:
                count += 1
            b.free_at[q] = (finish[i] - 1) // DAY_MIN
        g = b.twin[i]
        if g >= 0:
            place = g * t[PEOPLE] + p
            if b.hands[place] == 0:
                b.hands[place] = 1
                count += TWIN_COST
    return count


def keep(t: Row, b: Bench, late: int, ready: int) -> None:
    """Let the new plan be the present one."""
    copy_row(b.new_start, b.start, t[N])
    copy_row(b.new_finish, b.finish, t[N])
    copy_row(b.new_choice, b.choice, t[N])
    b.facts[LATE] = late
    b.facts[READY] = ready
    b.facts[LINKED] = 0


def keep_best(t: Row, b: Bench) -> None:
    """Let the present plan be the best one."""
    copy_row(b.start, b.best_start, t[N])
    copy_row(b.finish, b.best_finish, t[N])
    copy_row(b.choice, b.best_choice, t[N])
    b.facts[BEST_LATE] = b.facts[LATE]
    b.facts[BEST_READY] = b.facts[READY]
    b.facts[BEST_UNTIDY] = count_untidy(t, b, b.start, b.finish, b.choice)


def try_move(t: Row, turned: Row, b: Bench) -> int:
    """Make a changed plan from the present one; -1, or the step that found no place."""
    facts = b.facts
    state = b.state
    start_move(t, b.start, b.choice, b.key, b.forced)
    kind = draw(state, 100)
    reach = 4 * facts[READY] // (2 << draw(state, 9)) + 4
    options = t[OPTIONS]
    level = draw(state, facts[BIASES])
    bias: Row = b.bias[level * options : (level + 1) * options]
    if draw(state, 100) < facts[SHAKES]:
        shake(t, state, b.start, b.key, b.forced, facts[READY])
        feasible_order(t, b.key, b.order, b.left)
        failed = insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)
        return failed if failed >= 0 else push_both_ways(t, turned, b, bias)
    if kind < PULL:
        if facts[LINKED] == 0:
            link_people(t, b.start, b.choice, b.before, b.free_at)
            facts[LINKED] = 1
        pull_chain(t, state, b.start, b.finish, b.key, b.forced, b.before, b.chain)
    elif kind < SHIFT_FEW:
        shift_steps(t, state, b.key, b.forced, reach, 1 + draw(state, 3))
    elif kind < SHIFT_MANY:
        shift_steps(t, state, b.key, b.forced, reach, 1 + t[N] // (4 << draw(state, 4)))
    elif kind < SHIFT_GROUP and facts[GROUPS] > 0:
        shift_group(t, state, b.key, b.group, facts[GROUPS], reach)
    elif kind < SWAP and facts[GROUPS] > 1:
        swap_groups(t, state, b.key, b.group, facts[GROUPS])
    elif kind < TURN:
        loosen(t, state, b.forced, b.topo, 0, 3 << draw(state, 6))
        return turn_round(t, turned, b, bias)
    else:
        shift_steps(t, state, b.key, b.forced, reach, draw(state, 1 + t[N] // 8))
        inherit(t, b.key, b.topo)
        return dispatch_keys(t, b, bias)
    inherit(t, b.key, b.topo)
    kept = keep_before(t, b)
    if draw(state, 3) == 0:
        loosen(t, state, b.forced, b.order, kept, 3 << draw(state, 6))
    return insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, kept)


def dispatch_keys(t: Row, b: Bench, bias: Row) -> int:
    """Make the new plan by the keys, whoever is free taking the next step."""
    return dispatch_all(
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


def keep_before(t: Row, b: Bench) -> int:
    """Order the steps by key; how many stand before the first change, so stay as they are."""
    first = 1 << 60
    for i in range(t[N]):
        own = 4 * b.start[i]
        if b.key[i] != own or b.forced[i] != b.choice[i]:
            first = min(first, own, b.key[i])
    feasible_order(t, b.key, b.order, b.left)
    kept = 0
    while kept < t[N] and b.key[b.order[kept]] < first:
        i = b.order[kept]
        b.new_start[i] = b.start[i]
        b.new_finish[i] = b.finish[i]
        b.new_choice[i] = b.choice[i]
        kept += 1
    return kept


def push_back(t: Row, turned: Row, b: Bench, bias: Row, finish: Row, ready: int) -> int:
    """Push the plan with these finishes late, and order its steps as they then start."""
    set_latest(t, turned, finish, ready)
    order_by(t, finish, -1, b.rank, b.order)
    failed = push_late(t, turned, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice)
    if failed < 0:
        order_by(t, b.new_start, 1, b.rank, b.order)
    return failed


def push_both_ways(t: Row, turned: Row, b: Bench, bias: Row) -> int:
    """Push the new plan late and early again, hands free."""
    _, ready = score(t, b.new_finish)
    failed = push_back(t, turned, b, bias, b.new_finish, ready)
    if failed >= 0:
        return failed
    return insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)


def turn_round(t: Row, turned: Row, b: Bench, bias: Row) -> int:
    """Push the present plan late and early again, hands kept where `forced` says so."""
    failed = push_back(t, turned, b, bias, b.finish, b.facts[READY])
    if failed >= 0:
        return failed
    if draw(b.state, 2) == 0:
        copy_row(b.new_choice, b.forced, t[N])
    return insert_all(t, b.order, bias, b.forced, b.new_start, b.new_finish, b.new_choice, 0)
