"""A bench for the searches, laid with one draft: rows over steps, figures, people."""

from __future__ import annotations

from itertools import accumulate
from typing import Any, NamedTuple

from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.figure_order import Behind
from builds.core.planning.moves import PRIME
from builds.core.planning.search import (
    BEST_LATE,
    BEST_READY,
    BEST_UNTIDY,
    BIASES,
    FACTS,
    GOAL,
    GROUPS,
    LATE,
    MEMORY,
    READY,
    TWINS,
    Bench,
    count_untidy,
)
from builds.core.planning.tables import NONE, Numbers

REMEMBERED = 20


class FigureOrder(NamedTuple):
    """Where the coarse search begins: figures behind each step, tails, dates, and the rule."""

    behind: Behind
    tails: Numbers
    dates: Numbers
    rule: Numbers


def lay_bench(
    decoder: Decoder, first: Draft, order: FigureOrder, biases: list[Numbers], goal: int, seed: int
) -> Bench:
    """A bench on which both searches begin from `first`; arrays where the loops are compiled."""
    t = decoder.tables
    late, ready = first.score
    group, groups = _numbered([step.figure for step in decoder.layout.steps])
    twin, twins = _numbered([step.twin_of for step in decoder.layout.steps])
    facts = [0] * FACTS
    facts[LATE] = facts[BEST_LATE] = late
    facts[READY] = facts[BEST_READY] = ready
    facts[GOAL], facts[GROUPS], facts[TWINS] = goal, groups, twins
    facts[BIASES], facts[MEMORY] = len(biases), REMEMBERED
    bench = Bench(
        facts=facts,
        state=[(seed * 7919 + 12345) % (PRIME - 1) + 1],
        rank=values_of(decoder.rank),
        topo=decoder.topo,
        group=group,
        twin=twin,
        hands=[0] * (twins * t.people),
        bias=[value for row in biases for value in row],
        key=[0] * t.n,
        order=[0] * t.n,
        left=[0] * t.n,
        release=[0] * t.n,
        free_at=[0] * t.people,
        slot=[0] * t.people,
        forced=[0] * t.n,
        before=[0] * (2 * t.n),
        chain=[0] * (2 * t.n),
        memory=[late + ready] * REMEMBERED,
        behind_at=list(accumulate(map(len, order.behind), initial=0)),
        behind=[k for one in order.behind for k in one] or [0],
        tail=list(order.tails),
        stand_in=list(order.dates) or [0],
        new_stand_in=[0] * max(1, len(order.dates)),
        rule=order.rule,
        new_rule=[0] * len(order.rule),
        own_bias=[0] * len(t.opt_person),
        start=list(first.start),
        finish=list(first.finish),
        choice=list(first.choice),
        new_start=[0] * t.n,
        new_finish=[0] * t.n,
        new_choice=[0] * t.n,
        best_start=list(first.start),
        best_finish=list(first.finish),
        best_choice=list(first.choice),
    )
    facts[BEST_UNTIDY] = count_untidy(
        values_of(decoder.sheet), bench, first.start, first.finish, first.choice
    )
    rows: tuple[Any, ...] = bench
    return Bench(*(decoder.row(row) for row in rows))


def worth_of(bench: Bench) -> tuple[int, int, int]:
    """What a bench has found: minutes late, ready, and how untidy it is."""
    facts = bench.facts
    return int(facts[BEST_LATE]), int(facts[BEST_READY]), int(facts[BEST_UNTIDY])


def draft_of(bench: Bench) -> Draft:
    """The best draft on a bench."""
    return Draft(
        [int(x) for x in values_of(bench.best_start)],
        [int(x) for x in values_of(bench.best_finish)],
        [int(x) for x in values_of(bench.best_choice)],
        worth_of(bench)[:2],
    )


def values_of(row: Any) -> Any:
    """A row as a list of plain whole numbers."""
    return row if isinstance(row, list) else row.tolist()


def _numbered(names: list[str | None]) -> tuple[Numbers, int]:
    """A number for each name, and how many there are; no name has none."""
    number = {name: k for k, name in enumerate(dict.fromkeys(name for name in names if name))}
    return [number[name] if name else NONE for name in names], len(number)
