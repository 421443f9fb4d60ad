"""The search set up on one layout: its rows, plain or compiled, and the best draft so far."""

from __future__ import annotations

import random
from collections.abc import Sequence

from builds.core.planning.benches import (
    FigureOrder,
    draft_of,
    lay_bench,
    values_of,
    worth_of,
)
from builds.core.planning.compiled import PLAIN_LOOPS
from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.figure_order import figures_behind, stand_in_dates
from builds.core.planning.heats import COARSE_SHARE, SIDE_BY_SIDE, Heat, Heats
from builds.core.planning.moves import PRIME
from builds.core.planning.priorities import tails
from builds.core.planning.promises import Standing
from builds.core.planning.search import SHAKES, Bench
from builds.core.planning.sheet import USUAL_GRACE_MIN
from builds.core.planning.tables import NONE, Layout, Numbers
from builds.core.planning.warmth import is_warm, loops_ready

DAY_MIN = 1440
# how much longer others' work waits before the lead does it
LEAD_WAITS_MIN = (0, DAY_MIN, 5 * DAY_MIN, 20 * DAY_MIN, 60 * DAY_MIN, 200 * DAY_MIN)
SHORT, LONG = 3, 4
# days off at which a date counts a third; 0: the dates as they are
PATIENCE_DAYS = (0, 60, 30, 120, 12)
TAIL_SHARE = 0.5
# rules: whose dates, less so much of the tail (in tenths), the lead's wait, and the decoder
FIRST_RULES = ((0, 0, LONG, "serial"), (0, 20, SHORT, "serial"))
LATE_RULES = ((1, 10, SHORT, "serial"),)
SPARE_RULES = (
    (0, 10, 0, "serial"),
    (0, 10, 0, "dispatch"),
    (0, 0, 0, "serial"),
    (0, 40, 0, "serial"),
)
TAIL_TENTHS = (3, 20)
# rounds x steps of the first heat of the fine search
HEAT, HEAT_LEAST, ROUNDS_A_FIGURE = 400_000, 20, 8
STARTS = 4
# by turns: how much later two people may be done so as not to pause together
GRACES_MIN = (USUAL_GRACE_MIN, 3 * DAY_MIN, 0)
# by turns: how many of a hundred fine rounds shake part of the plan; less where nothing has a date
SHAKE_PERCENT, UNDATED_PERCENT = (30, 60, 10), (10,)
# rounds x steps from which loading the compiled loops pays
WORTH_COMPILING = 400_000

Rule = tuple[int, int, int, str]


