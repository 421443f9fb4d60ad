"""Planning from start to end: first plan at once, then better ones, every one of them checked."""

from __future__ import annotations

import random
from collections.abc import Callable

from builds.core.planning.begun import settle_begun
from builds.core.planning.bounds import Bound, earliest_ready
from builds.core.planning.checker import check_plan
from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.hours import Hours
from builds.core.planning.latest import add_latest_starts
from builds.core.planning.plan import QUARTER_MIN, Plan, PlannedStep, share_left
from builds.core.planning.priorities import latest_starts, topological
from builds.core.planning.problem import Problem
from builds.core.planning.score import figures_ready, weighted_lateness
from builds.core.planning.tables import Layout, lay_out

Stop = Callable[[], bool]
Report = Callable[[Plan], None]

LEAD_WAITS_MIN = (0, 5 * 1440, 20 * 1440, 60 * 1440)
ELITE = 8


def solve(
    problem: Problem,
    *,
    work: int,
    seed: int,
    stop: Stop | None = None,
    report: Report | None = None,
) -> Plan:
    """Plan a problem: the best plan that `work` rounds of improvement find.

    `work` 0 gives the first plan. The same problem, work and seed give the same plan; `stop` is
    asked between rounds and is the only way for a clock to end it early; `report` is given each
    better plan. A problem that cannot be planned gives a plan of status 'none' with its reasons.
    ValueError for `work` below 0.

    >>> from builds.core.planning.problem import Person, Step
    >>> ines = Person("Ines", ((480, 720), (1920, 2160)), frozenset({"carve"}))
    >>> carve = Step("carve", 300, craft="carve")
    >>> plan = solve(Problem((carve,), (ines,), horizon=2880), work=0, seed=1)
    >>> plan.steps[0].start, plan.steps[0].finish, plan.status
    (480, 1980, 'proved')
    """
    if work < 0:
        raise ValueError(f"work is {work} rounds: it must be 0 or more")
    faults = problem.problems()
    if faults:
        return Plan("none", reasons=tuple(faults), seed=seed)
    hours = Hours(problem)
    fixed, lost = settle_begun(problem, hours)
    if lost:
        return Plan("none", reasons=tuple(lost), seed=seed)
    layout = lay_out(problem, fixed, hours)
    bound = earliest_ready(layout)
    search = Search(layout, seed)
    if search.best is None:
        return Plan("none", reasons=(_no_room(search, layout),), seed=seed)
    done = 0
    plan = make_plan(layout, search.best, bound, done, seed)
    if report is not None:
        report(plan)
    while done < work and not _is_best(plan) and not (stop is not None and stop()):
        done += 1
        if search.improve():
            plan = make_plan(layout, search.best, bound, done, seed)
            if report is not None:
                report(plan)
    return make_plan(layout, search.best, bound, done, seed)


def _is_best(plan: Plan) -> bool:
    return plan.status == "proved" and plan.lateness == 0


def _no_room(search: Search, layout: Layout) -> str:
    step = layout.steps[max(search.decoder.failed, 0)]
    return (
        f"There are not enough hours: {step.name} finds no place before minute "
        f"{layout.problem.horizon}, where the known hours end."
    )


