"""The search set up on one layout: its rows, plain or compiled, and the best draft so far."""

from __future__ import annotations

from typing import Any

from builds.core.planning.compiled import PLAIN_LOOPS
from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.priorities import dates, tails
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
    ROUNDS,
    TWINS,
    Bench,
    count_untidy,
)
from builds.core.planning.tables import NONE, Layout
from builds.core.planning.warmth import is_warm

DAY_MIN = 1440
# how much longer others' work waits before the lead does it
LEAD_WAITS_MIN = (0, DAY_MIN, 5 * DAY_MIN, 20 * DAY_MIN, 60 * DAY_MIN, 200 * DAY_MIN)
# rules: date less so much of the tail (in tenths), the lead's wait, and the decoder
FIRST_RULES = ((0, LEAD_WAITS_MIN[4], "serial"), (20, LEAD_WAITS_MIN[3], "serial"))
SPARE_RULES = ((10, 0, "serial"), (10, 0, "dispatch"), (0, 0, "serial"), (40, 0, "serial"))
TAIL_TENTHS = (0, 3, 10, 20, 40)
REMEMBERED = 20
# rounds x steps from which loading the compiled loops pays, and about a tenth of a second's worth
WORTH_COMPILING = 400_000
PLAIN_CHUNK, COMPILED_CHUNK = 1_500, 40_000
PRIME = 2147483647

Rule = tuple[int, int, str]


class Workbench:
    """A first draft and its improvement. `best` is None where no first draft was found.

    The first rounds try rules, each of them pushed late and early again; then the search begins
    from the best.
    """

    def __init__(self, layout: Layout, seed: int, goal: int) -> None:
        self.layout = layout
        self.decoder = Decoder(layout)
        self.best: Draft | None = None
        self.rounds = 0
        self._seed = seed
        self._goal = goal
        self._bench: Bench | None = None
        self._chunk = max(1, PLAIN_CHUNK // max(1, layout.tables.n))
        self._lead = [one.id for one in layout.problem.people if one.is_lead]
        self._dates = dates(layout, self.decoder.topo)
        self._tails = tails(layout, self.decoder.topo)
        waits = LEAD_WAITS_MIN[2:] if self._lead else LEAD_WAITS_MIN[:1]
        self._rules: list[Rule] = [
            (tenths, wait, how)
            for how in ("serial", "dispatch")
            for wait in waits
            for tenths in TAIL_TENTHS
        ]
        self._first()

    def _first(self) -> None:
        """A few rules; where none of them finds room, some more."""
        rules = [self._make(rule) for rule in FIRST_RULES]
        for draft in rules:
            self._offer(draft)
        for rule in SPARE_RULES:
            if self.best is None:
                self._offer(self._make(rule))
        if self.best is not None:
            self._offer(self.decoder.justify(self.best, keep=False))

    def _make(self, rule: Rule) -> Draft | None:
        tenths, wait, how = rule
        key = [
            date - tail * tenths // 10 for date, tail in zip(self._dates, self._tails, strict=True)
        ]
        bias = self.decoder.biases(dict.fromkeys(self._lead, wait))
        return (
            self.decoder.serial(key, bias) if how == "serial" else self.decoder.dispatch(key, bias)
        )

    def _try_rule(self, rule: Rule) -> bool:
        """One round of the beginning: a rule, its draft pushed late and early twice."""
        draft = self._make(rule)
        if draft is None:
            return False
        bias = self.decoder.biases(dict.fromkeys(self._lead, rule[1]))
        for _ in range(2):
            draft = self.decoder.justify(draft, bias, keep=False)
        return self._offer(draft)

    def _offer(self, draft: Draft | None) -> bool:
        if draft is None or (self.best is not None and draft.score >= self.best.score):
            return False
        self.best = draft
        return True

    def improve(self, most: int, work: int) -> bool:
        """At most `most` more rounds of `work` in all; whether the best draft got better."""
        if self.best is None or self.layout.tables.n == 0:
            self.rounds += most
            return False
        if work * self.layout.tables.n >= WORTH_COMPILING and is_warm():
            self._change_over()
        if self.rounds < len(self._rules):
            self.rounds += 1
            return self._try_rule(self._rules[self.rounds - 1])
        if self._bench is None:
            self._bench = self._set_up(self.best)
        before = self.rounds
        search = self.decoder.loops["search"]
        found = search(self.decoder.sheet, self.decoder.turned, self._bench, min(most, self._chunk))
        facts = self._bench.facts
        self.rounds = int(facts[ROUNDS])
        if self.rounds == before:
            self.rounds += most  # the goal is reached: there is nothing left to try
        if not found:
            return False
        self.best = Draft(
            [int(x) for x in _values(self._bench.best_start)],
            [int(x) for x in _values(self._bench.best_finish)],
            [int(x) for x in _values(self._bench.best_choice)],
            (int(facts[BEST_LATE]), int(facts[BEST_READY])),
        )
        return True

    def _change_over(self) -> None:
        """Go on with the compiled loops, from where the plain ones are."""
        if self.decoder.loops is not PLAIN_LOOPS:
            return
        self.decoder.compile()
        self._chunk = max(1, COMPILED_CHUNK // max(1, self.layout.tables.n))
        if self._bench is not None:
            self._bench = Bench(*(self.decoder.row(_values(row)) for row in self._bench))

    def _set_up(self, first: Draft) -> Bench:
        return Bench(*(self.decoder.row(row) for row in self._rows(first)))

    def _rows(self, first: Draft) -> Any:
        t = self.layout.tables
        late, ready = first.score
        figures = {figure.id: k for k, figure in enumerate(self.layout.problem.figures)}
        names = dict.fromkeys(step.twin_of or "" for step in self.layout.steps)
        twins = {name: k for k, name in enumerate(name for name in names if name)}
        biases = [
            self.decoder.biases(dict.fromkeys(self._lead, wait))
            for wait in (LEAD_WAITS_MIN if self._lead else LEAD_WAITS_MIN[:1])
        ]
        facts = [0] * FACTS
        facts[LATE] = facts[BEST_LATE] = late
        facts[READY] = facts[BEST_READY] = ready
        facts[GOAL], facts[ROUNDS] = self._goal, self.rounds
        facts[GROUPS], facts[TWINS] = len(figures), len(twins)
        facts[BIASES], facts[MEMORY] = len(biases), REMEMBERED
        bench = Bench(
            facts=facts,
            state=[(self._seed * 7919 + 12345) % (PRIME - 1) + 1],
            rank=_values(self.decoder.rank),
            topo=self.decoder.topo,
            group=[figures.get(step.figure or "", NONE) for step in self.layout.steps],
            twin=[twins.get(step.twin_of or "", NONE) for step in self.layout.steps],
            hands=[0] * (len(twins) * t.people),
            bias=[value for row in biases for value in row],
            no_bias=[0] * len(t.opt_person),
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
        sheet = _values(self.decoder.sheet)
        untidy = count_untidy(sheet, bench, first.start, first.finish, first.choice)
        bench.facts[BEST_UNTIDY] = untidy
        return bench


def _values(row: Any) -> Any:
    return row if isinstance(row, list) else row.tolist()