class Workbench:
    """A first draft and its improvement. `best` is None where no first draft was found.

    The first rounds try rules, each of them pushed late and early again. Then the coarse search,
    over the order of the figures, goes on from the best ones, and the fine search from what it
    finds; the two take turns, each turn twice as long as the one before.
    """

    def __init__(self, layout: Layout, seed: int, like: Sequence[Standing] = ()) -> None:
        self.layout = layout
        self.decoder = Decoder(layout)
        if loops_ready():
            self.decoder.compile()
        self.best: Draft | None = None
        self.rounds = 0
        self._seed = seed
        self.goal = -1  # when all may be ready at the soonest, once that is known
        self._worth: tuple[int, int, int] | None = None
        self._starts: dict[tuple[int, str], tuple[Draft, Rule]] = {}
        self._coarse: list[Bench] = []
        self._fine: list[Bench] = []
        self._heats = Heats(self.decoder)
        self._coarse_is_next = False
        self._turn = 0
        self._coarse_found: tuple[int, int] | None = None
        self._laid = 0
        self._known: set[tuple[int, int, int]] = set()
        self._heat_rounds = max(HEAT_LEAST, HEAT // max(1, layout.tables.n))
        self._coarse_rounds = ROUNDS_A_FIGURE * len(layout.tables.due)
        self._lead = [one.id for one in layout.problem.people if one.is_lead]
        self._tails = tails(layout, self.decoder.topo)
        self.behind = figures_behind(layout, self.decoder.topo)
        self._dates: dict[int, Numbers] = {0: list(layout.tables.due)}
        self._biases = [
            self.decoder.biases(dict.fromkeys(self._lead, wait))
            for wait in (LEAD_WAITS_MIN if self._lead else LEAD_WAITS_MIN[:1])
        ]
        self._rules = self._all_rules()
        self._first()
        for standing in like:
            self._begin_like(standing)

    def _all_rules(self) -> list[Rule]:
        whose = range(len(PATIENCE_DAYS) if self.layout.tables.due else 1)
        waits = (SHORT, LONG) if self._lead else (0,)
        return [
            (one, tenths, wait, how)
            for how in ("serial", "dispatch")
            for tenths in TAIL_TENTHS
            for wait in waits
            for one in whose
        ]

    def _first(self) -> None:
        """A few rules; where none of them finds room, some more."""
        for rule in FIRST_RULES:
            self._offer(self._make(rule))
        if self.best is None or self.best.score[0] > 0:
            for rule in LATE_RULES:
                self._offer(self._make(rule))
        for rule in SPARE_RULES:
            if self.best is None:
                self._offer(self._make(rule))
        if self.best is not None:
            self._offer(self.decoder.justify(self.best, keep=False))

    def _begin_like(self, standing: Standing) -> None:
        """Offer the draft in which everybody goes on in the order of a plan that stands."""
        t = self.layout.tables
        key, forced = [0] * t.n, [NONE] * t.n
        for i in self.decoder.topo:
            step = self.layout.steps[i]
            at = standing.get(step.id)
            before = t.pred[t.pred_at[i] : t.pred_at[i + 1]]
            key[i] = max((key[j] for j in before), default=t.release[i])
            if at is not None:
                key[i] = at.start
                options = range(t.opt_at[i], t.opt_at[i + 1])
                pairs = [self.layout.pairs[o] for o in options]
                if (at.person, at.second) in pairs:
                    forced[i] = options[pairs.index((at.person, at.second))]
        draft = self.decoder.serial(key, None, forced) or self.decoder.serial(key)
        if draft is not None:
            self._offer(draft)
            self._offer(self.decoder.justify(draft))
            self._offer(self.decoder.justify(draft, keep=False))

    def _dates_of(self, whose: int) -> Numbers:
        if whose not in self._dates:
            patience = PATIENCE_DAYS[whose] * DAY_MIN
            self._dates[whose] = stand_in_dates(
                self.layout, self.behind, self._tails, patience, TAIL_SHARE
            )
        return self._dates[whose]

    def _make(self, rule: Rule) -> Draft | None:
        whose, tenths, wait, how = rule
        dates, horizon = self._dates_of(whose), self.layout.tables.horizon
        key = [
            min((dates[k] for k in behind), default=horizon) - tail * tenths // 10
            for behind, tail in zip(self.behind, self._tails, strict=True)
        ]
        bias = self._biases[min(wait, len(self._biases) - 1)]
        return (
            self.decoder.serial(key, bias) if how == "serial" else self.decoder.dispatch(key, bias)
        )

    def _try_rule(self, rule: Rule) -> None:
        """One round of the beginning: a rule, its draft pushed late and early twice."""
        draft = self._make(rule)
        if draft is None:
            return
        bias = self._biases[rule[2]]
        for _ in range(2):
            draft = self.decoder.justify(draft, bias, keep=False)
        kind = (rule[0], rule[3])
        if kind not in self._starts or draft.score < self._starts[kind][0].score:
            self._starts[kind] = draft, rule
        self._offer(draft)

    def _offer(self, draft: Draft | None) -> None:
        if draft is not None and (self.best is None or draft.score < self.best.score):
            self.best = draft

    def improve(self, most: int, work: int) -> None:
        """At most `most` more rounds of `work` in all."""
        if self.best is None or self.layout.tables.n == 0:
            self.rounds += most
            return
        if work * self.layout.tables.n >= WORTH_COMPILING and is_warm():
            self._change_over()
        if self.rounds < len(self._rules):
            self.rounds += 1
            self._try_rule(self._rules[self.rounds - 1])
            return
        if not self._heats:
            self._next_heats()
        done, benches = self._heats.run(most, self._bench_of)
        self.rounds += done if done else most  # none: the goal is reached, nothing is left to try
        for bench in benches:
            self._take_best(bench)

    def _bench_of(self, heat: Heat) -> Bench:
        return (self._coarse if heat.coarse else self._fine)[heat.bench]

    def try_both(self) -> None:
        """Some rounds of either search from the first draft, so that all loops are compiled."""
        assert self.best is not None
        for name in ("search_order", "search"):
            bench = self._set_up(self.best, None)
            self.decoder.loops["ask_early"](self.decoder.sheet, bench, 1)
            self.decoder.loops[name](self.decoder.sheet, self.decoder.turned, bench, 200)

    def _next_heats(self) -> None:
        """What is searched next: coarse from the best starts, fine from what coarse found, ..."""
        has_order = bool(self.layout.tables.due)
        coarse_rounds = max(1, min(self._coarse_rounds, self._heat_rounds // COARSE_SHARE))
        if not self._coarse:
            self._coarse = [self._set_up(*start) for start in self._best_starts()]
            self._heats.call([Heat(True, k, coarse_rounds) for k in range(len(self._coarse))])
            return
        best = min(worth_of(bench)[:2] for bench in self._coarse)
        gains = self._coarse_found is None or best < self._coarse_found
        self._coarse_found = best
        if self._coarse_is_next or (has_order and gains and len(self._coarse) <= SIDE_BY_SIDE):
            self._coarse_is_next = False
            self._heats.call([Heat(True, k, coarse_rounds) for k in range(len(self._coarse))])
            return
        self._fine.sort(key=worth_of)
        del self._fine[max(SIDE_BY_SIDE, (len(self._fine) + 1) // 2) :]
        self._coarse.sort(key=worth_of)
        self._fine += [
            self._fine_from(bench) for bench in self._coarse if worth_of(bench) not in self._known
        ]
        self._known |= {worth_of(bench) for bench in self._coarse}
        del self._coarse[SIDE_BY_SIDE:]
        if not has_order:
            self._fine.append(self._set_up(self._at_random(), None))
        shakes = SHAKE_PERCENT if has_order else UNDATED_PERCENT
        for k, bench in enumerate(self._fine):
            self.decoder.loops["ask_early"](self.decoder.sheet, bench, self._turn % 2)
            bench.facts[SHAKES] = shakes[(self._turn + k) % len(shakes)]
        grace = GRACES_MIN[self._turn % len(GRACES_MIN)]
        self._heats.call([Heat(False, k, self._heat_rounds, grace) for k in range(len(self._fine))])
        self._heat_rounds *= 2
        self._coarse_rounds *= 2
        self._turn += 1
        self._coarse_is_next = has_order

    def _best_starts(self) -> list[tuple[Draft, Rule | None]]:
        """The best draft of each kind of rule, the best few of these."""
        distinct: dict[tuple[int, int], tuple[Draft, Rule | None]] = {}
        for draft, rule in self._starts.values():
            distinct.setdefault(draft.score, (draft, rule))
        if self.best is not None:
            distinct.setdefault(self.best.score, (self.best, None))
        return [distinct[score] for score in sorted(distinct)[:STARTS]]

    def _take_best(self, bench: Bench) -> None:
        """Let a bench's best be the best of all, where it is better or as good and tidier."""
        worth = worth_of(bench)
        assert self.best is not None
        known = self._worth if self._worth is not None else (*self.best.score, worth[2])
        if worth < known:
            self._worth = worth
            self.best = draft_of(bench)

    def _change_over(self) -> None:
        """Go on with the compiled loops, from where the plain ones are."""
        if self.decoder.loops is not PLAIN_LOOPS:
            return
        self.decoder.compile()
        for benches in (self._coarse, self._fine):
            benches[:] = [
                Bench(*(self.decoder.row(values_of(row)) for row in bench)) for bench in benches
            ]

    def _at_random(self) -> Draft:
        """A draft from priorities at random, pushed late and early; else the best one."""
        assert self.best is not None
        dice = random.Random(self._seed * 1009 + self._laid)
        key = [dice.randrange(self.layout.tables.horizon + 1) for _ in range(self.layout.tables.n)]
        draft = self.decoder.serial(key)
        return self.best if draft is None else self.decoder.justify(draft)

    def _fine_from(self, bench: Bench) -> Bench:
        """A fine search that begins at a coarse one's best."""
        return self._set_up(draft_of(bench), None)

    def _set_up(self, first: Draft, rule: Rule | None) -> Bench:
        whose, tenths, wait, how = FIRST_RULES[0] if rule is None else rule
        waits = [LEAD_WAITS_MIN[wait] * (one in self._lead) for one in self.layout.people]
        order = FigureOrder(
            self.behind,
            self._tails,
            self._dates_of(whose),
            [tenths, int(how == "dispatch"), *waits],
        )
        self._laid += 1
        seed = self._seed + PRIME // 8 * self._laid
        return lay_bench(self.decoder, first, order, self._biases, self.goal, seed)
