"""Planning from start to end: first plan at once, then better ones, every one of them checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from builds.core.planning.begun import settle_begun
from builds.core.planning.bounds import Bound, earliest_ready
from builds.core.planning.checker import check_plan
from builds.core.planning.decode import Decoder, Draft
from builds.core.planning.faults import find_faults
from builds.core.planning.figure_order import figures_behind
from builds.core.planning.hours import Hours
from builds.core.planning.latest import add_latest_starts
from builds.core.planning.origin import (
    last_midnight,
    move_plan,
    move_problem,
    move_standing,
)
from builds.core.planning.plan import Plan, PlannedStep, quarter_end, share_left
from builds.core.planning.problem import Problem
from builds.core.planning.promises import Standing
from builds.core.planning.score import figures_ready, weighted_lateness
from builds.core.planning.tables import Layout, lay_out
from builds.core.planning.warmth import loops_ready
from builds.core.planning.workbench import Workbench

Stop = Callable[[], bool]
Report = Callable[[Plan], None]
# making a plan to show costs as much as many rounds: at most one for so small a share of them
REPORT_SHARE = 20


def solve(
    problem: Problem,
    *,
    work: int,
    seed: int,
    stop: Stop | None = None,
    report: Report | None = None,
    like: Sequence[Standing] = (),
) -> Plan:
    """Plan a problem: the best plan that `work` rounds of improvement find.

    `work` 0 gives the first plan. The same problem, work and seed give the same plan; `stop` is
    asked between rounds and is the only way for a clock to end it early; `report` is given each
    better plan. `like`: where steps stand in plans to begin from. A problem that cannot be planned
    gives a plan of status 'none' with its reasons. ValueError for `work` below 0.

    >>> from builds.core.planning.problem import Person, Step
    >>> ines = Person("Ines", ((480, 720), (1920, 2160)), frozenset({"carve"}))
    >>> carve = Step("carve", 300, craft="carve")
    >>> plan = solve(Problem((carve,), (ines,), horizon=2880), work=0, seed=1)
    >>> plan.steps[0].start, plan.steps[0].finish, plan.status
    (480, 1980, 'proved')
    """
    if work < 0:
        raise ValueError(f"work is {work} rounds: it must be 0 or more")
    origin = last_midnight(problem)
    plan = _solve(
        move_problem(problem, -origin),
        origin,
        work,
        seed,
        stop,
        (lambda better: report(move_plan(better, origin))) if report is not None else None,
        [move_standing(standing, -origin) for standing in like],
    )
    if plan.status != "none":
        return move_plan(plan, origin)
    # sentences name minutes as they were given
    return replace(plan, reasons=tuple(find_faults(problem)) or plan.reasons)


def _solve(
    problem: Problem,
    origin: int,
    work: int,
    seed: int,
    stop: Stop | None,
    report: Report | None,
    like: Sequence[Standing],
) -> Plan:
    layout, wrong = _lay_out(problem)
    if layout is None:
        return Plan("none", reasons=tuple(wrong), seed=seed)
    bench = Workbench(layout, seed, like)
    if bench.best is None:
        return Plan("none", reasons=(_no_room(bench, layout, origin),), seed=seed)
    late, ready = bench.best.score
    bound = earliest_ready(bench.decoder, ready, bench.behind if late > 0 else None)
    goal = _goal(bound, problem)
    bench.goal = goal
    plan: Plan | None = None
    told = None
    next_at = 0
    while True:
        if report is not None and bench.best is not told and bench.rounds >= next_at:
            told = bench.best
            plan = make_plan(layout, told, bound, bench.rounds, seed)
            report(plan)
            next_at = bench.rounds + bench.rounds // REPORT_SHARE
        late, ready = bench.best.score
        if bench.rounds >= work or (late == 0 and ready <= goal) or (stop is not None and stop()):
            break
        bench.improve(work - bench.rounds, work)
    rounds = min(work, bench.rounds)
    if plan is not None and bench.best is told:
        return replace(plan, work=rounds)
    plan = make_plan(layout, bench.best, bound, rounds, seed)
    if report is not None:
        report(plan)
    return plan


def find_bound(problem: Problem) -> Bound | None:
    """What no plan of a problem can better, without making a plan; None where there is none.

    Cheaper than a first plan: no step is placed and nothing is checked.
    """
    origin = last_midnight(problem)
    layout, _ = _lay_out(move_problem(problem, -origin))
    if layout is None:
        return None
    decoder = Decoder(layout)
    if loops_ready():
        decoder.compile()
    bound = earliest_ready(decoder, behind=figures_behind(layout, decoder.topo))
    return replace(bound, minute=bound.minute + origin)


def _lay_out(problem: Problem) -> tuple[Layout | None, list[str]]:
    """The problem in rows, or else the sentences that say why it cannot be planned."""
    hours = Hours(problem)
    faults = find_faults(problem, hours)
    if faults:
        return None, faults
    fixed, lost = settle_begun(problem, hours)
    return (None, lost) if lost else (lay_out(problem, fixed, hours), [])


def _goal(bound: Bound, problem: Problem) -> int:
    """The last minute that counts as the bound's: that of its quarter hour, where people work."""
    if not problem.people:
        return bound.minute
    return quarter_end(bound.minute)


def _no_room(bench: Workbench, layout: Layout, origin: int) -> str:
    step = layout.steps[max(bench.decoder.failed, 0)]
    return (
        f"There are not enough hours: {step.name} finds no place before minute "
        f"{layout.problem.horizon + origin}, where the known hours end."
    )


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
        status="proved" if ready <= _goal(bound, problem) else "found",
        steps=steps,
        ready=ready,
        lateness=weighted_lateness(problem, figures),
        figures=figures,
        bound=bound.minute,
        bound_by=bound.by,
        lateness_bound=bound.lateness,
        gap=share_left(ready, bound.minute, problem.now),
        work=work,
        seed=seed,
    )
    wrong = check_plan(problem, plan)
    if wrong:
        raise RuntimeError("The plan breaks rules: " + " ".join(wrong[:5]))
    return plan
