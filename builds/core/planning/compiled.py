"""The same loops, compiled by numba where it is installed: about forty times as quick.

Every loop is written to run as plain Python too, with the same answer; this module makes compiled
copies of them. The first use compiles (some twenty seconds) and leaves the machine code in a cache
beside this file, or in the user's where that cannot be written.
"""

from __future__ import annotations

import hashlib
import types
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

from builds.core.planning import (
    dispatch,
    justify,
    moves,
    order_search,
    place,
    reach,
    search,
    serial,
    sheet,
)

LOOPS: tuple[Callable[..., Any], ...] = (
    reach.soonest,
    reach.latest_start,
    reach.reach_early,
    reach.reach_late,
    place.clear,
    place.free_from,
    place.fit,
    place.next_work,
    place.keep_busy,
    place.hold,
    place.take,
    place.may_use,
    place.score,
    serial.feasible_order,
    serial.insert_all,
    dispatch.open_day,
    dispatch.is_wanted,
    dispatch.start_now,
    dispatch.dispatch_all,
    justify.set_latest,
    justify.order_by,
    justify.push_late,
    moves.draw,
    moves.start_move,
    moves.any_hands,
    moves.loosen,
    moves.shift_steps,
    moves.shake,
    moves.shift_group,
    moves.swap_groups,
    moves.link_people,
    moves.pick_target,
    moves.pull_chain,
    moves.inherit,
    search.count_untidy,
    search.is_better,
    search.keep,
    search.mean_finish,
    search.ask_early,
    search.let_go,
    search.dispatch_keys,
    search.keep_before,
    search.keep_best,
    search.push_back,
    search.push_both_ways,
    search.turn_round,
    search.try_move,
    search.search,
    order_search.set_keys,
    order_search.set_bias,
    order_search.decode_rule,
    order_search.change_order,
    order_search.search_order,
)

PLAIN_LOOPS: dict[str, Callable[..., Any]] = {loop.__name__: loop for loop in LOOPS}


def first_after(t: Any, low: int, high: int, value: int) -> int:
    """As in `place`: a bisection that compiles."""
    while low < high:
        middle = (low + high) >> 1
        if t[middle] > value:
            high = middle
        else:
            low = middle + 1
    return low


def shift_in(t: Any, at: int, end: int, value: int) -> None:
    """As in `place`: moving entries on by one, from the last."""
    while end > at:
        t[end] = t[end - 1]
        end -= 1
    t[at] = value


def shift_out(t: Any, at: int, end: int) -> None:
    """As in `place`: moving entries back by one, from the first."""
    while at < end - 1:
        t[at] = t[at + 1]
        at += 1


def copy_row(one: Any, other: Any, count: int) -> None:
    """As in `search`."""
    for i in range(count):
        other[i] = one[i]


@lru_cache(maxsize=1)
def compiled_loops() -> dict[str, Callable[..., Any]] | None:
    """The loops by name, each compiled when it is first called; None where numba is missing."""
    try:
        import numba  # type: ignore[import-not-found,import-untyped,unused-ignore]

        settings: Any = numba.config
    except ImportError:
        return None
    if not settings.CACHE_DIR:
        # numba knows a change of a loop's own file alone, not of the loops that it calls
        cache = Path(__file__).parent / "__pycache__" / f"loops-{_fingerprint()}"
        settings.CACHE_DIR = str(cache)
    made: dict[str, Any] = {}
    for loop in (first_after, shift_in, shift_out, copy_row, *LOOPS):
        names = {**loop.__globals__, **made}
        copy = types.FunctionType(loop.__code__, names, loop.__name__, loop.__defaults__)
        made[loop.__name__] = numba.njit(cache=True, nogil=True)(copy)
    return made


def _fingerprint() -> str:
    files = {loop.__code__.co_filename for loop in LOOPS} | {__file__, sheet.__file__}
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(Path(name).read_bytes())
    return digest.hexdigest()[:12]
