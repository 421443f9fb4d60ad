"""Tables with time turned round, so that one insertion serves for going forward and backward."""

from __future__ import annotations

from builds.core.planning.tables import Layout, Tables, slot_rows
from builds.core.planning.taken import BEFORE_ALL


def mirror(layout: Layout) -> Tables:
    """The same tables with time running backward: minute t becomes horizon - t.

    Waits turn round, holds after a finish become holds before a start, and releases are dropped
    (a step pushed later never starts too early).
    """
    t = layout.tables
    h = t.horizon
    turned = slot_rows([tuple((h - b, h - a) for a, b in reversed(row)) for row in layout.slots], h)
    busy_from = [list(row) for row in t.busy_from]
    busy_to = [list(row) for row in t.busy_to]
    for k in range(t.people):
        count = t.busy_n[k]
        turned_row = [(h - t.busy_to[k][j], h - t.busy_from[k][j]) for j in range(count)][::-1]
        for j, (a, b) in enumerate(turned_row):
            busy_from[k][j], busy_to[k][j] = a, b
    mark_at = [list(row) for row in t.mark_at]
    mark_used = [list(row) for row in t.mark_used]
    for e in range(t.gear):
        count = t.mark_n[e]
        # usage between marks j and j + 1 lies between their mirrored minutes, in reverse order
        spans = [(h - t.mark_at[e][j + 1], t.mark_used[e][j]) for j in range(count - 1)][::-1]
        row = [(BEFORE_ALL, t.mark_used[e][count - 1]), *spans]
        for j, (at, used) in enumerate(row):
            mark_at[e][j], mark_used[e][j] = at, used
    return t._replace(
        release=[0] * t.n,
        pred_at=t.succ_at,
        pred=t.succ,
        pred_wait=t.succ_wait,
        succ_at=t.pred_at,
        succ=t.pred,
        succ_wait=t.pred_wait,
        hold_pre=t.hold_post,
        hold_post=t.hold_pre,
        busy_from=busy_from,
        busy_to=busy_to,
        mark_at=mark_at,
        mark_used=mark_used,
        **turned,
    )
