"""Least change: steps that stand as they were pinned up, and the plan that moves as few as it can.

What helpers were told for the next days is kept: such a step, and whatever it waits for, is fixed
where it stood. One that cannot stand there any more stays in the same hands, in the order told,
unless they are not in for long enough. Beyond these days a step moves only where that makes a
figure less late or all ready sooner: else everybody does their steps in the order in which they
were pinned up, and what slips pushes what follows. Work under way goes on first; what it pushes
aside moves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from builds.core.planning.bounds import Bound
from builds.core.planning.checker import check_plan
from builds.core.planning.engine import Report, Stop, find_bound, solve
from builds.core.planning.hours import Hours
from builds.core.planning.latest import add_latest_starts
from builds.core.planning.plan import Plan, quarter_end, share_left
from builds.core.planning.problem import Fixed, Problem, Step
from builds.core.planning.promises import Standing, find_kept, find_pushed
from builds.core.planning.score import figures_ready, weighted_lateness


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan, and the ids of the steps that were not asked because they had been promised."""

    plan: Plan
    kept: frozenset[str] = frozenset()


def solve_keeping(
    problem: Problem,
    standing: Standing,
    *,
    keep_until: int,
    work: int,
    seed: int,
    newest: Standing | None = None,
    stop: Stop | None = None,
    report: Callable[[KeptPlan], None] | None = None,
) -> KeptPlan:
    """Plan a problem beside a plan that stands. The same arguments give the same plan.

    `standing`: where steps stand in the pinned-up plan. Helpers' steps that begin before
    `keep_until` (minutes from the epoch) stay there where they still can; a `keep_until` of now
    or earlier releases them all. Later ones stay where that costs nothing. `newest`: where steps
    stand in a forecast since, so that what was found once is not lost. Bound and status are those
    of the problem with nothing kept. Cost: `solve`, and at most five first plans.

    >>> from builds.core.planning.problem import Person
    >>> ines = Person("Ines", ((480, 720),), frozenset({"sew"}), is_lead=True)
    >>> two = Problem((Step("a", 60, craft="sew"), Step("b", 60, craft="sew")), (ines,),
    ...               horizon=1440)
    >>> stood = {"a": Fixed("Ines", 540, 600), "b": Fixed("Ines", 480, 540)}
    >>> found = solve_keeping(two, stood, keep_until=0, work=0, seed=1)
    >>> [step.start for step in found.plan.steps]
    [540, 480]
    """
    stands = [one for one in (standing, newest) if one]
    if not stands or problem.problems():
        return _plain(problem, work, seed, stop, report)
    promised = find_kept(problem, standing, keep_until, only_helpers=True)
    pushed = find_pushed(problem, standing, keep_until, promised)
    base = hold_order(problem, pushed, promised)
    bound = find_bound(problem) if promised or pushed else None

    def keep(plan: Plan) -> None:
        if report is not None:
            report(KeptPlan(as_plan_of(problem, plan, bound), frozenset(promised)))

    def look() -> Plan:
        tell = keep if report is not None else None
        return solve(base, work=work, seed=seed, stop=stop, report=tell, like=stands)

    found = look()
    if found.status == "none" and pushed:
        base = fix_steps(problem, promised)
        found = look()
    best = as_plan_of(problem, found, bound) if found.status != "none" else None
    if best is None or check_plan(problem, best):
        return _plain(problem, work, seed, stop, report)
    steady = _least_change(problem, base, stands, best, bound)
    return KeptPlan(steady or best, frozenset(promised))


def _plain(
    problem: Problem,
    work: int,
    seed: int,
    stop: Stop | None,
    report: Callable[[KeptPlan], None] | None,
) -> KeptPlan:
    inner: Report | None = None
    if report is not None:
        outer = report

        def inner(plan: Plan) -> None:
            outer(KeptPlan(plan))

    return KeptPlan(solve(problem, work=work, seed=seed, stop=stop, report=inner))


