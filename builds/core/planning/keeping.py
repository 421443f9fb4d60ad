"""Least change: steps that stand as they were pinned up, and the plan that moves as few as it can.

What helpers were told for the next days is kept: such a step, and whatever it waits for, is fixed
where it stood. Beyond these days a step moves only where that makes a figure less late or all
ready sooner: the pinned-up plan is kept up to the latest minute at which keeping it costs nothing.
Work under way goes on first; what it pushes aside moves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

from builds.core.planning.begun import settle_begun
from builds.core.planning.checker import check_plan
from builds.core.planning.engine import Report, Stop, solve
from builds.core.planning.hours import Hours
from builds.core.planning.latest import add_latest_starts
from builds.core.planning.plan import QUARTER_MIN, Plan, share_left
from builds.core.planning.problem import Fixed, Problem, Step
from builds.core.planning.score import figures_ready, weighted_lateness

Standing = Mapping[str, Fixed]
TRIALS = 2  # how often a middle between 'keep the next days' and 'keep all' is tried


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
    stop: Stop | None = None,
    report: Callable[[KeptPlan], None] | None = None,
) -> KeptPlan:
    """Plan a problem beside a plan that stands. The same arguments give the same plan.

    `standing`: where steps stand in the pinned-up plan. Helpers' steps that begin before
    `keep_until` (minutes from the epoch) stay there where they still can; a `keep_until` of now
    or earlier releases them all. Later ones stay where that costs nothing. Bound and status are
    those of the problem with nothing kept. Cost: `solve`, and at most four first plans.

    >>> from builds.core.planning.problem import Person
    >>> ines = Person("Ines", ((480, 720),), frozenset({"sew"}), is_lead=True)
    >>> two = Problem((Step("a", 60, craft="sew"), Step("b", 60, craft="sew")), (ines,),
    ...               horizon=1440)
    >>> stood = {"a": Fixed("Ines", 540, 600), "b": Fixed("Ines", 480, 540)}
    >>> found = solve_keeping(two, stood, keep_until=0, work=0, seed=1)
    >>> [step.start for step in found.plan.steps]
    [540, 480]
    """
    if not standing or problem.problems():
        return _plain(problem, work, seed, stop, report)
    promised = find_kept(problem, standing, keep_until, only_helpers=True)
    base = fix_steps(problem, promised)
    free = solve(problem, work=0, seed=seed) if promised else None

    def keep(plan: Plan) -> None:
        if report is not None:
            report(KeptPlan(as_plan_of(problem, plan, free or plan), frozenset(promised)))

    found = solve(base, work=work, seed=seed, stop=stop, report=keep if report else None)
    best = as_plan_of(problem, found, free or found) if found.status != "none" else None
    if best is None or check_plan(problem, best):
        return _plain(problem, work, seed, stop, report)
    steady = _least_change(problem, standing, max(keep_until, problem.now), best)
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


def _least_change(problem: Problem, standing: Standing, low: int, best: Plan) -> Plan | None:
    """The plan that keeps the standing one longest and is no worse than the best; None for none."""
    high = max(fixed.start for fixed in standing.values()) + 1
    found: Plan | None = None
    until = high
    for _ in range(TRIALS + 1):
        trial = _kept_until(problem, standing, until, best)
        if trial is not None and trial.score <= best.score:
            found, low = trial, until
        else:
            high = until
        if high - low < QUARTER_MIN or until == low:
            break
        until = (low + high) // 2
    return found


def _kept_until(problem: Problem, standing: Standing, until: int, best: Plan) -> Plan | None:
    kept = find_kept(problem, standing, until, only_helpers=False)
    found = solve(fix_steps(problem, kept), work=0, seed=best.seed)
    if found.status == "none":
        return None
    plan = replace(as_plan_of(problem, found, best), work=best.work)
    return None if check_plan(problem, plan) else plan


def find_kept(
    problem: Problem, standing: Standing, until: int, *, only_helpers: bool
) -> dict[str, Fixed]:
    """Steps that begin before `until` and can stay where they stand, with what they wait for.

    With `only_helpers` those of the lead alone are kept only where a helper's step waits for them.
    """
    hours = Hours(problem)
    begun, _ = settle_begun(problem, hours)
    by_id = {step.id: step for step in problem.steps}
    leads = {person.id for person in problem.people if person.is_lead}
    asked = {
        one
        for one, at in standing.items()
        if one in by_id
        and at.start < until
        and not (only_helpers and {at.person, at.second} - {None} <= leads)
    }
    wanted = {one for one in _with_befores(by_id, asked) if one in standing}
    kept = {
        one: standing[one]
        for one in wanted
        if by_id[one].fixed is None
        and by_id[one].begun is None
        and _still_fits(problem, hours, by_id[one], standing[one])
    }
    _drop_pushed(kept, begun, problem.now)
    begun |= _by_themselves(problem)
    while lost := [one for one in kept if not _waits_hold(by_id[one], kept, begun)]:
        for one in lost:
            del kept[one]
    return kept


def _by_themselves(problem: Problem) -> dict[str, Fixed]:
    """Steps that need nobody and wait for nothing: they are over when they may be."""
    found = {}
    for step in problem.steps:
        if step.unattended and not step.after and step.fixed is None:
            start = max(problem.now, step.not_before or 0)
            found[step.id] = Fixed(None, start, start + step.minutes)
    return found


def _with_befores(by_id: Mapping[str, Step], asked: Collection[str]) -> set[str]:
    """The steps asked for and all that they wait for, however far back."""
    found: set[str] = set()
    ahead = list(asked)
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += [before for before, _ in by_id[one].after if before in by_id]
    return found


def _still_fits(problem: Problem, hours: Hours, step: Step, at: Fixed) -> bool:
    """Whether its people may still do it, and are in for just as long as it takes."""
    earliest = problem.now if step.not_before is None else max(problem.now, step.not_before)
    if at.start < earliest or at.finish > problem.horizon:
        return False
    if step.unattended or at.person is None or (at.person, at.second) not in hours.pairs(step):
        return False
    calendar = hours.calendar(step, at.person, at.second)
    worked = calendar.worked_before(at.finish) - calendar.worked_before(at.start)
    return (
        worked == step.minutes
        and calendar.is_working(at.start)
        and calendar.is_working(at.finish - 1)
        and (not step.one_go or at.finish - at.start == step.minutes)
    )


def _drop_pushed(kept: dict[str, Fixed], begun: Mapping[str, Fixed], now: int) -> None:
    """Take out what stands where work under way goes on, or where two steps now stand at once."""
    busy: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for place in begun.values():
        for who in (place.person, place.second):
            if who is not None and place.finish > now:
                busy[who].append((place.start, place.finish))
    for one in sorted(kept, key=lambda one: (kept[one].start, one)):
        at = kept[one]
        whose = [who for who in (at.person, at.second) if who is not None]
        if any(a < at.finish and b > at.start for who in whose for a, b in busy[who]):
            del kept[one]
            continue
        for who in whose:
            busy[who].append((at.start, at.finish))


def _waits_hold(step: Step, kept: Standing, begun: Standing) -> bool:
    """Whether all that the step waits for stands too, and is over in time."""
    at = kept[step.id].start
    for before, wait_min in step.after:
        place = kept.get(before) or begun.get(before)
        if place is None or place.finish + wait_min > at:
            return False
    return True


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


def as_plan_of(problem: Problem, found: Plan, free: Plan) -> Plan:
    """A plan of a problem with fixed steps as one of the problem without, with `free`'s bound."""
    steps = add_latest_starts(problem, found.steps)
    figures = figures_ready(problem, steps)
    ready = max((step.finish for step in steps), default=problem.now)
    bound = problem.now if free.bound is None else free.bound
    goal = bound // QUARTER_MIN * QUARTER_MIN + QUARTER_MIN - 1
    return replace(
        found,
        status="proved" if ready <= goal else "found",
        steps=steps,
        ready=ready,
        lateness=weighted_lateness(problem, figures),
        figures=figures,
        bound=bound,
        bound_by=free.bound_by,
        gap=share_left(ready, bound, problem.now),
    )
