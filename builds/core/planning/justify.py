"""Forward-backward passes: push every step late, then early again; the plan never gets worse.

Li and Willis, European Journal of Operational Research 56 (1992) 370-379; Valls, Ballestin and
Quintanilla, the same journal 165 (2005) 375-386. A figure's steps are pushed no later than its date
or, where it is late already, than it is ready now; everything no later than all is ready now.
"""

from __future__ import annotations

from builds.core.planning.serial import insert_all
from builds.core.planning.sheet import DUE, FIGURE, FIGURE_READY, FIGURES, HORIZON, RELEASE, N
from builds.core.planning.tables import Row


def set_latest(t: Row, turned: Row, finish: Row, all_ready: int) -> None:
    """Set the releases of the turned sheet: the finish up to which each step may be pushed."""
    latest = t[FIGURE_READY]
    for k in range(t[FIGURES]):
        t[latest + k] = t[t[DUE] + k]
    for i in range(t[N]):
        k = t[t[FIGURE] + i]
        if k >= 0 and finish[i] > t[latest + k]:
            t[latest + k] = finish[i]
    for i in range(t[N]):
        k = t[t[FIGURE] + i]
        allowed = all_ready
        if k >= 0 and t[latest + k] < all_ready:
            allowed = t[latest + k]
        turned[turned[RELEASE] + i] = t[HORIZON] - allowed


def order_by(t: Row, value: Row, sign: int, rank: Row, order: Row) -> None:
    """Fill `order` with steps by sign * value; ties keep `rank`, turned where sign is -1."""
    pairs = [(sign * value[i], sign * rank[i], i) for i in range(t[N])]
    pairs.sort()
    for x in range(t[N]):
        order[x] = pairs[x][2]


def push_late(
    t: Row,
    turned: Row,
    order: Row,
    bias: Row,
    forced: Row,
    start: Row,
    finish: Row,
    choice: Row,
) -> int:
    """Place steps as late as the turned releases let them, in `order` (latest finish first).

    Fills start and finish in forward minutes; the answer is that of `insert_all`.
    """
    failed = insert_all(turned, order, bias, forced, start, finish, choice, 0)
    for i in range(t[N]):
        s = t[HORIZON] - finish[i]
        finish[i] = t[HORIZON] - start[i]
        start[i] = s
    return failed