def _least_change(
    problem: Problem,
    base: Problem,
    standings: Sequence[Standing],
    best: Plan,
    bound: Bound | None,
) -> Plan | None:
    """The best plan that begins from one that stands, if it is no worse; the first one of equals.

    From each of them two: everybody's order held, and every step fixed that can stay. `base`: the
    problem with what was promised.
    """
    found: list[Plan] = []
    for standing in standings:
        stays = find_kept(base, standing, problem.horizon, only_helpers=False)
        for changed in (hold_order(base, standing, {}), fix_steps(base, stays)):
            trial = solve(changed, work=0, seed=best.seed)
            if trial.status == "none":
                continue
            plan = replace(as_plan_of(problem, trial, bound or bound_of(best)), work=best.work)
            if plan.score <= best.score and not check_plan(problem, plan):
                found.append(plan)
    return min(found, key=lambda plan: plan.score, default=None)


def hold_order(problem: Problem, standing: Standing, kept: Standing) -> Problem:
    """The problem in which everybody does their steps in the order in which they stand.

    Each step by the people it stands with; those in `kept` are fixed. Whatever slips then pushes
    what follows, and nothing else moves. Somebody who may not do a step any more is not held to it.

    >>> from builds.core.planning.problem import Person
    >>> ines = Person("Ines", ((0, 60),), frozenset({"sew"}))
    >>> two = Problem((Step("a", 5, craft="sew"), Step("b", 5, craft="sew")), (ines,))
    >>> stood = {"a": Fixed("Ines", 10, 15), "b": Fixed("Ines", 0, 5)}
    >>> [step.after for step in hold_order(two, stood, {}).steps]
    [(('b', 0),), ()]
    """
    hours = Hours(problem)
    free = {step.id: step for step in problem.steps if step.fixed is None and step.begun is None}
    held = {
        one: at
        for one, at in standing.items()
        if one in free and one not in kept and (at.person, at.second) in hours.pairs(free[one])
    }
    last: dict[str, str] = {}
    before: dict[str, set[str]] = defaultdict(set)
    for one in sorted(held, key=lambda one: (held[one].start, held[one].finish, one)):
        for who in (held[one].person, held[one].second):
            if who is not None:
                if who in last:
                    before[one].add(last[who])
                last[who] = one
    return replace(
        problem,
        steps=tuple(
            replace(step, fixed=kept[step.id])
            if step.id in kept
            else _as_it_stood(step, held[step.id], before[step.id])
            if step.id in held
            else step
            for step in problem.steps
        ),
    )


def _as_it_stood(step: Step, at: Fixed, before: Collection[str]) -> Step:
    waits = dict(step.after)
    more = tuple((one, 0) for one in sorted(before) if one not in waits)
    return replace(
        step,
        who=(at.person,) if at.person is not None else step.who,
        second=(at.second,) if at.second is not None else step.second,
        after=(*step.after, *more),
    )


def fix_steps(problem: Problem, kept: Standing) -> Problem:
    """The problem with these steps fixed."""
    if not kept:
        return problem
    return replace(
        problem,
        steps=tuple(
            replace(step, fixed=kept[step.id]) if step.id in kept else step
            for step in problem.steps
        ),
    )


def bound_of(plan: Plan) -> Bound:
    """What a plan says that no plan can better."""
    return Bound(plan.bound or 0, plan.bound_by, lateness=plan.lateness_bound)


def as_plan_of(problem: Problem, found: Plan, bound: Bound | None) -> Plan:
    """A plan of a problem with fixed steps as one of the problem without.

    `bound`: that of the problem without; None where nothing is fixed and the plan's own holds.
    """
    steps = add_latest_starts(problem, found.steps)
    figures = figures_ready(problem, steps)
    ready = max((step.finish for step in steps), default=problem.now)
    proved = bound or bound_of(found)
    return replace(
        found,
        status="proved" if ready <= quarter_end(proved.minute) else "found",
        steps=steps,
        ready=ready,
        lateness=weighted_lateness(problem, figures),
        figures=figures,
        bound=proved.minute,
        bound_by=proved.by,
        lateness_bound=proved.lateness,
        gap=share_left(ready, proved.minute, problem.now),
    )
