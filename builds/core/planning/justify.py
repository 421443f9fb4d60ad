"""Forward-backward passes: push every step late, then early again; the plan never gets worse.

Li and Willis, European Journal of Operational Research 56 (1992) 370-379; Valls, Ballestin and
Quintanilla, the same journal 165 (2005) 375-386. A figure's steps are pushed no later than its date
or, where it is late already, than it is ready now; everything no later than all is ready now.
"""

from __future__ import annotations

from builds.core.planning.place import Room
from builds.core.planning.serial import insert_all
from builds.core.planning.tables import Row, Tables


def latest_allowed(t: Tables, finish: Row, all_ready: int, latest: Row, allowed: Row) -> None:
    """Fill `allowed` with the finish up to which each step may be pushed. `latest`: scratch."""
    figures = len(t.due)
    for k in range(figures):
        latest[k] = t.due[k]
    for i in range(t.n):
        k = t.figure[i]
        if k >= 0 and finish[i] > latest[k]:
            latest[k] = finish[i]
    for i in range(t.n):
        k = t.figure[i]
        allowed[i] = all_ready if k < 0 or latest[k] > all_ready else latest[k]


def order_by(t: Tables, value: Row, sign: int, order: Row, rank: Row) -> None:
    """Fill `order` with steps by sign * value; ties keep `rank`, turned where sign is -1."""
    pairs = [(sign * value[i], sign * rank[i], i) for i in range(t.n)]
    pairs.sort()
    for x in range(t.n):
        order[x] = pairs[x][2]


def push_late(
    t: Tables,
    turned: Tables,
    room: Room,
    order: Row,
    bias: Row,
    forced: Row,
    start: Row,
    finish: Row,
    choice: Row,
) -> int:
    """Place steps as late as `turned.release` lets them, in `order` (latest finish first).

    Fills start and finish in forward minutes; the answer is that of `insert_all`.
    """
    failed = insert_all(turned, room, order, bias, forced, start, finish, choice)
    for i in range(t.n):
        s = t.horizon - finish[i]
        finish[i] = t.horizon - start[i]
        start[i] = s
    return failed
