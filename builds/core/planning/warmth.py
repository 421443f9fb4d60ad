"""Compiling the loops ahead, or beside a search that goes on in plain Python meanwhile.

A search gives the same plan whenever it changes over, so that the change may come at any time.
"""

from __future__ import annotations

import threading

from builds.core.planning.compiled import compiled_loops
from builds.core.planning.problem import Equipment, Figure, Hold, Person, Problem, Step

_done = threading.Event()
_lock = threading.Lock()
_threads: list[threading.Thread] = []


def is_warm() -> bool:
    """Whether the compiled loops can be used without waiting; begins to compile them if not."""
    if _done.is_set():
        return True
    if compiled_loops() is None:
        return False
    with _lock:
        if not _threads:
            # a daemon: a process that ends before the loops are compiled need not wait for them
            _threads.append(threading.Thread(target=_compile_all, daemon=True))
            _threads[0].start()
    return _done.is_set()


def loops_ready() -> bool:
    """Whether the compiled loops can be used at once; begins nothing."""
    return _done.is_set()


def warm_up() -> bool:
    """Compile the loops now and wait for it; False where there is nothing to compile."""
    if not is_warm() and compiled_loops() is None:
        return False
    _done.wait()
    return True


def _compile_all() -> None:
    """Use each loop once on a problem of a few steps."""
    from builds.core.planning.begun import settle_begun
    from builds.core.planning.bounds import earliest_ready
    from builds.core.planning.hours import Hours
    from builds.core.planning.tables import lay_out
    from builds.core.planning.workbench import Workbench

    try:
        problem = _small()
        hours = Hours(problem)
        fixed, _ = settle_begun(problem, hours)
        bench = Workbench(lay_out(problem, fixed, hours), 1)
        bench.decoder.compile()
        earliest_ready(bench.decoder)
        bench.try_both()
    finally:
        _done.set()


def _small() -> Problem:
    days = tuple((day * 1440 + 540, day * 1440 + 840) for day in range(30))
    crew = (
        Person("A", days, frozenset({"carve", "sew"}), is_lead=True),
        Person("B", days, frozenset({"sew"})),
    )
    steps = tuple(
        Step(
            f"{k}",
            200,
            craft="sew" if k % 2 else "carve",
            second="anybody" if k == 3 else None,
            holds=(Hold("frame"),) if k % 3 else (),
            after=((f"{k - 1}", 0),) if k % 2 else (),
            figure="J1" if k < 4 else "J2",
        )
        for k in range(8)
    )
    figures = (Figure("J1", 1), Figure("J2", 1))
    return Problem(steps, crew, (Equipment("frame"),), figures, horizon=30 * 1440)
