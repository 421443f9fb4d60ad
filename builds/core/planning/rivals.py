"""General solvers set to the same classical problems, to measure the planning against them."""

from __future__ import annotations

from builds.core.planning.problem import Problem


def solve_with_cp_sat(problem: Problem, seconds: float, workers: int = 2) -> int | None:
    """Length found by a bare constraint model in OR-Tools, or None if it found no plan.

    Only for problems without people: intervals, what they wait for, cumulative equipment.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    horizon = problem.horizon
    starts = {step.id: model.new_int_var(0, horizon, "") for step in problem.steps}
    intervals = {
        step.id: model.new_fixed_size_interval_var(starts[step.id], step.minutes, "")
        for step in problem.steps
    }
    minutes = {step.id: step.minutes for step in problem.steps}
    end = model.new_int_var(0, horizon, "")
    for step in problem.steps:
        model.add(end >= starts[step.id] + step.minutes)
        for before, wait in step.after:
            model.add(starts[step.id] >= starts[before] + minutes[before] + wait)
    for gear in problem.equipment:
        uses = [
            (intervals[step.id], hold.amount)
            for step in problem.steps
            for hold in step.holds
            if hold.equipment == gear.id and hold.amount
        ]
        if uses:
            model.add_cumulative([one for one, _ in uses], [a for _, a in uses], gear.capacity)
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value) if found else None


def solve_with_pyjobshop(problem: Problem, seconds: float, workers: int = 2) -> int | None:
    """Length found by PyJobShop; None if it is not installed or found no plan."""
    try:
        from pyjobshop import Model  # type: ignore[import-not-found,import-untyped,unused-ignore]
    except ImportError:
        return None
    model = Model()
    gear = {one.id: model.add_renewable(capacity=one.capacity) for one in problem.equipment}
    tasks = {}
    for step in problem.steps:
        tasks[step.id] = model.add_task()
        amount = {hold.equipment: hold.amount for hold in step.holds}
        model.add_mode(
            tasks[step.id],
            resources=[gear[one] for one in gear if amount.get(one)],
            duration=step.minutes,
            demands=[amount[one] for one in gear if amount.get(one)],
        )
    for step in problem.steps:
        for before, wait in step.after:
            model.add_end_before_start(tasks[before], tasks[step.id], delay=wait)
    result = model.solve(time_limit=seconds, num_workers=workers, display=False)
    return None if result.best is None else round(result.objective)