class Search:
    """Improvement of drafts: priorities of good ones are shaken and decoded again."""

    def __init__(self, layout: Layout, seed: int) -> None:
        self.layout = layout
        self.decoder = Decoder(layout)
        self.random = random.Random(seed)
        self.lead = [person.id for person in layout.problem.people if person.is_lead]
        self.bias = self.decoder.biases({})
        self.elite: list[Draft] = []
        self.rounds = 0
        self._first()

    @property
    def best(self) -> Draft | None:
        """The best draft so far."""
        return self.elite[0] if self.elite else None

    def _first(self) -> None:
        key = latest_starts(self.layout, topological(self.layout), self.layout.problem.horizon)
        for wait in LEAD_WAITS_MIN if self.lead else (0,):
            bias = self.decoder.biases(dict.fromkeys(self.lead, wait))
            draft = self.decoder.serial(key, bias)
            if draft is not None and self._keep(draft):
                self.bias = bias
        draft = self.decoder.dispatch(key, self.bias)
        if draft is not None:
            self._keep(draft)
        if self.elite:
            self._keep(self.decoder.justify(self.elite[0]))

    def _keep(self, draft: Draft) -> bool:
        """Enter a draft into the elite; whether it is the best so far."""
        if any(draft.score == other.score for other in self.elite):
            return False
        self.elite.append(draft)
        self.elite.sort(key=lambda one: one.score)
        del self.elite[ELITE:]
        return self.elite[0] is draft

    def improve(self) -> bool:
        """One round: shake, decode, justify; whether the best draft got better."""
        if not self.elite:
            return False
        self.rounds += 1
        parent = self.elite[min(int(self.random.expovariate(0.7)), len(self.elite) - 1)]
        span = max(1, parent.score[1] - self.layout.problem.now)
        key = self._shaken(parent, span)
        keep = self.random.choice((0.0, 0.8, 0.95))
        forced = [o if self.random.random() < keep else -1 for o in parent.choice]
        decode = self.decoder.dispatch if self.rounds % 4 == 0 else self.decoder.serial
        draft = decode(key, self.bias, forced)
        if draft is None:
            return False
        better = self._keep(draft)
        if better or draft.score[0] <= 1.1 * parent.score[0]:
            better = self._keep(self.decoder.justify(draft, self.rounds % 2 == 0)) or better
        return better

    def _shaken(self, parent: Draft, span: int) -> list[int]:
        """Starts of a draft, some of them moved: a few steps, or whole figures together."""
        key = list(parent.start)
        reach = int(span * 10 ** self.random.uniform(-2.5, -0.7))
        if self.random.random() < 0.5 and self.layout.problem.figures:
            names = [figure.id for figure in self.layout.problem.figures]
            moved = {
                name: self.random.randint(-reach, reach)
                for name in self.random.sample(names, min(len(names), self.random.randint(1, 3)))
            }
            for i, step in enumerate(self.layout.steps):
                if step.figure in moved:
                    key[i] += moved[step.figure]
        else:
            share = self.random.choice((0.02, 0.1, 0.5))
            for i in range(len(key)):
                if self.random.random() < share:
                    key[i] += self.random.randint(-reach, reach)
        return key


def make_plan(layout: Layout, draft: Draft, bound: Bound, work: int, seed: int) -> Plan:
    """A draft as a checked plan with latest starts. RuntimeError if a rule were broken."""
    problem = layout.problem
    planned = []
    for step in problem.steps:
        if step.id in layout.fixed:
            stands = layout.fixed[step.id]
            start, resumed = stands.start, None
            if step.begun is not None:
                start, resumed = step.begun.start, stands.start
            planned.append(
                PlannedStep(
                    step.id, stands.person, stands.second, start, stands.finish, start, 0, resumed
                )
            )
            continue
        i = layout.index_of[step.id]
        person, second = layout.pairs[draft.choice[i]]
        at = int(draft.start[i])
        planned.append(PlannedStep(step.id, person, second, at, int(draft.finish[i]), at))
    steps = add_latest_starts(problem, planned, layout.hours)
    ready = max((step.finish for step in steps), default=problem.now)
    figures = figures_ready(problem, steps)
    plan = Plan(
        status="proved" if ready // QUARTER_MIN <= bound.minute // QUARTER_MIN else "found",
        steps=steps,
        ready=ready,
        lateness=weighted_lateness(problem, figures),
        figures=figures,
        bound=bound.minute,
        bound_by=bound.by,
        gap=share_left(ready, bound.minute, problem.now),
        work=work,
        seed=seed,
    )
    wrong = check_plan(problem, plan)
    if wrong:
        raise RuntimeError("The plan breaks rules: " + " ".join(wrong[:5]))
    return plan
