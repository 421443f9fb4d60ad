"""What first priorities are made of: the order that waits leave, and the work behind a step."""

from __future__ import annotations

from builds.core.planning.tables import Layout


def stretch(layout: Layout) -> list[float]:
    """Minutes on the clock that a working minute of each step takes, on its best hours."""
    t = layout.tables
    now, horizon = layout.problem.now, t.horizon
    rate = []
    for calendar in layout.calendars:
        left = calendar.total - calendar.worked_before(now)
        until = calendar.slots[-1][1] if calendar.slots else horizon
        rate.append((until - now) / left if left else 1.0)
    out = []
    for i in range(t.n):
        options = range(t.opt_at[i], t.opt_at[i + 1])
        out.append(
            min((1.0 if t.opt_cal[o] < 0 else rate[t.opt_cal[o]] for o in options), default=1)
        )
    return out


def topological(layout: Layout) -> list[int]:
    """Steps so that none stands before one it waits for."""
    t = layout.tables
    left = [t.pred_at[i + 1] - t.pred_at[i] for i in range(t.n)]
    order = [i for i in range(t.n) if left[i] == 0]
    for i in order:
        for x in range(t.succ_at[i], t.succ_at[i + 1]):
            left[t.succ[x]] -= 1
            if left[t.succ[x]] == 0:
                order.append(t.succ[x])
    return order


def tails(layout: Layout, order: list[int]) -> list[int]:
    """Longest stretch of the clock from each step's start to the end of all that follows it."""
    t = layout.tables
    rate = stretch(layout)
    out = [0] * t.n
    for i in reversed(order):
        longest = 0
        for x in range(t.succ_at[i], t.succ_at[i + 1]):
            longest = max(longest, out[t.succ[x]] + t.succ_wait[x])
        out[i] = longest + int(t.minutes[i] * rate[i])
    return out
