"""The search set up on one layout: its rows, plain or compiled, and the best draft so far."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from builds.core.planning.compiled import compiled_loops
from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.priorities import latest_starts, topological
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
    search,
)
from builds.core.planning.tables import NONE, Layout, Numbers

LEAD_WAITS_MIN = (0, 1440, 5 * 1440, 20 * 1440, 60 * 1440)
FIRST_WAITS_MIN = (5 * 1440, 20 * 1440, 60 * 1440)
REMEMBERED = 20
# rounds x steps from which loading the compiled loops pays, and about a tenth of a second's worth
WORTH_COMPILING = 400_000
PLAIN_CHUNK, COMPILED_CHUNK = 1_500, 40_000
PRIME = 2147483647


class Workbench:
    """A first draft and its improvement. `best` is None where no first draft was found."""

    def __init__(self, layout: Layout, seed: int, goal: int) -> None:
        self.layout = layout
        self.decoder = Decoder(layout)
        self.best: Draft | None = None
        self.rounds = 0
        self._topo = topological(layout)
        self._seed = seed
        self._goal = goal
        self._bench: Bench | None = None
        self._sheets: tuple[Any, Any] = (self.decoder.sheet, self.decoder.turned)
        self._search: Callable[..., int] = search
        self._chunk = max(1, PLAIN_CHUNK // max(1, layout.tables.n))
        self._lead = [one.id for one in layout.problem.people if one.is_lead]
        self._first()

    def _first(self) -> None:
        """Both decoders on latest starts, the lead spared more or less; the best one pushed."""
        key = latest_starts(self.layout, self._topo, self.layout.problem.horizon)
        bias: Numbers | None = None
        for wait in FIRST_WAITS_MIN if self._lead else FIRST_WAITS_MIN[:1]:
            spared = self.decoder.biases(dict.fromkeys(self._lead, wait))
            if self._offer(self.decoder.serial(key, spared)):
                bias = spared
        self._offer(self.decoder.dispatch(key, bias))
        for wait in () if self.best else LEAD_WAITS_MIN[:2]:
            spared = self.decoder.biases(dict.fromkeys(self._lead, wait))
            self._offer(self.decoder.serial(key, spared))
            self._offer(self.decoder.dispatch(key, spared))
        if self.best is not None:
            self._offer(self.decoder.justify(self.best, keep=False))

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
        if self._bench is None:
            self._bench = self._set_up(self.best, work)
        before = self.rounds
        found = self._search(*self._sheets, self._bench, min(most, self._chunk))
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

    def _set_up(self, first: Draft, work: int) -> Bench:
        rows = self._rows(first)
        if work * self.layout.tables.n >= WORTH_COMPILING:
            loops = compiled_loops()
            if loops is not None:
                import numpy as np

                self._search = loops["search"]
                self._chunk = max(1, COMPILED_CHUNK // max(1, self.layout.tables.n))
                self._sheets = (
                    np.array(self.decoder.sheet, dtype=np.int64),
                    np.array(self.decoder.turned, dtype=np.int64),
                )
                return Bench(*(np.array(row, dtype=np.int64) for row in rows))
        return rows

    def _rows(self, first: Draft) -> Bench:
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
            rank=self.decoder.rank,
            topo=self._topo,
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
        untidy = count_untidy(self.decoder.sheet, bench, first.start, first.finish, first.choice)
        bench.facts[BEST_UNTIDY] = untidy
        return bench


def _values(row: Any) -> Any:
    return row if isinstance(row, list) else row.tolist()
