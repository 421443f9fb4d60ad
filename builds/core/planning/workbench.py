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
SHORT_WAIT_MIN = 20 * DAY_MIN
REMEMBERED = 20
# rounds x steps of the first heat
HEAT, HEAT_LEAST, FOR_EVER = 200_000, 20, 1 << 60
# rounds x steps from which loading the compiled loops pays, and about a tenth of a second's worth
WORTH_COMPILING = 400_000
PLAIN_CHUNK, COMPILED_CHUNK = 1_500, 40_000
PRIME = 2147483647

Rule = tuple[int, int, str]


class Workbench:
    """A first draft and its improvement. `best` is None where no first draft was found.

    The first rounds try rules, each of them pushed late and early again. Then the search begins
    from the best one of each kind, for where it begins decides much of where it can get; after a
    heat the better half goes on, at last the best alone.
    """

    def __init__(self, layout: Layout, seed: int, goal: int) -> None:
        self.layout = layout
        self.decoder = Decoder(layout)
        self.best: Draft | None = None
        self.rounds = 0
        self._seed = seed
        self._goal = goal
        self._worth: tuple[int, int, int] | None = None
        self._starts: dict[tuple[str, bool], Draft] = {}
        self._benches: list[Bench] = []
        self._heat: list[tuple[int, int]] = []
        self._heat_rounds = max(HEAT_LEAST, HEAT // max(1, layout.tables.n))
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
        kind = (rule[2], rule[1] > SHORT_WAIT_MIN)
        if kind not in self._starts or draft.score < self._starts[kind].score:
            self._starts[kind] = draft
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
        if not self._heat:
            self._next_heat()
        place, left = self._heat[0]
        bench = self._benches[place]
        before = int(bench.facts[ROUNDS])
        search = self.decoder.loops["search"]
        search(self.decoder.sheet, self.decoder.turned, bench, min(most, self._chunk, left))
        done = int(bench.facts[ROUNDS]) - before
        self.rounds += done if done else most  # none: the goal is reached, nothing is left to try
        self._heat[0] = (place, left - done)
        if left <= done:
            self._heat.pop(0)
        return self._take_best(bench)

    def _next_heat(self) -> None:
        """Who searches next, and for how many rounds: all starts, the better half, the best."""
        if not self._benches:
            drafts = sorted(self._starts.values(), key=lambda draft: draft.score)
            distinct = {draft.score: draft for draft in reversed(drafts)}
            if self.best is not None:
                distinct.setdefault(self.best.score, self.best)
            self._benches = [self._set_up(distinct[score]) for score in sorted(distinct)]
        else:
            self._benches.sort(key=_worth)
            del self._benches[max(1, len(self._benches) // 2) :]
            self._heat_rounds *= 2
        last = len(self._benches) == 1
        rounds = FOR_EVER if last else self._heat_rounds
        self._heat = [(place, rounds) for place in range(len(self._benches))]

    def _take_best(self, bench: Bench) -> bool:
        """Let a bench's best be the best of all, where it is better or as good and tidier."""
        worth = _worth(bench)
        assert self.best is not None
        known = self._worth if self._worth is not None else (*self.best.score, worth[2])
        if worth >= known:
            return False
        self._worth = worth
        self.best = Draft(
            [int(x) for x in _values(bench.best_start)],
            [int(x) for x in _values(bench.best_finish)],
            [int(x) for x in _values(bench.best_choice)],
            worth[:2],
        )
        return True

    def _change_over(self) -> None:
        """Go on with the compiled loops, from where the plain ones are."""
        if self.decoder.loops is not PLAIN_LOOPS:
            return
        self.decoder.compile()
        self._chunk = max(1, COMPILED_CHUNK // max(1, self.layout.tables.n))
        self._benches = [
            Bench(*(self.decoder.row(_values(row)) for row in bench)) for bench in self._benches
        ]

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
        facts[GOAL] = self._goal
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


def _worth(bench: Bench) -> tuple[int, int, int]:
    """What a bench has found: minutes late, ready, and how untidy it is."""
    facts = bench.facts
    return int(facts[BEST_LATE]), int(facts[BEST_READY]), int(facts[BEST_UNTIDY])


def _values(row: Any) -> Any:
    return row if isinstance(row, list) else row.tolist()
