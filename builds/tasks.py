"""The long jobs of the worker: looking for a better plan."""

from __future__ import annotations

from collections.abc import Callable

from builds.services.plan_runs import carry_out, take_run


def improve_next_plan(*, stop: Callable[[], bool]) -> bool:
    """Carry out the next run that waits, if there is one, and say whether there was."""
    run = take_run()
    if run is None:
        return False
    carry_out(run, stop=stop)
    return True
