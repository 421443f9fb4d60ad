"""Weighted minutes late below which no plan with these people can come.

By any minute a set of people can have given only so much working time. Of the figures due by then
the heaviest for their work are finished at best, the rest are late for that minute (the knapsack's
linear relaxation: Dantzig, Operations Research 5 (1957) 266-277). Added up over all minutes, the
set that says most taken at each, this is a bound on lateness.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from builds.core.planning.energy import Energy
from builds.core.planning.figure_order import Behind
from builds.core.planning.plan import QUARTER_MIN
from builds.core.planning.tables import Layout

Array = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
DAY_MIN = 1440
MOST_SETS, MOST_MINUTES = 24, 1000
# of so few figures every choice is tried
FEW_FIGURES = 12
# shares are rounded: nothing is proved by less than this
MARGIN = 1e-6


def least_lateness(layout: Layout, energy: Energy, behind: Behind, finish: list[int]) -> int:
    """Weighted minutes late at the least. `finish`: the soonest that each step can be done.

    `behind`: the dated figures that wait for each step. 0 where no figure has a date. Cost: a sort
    for each of a few sets of people and each date, and a look-up for each minute asked about.
    """
    t = layout.tables
    if not t.due:
        return 0
    due: Array = np.array(t.due, dtype=np.int64)
    weight: Array = np.array(t.weight, dtype=np.int64)
    soonest: Array = np.array(t.figure_done, dtype=np.int64)
    for i, figures in enumerate(behind):
        for k in figures:
            soonest[k] = max(soonest[k], finish[i])
    at = _minutes_asked(due, int(soonest.max()), layout.problem.horizon)
    if len(at) < 2:
        return 0
    # between two minutes asked about no date falls, and what is finished at the later one is most
    ends = at[1:]
    is_due = due <= at[:-1, None]
    late = np.where(is_due & (soonest > ends[:, None]), weight, 0).sum(axis=1)
    is_open = is_due & (soonest <= ends[:, None])
    total = np.where(is_due, weight, 0).sum(axis=1)
    people = [one.mask for one in energy.arguments if one.gear is None]
    for mask in people[:MOST_SETS]:
        demand, hours = energy.demand[mask], energy.worked_before(mask, ends)
        if len(due) <= FEW_FIGURES:
            most = _most_of_few(demand, behind, weight, is_open, hours)
        else:
            most = _most_at_best(_shared_out(demand, behind, len(due)), weight, is_open, hours)
        late = np.maximum(late, total - most)
    return int((late * np.diff(at)).sum())


def _minutes_asked(due: Array, soonest: int, horizon: int) -> Array:
    """Every date, and minutes even apart from the first date on while something may be late."""
    first, last = int(due.min()), min(horizon, max(int(due.max()), soonest) + 400 * DAY_MIN)
    if first >= last:
        return np.zeros(0, dtype=np.int64)
    apart = max(QUARTER_MIN, (last - first) // MOST_MINUTES)
    even = np.arange(first, last, apart, dtype=np.int64)
    every: Array = np.unique(np.concatenate((due[due <= last], even, [last])))
    return every


def _shared_out(demand: Array, behind: Behind, figures: int) -> Floats:
    """Minutes that each figure takes of a set; what several wait for is shared out among them."""
    work: Floats = np.zeros(figures)
    for i in np.flatnonzero(demand):
        for k in behind[i]:
            work[k] += demand[i] / len(behind[i])
    return work


def _most_at_best(work: Floats, weight: Array, is_open: Flags, hours: Array) -> Array:
    """The most weight that so many hours finish of the open figures, the last one in part."""
    order: Array = np.argsort(-weight / np.maximum(work, MARGIN), kind="stable")
    may = is_open[:, order]
    need = np.where(may, work[order], 0.0)
    room = np.maximum(0.0, hours[:, None] + MARGIN - (np.cumsum(need, axis=1) - need))
    share = np.minimum(1.0, room / np.maximum(need, MARGIN))
    most = np.where(may, share * weight[order], 0.0).sum(axis=1)
    whole: Array = np.floor(most + MARGIN).astype(np.int64)
    return whole


def _most_of_few(
    demand: Array, behind: Behind, weight: Array, is_open: Flags, hours: Array
) -> Array:
    """The most weight that so many hours finish of the open figures, every choice of them tried."""
    bits = 1 << np.arange(len(weight), dtype=np.int64)
    choices: Array = np.arange(1 << len(weight), dtype=np.int64)
    without: Array = np.zeros(len(choices), dtype=np.int64)
    for i in np.flatnonzero(demand):
        without[sum(1 << k for k in behind[i])] += demand[i]
    worth: Array = np.zeros(len(choices), dtype=np.int64)
    for bit, value in zip(bits, weight, strict=True):
        worth[choices & bit > 0] += value
        without[choices & bit > 0] += without[choices & bit == 0]
    # `without` is now the work that none but the figures of a choice wait for
    work = without[-1] - without[::-1]
    order = np.argsort(work, kind="stable")
    open_bits = (is_open * bits).sum(axis=1)
    most: Array = np.zeros(len(hours), dtype=np.int64)
    for some in np.unique(open_bits):
        fits = order[choices[order] & ~some == 0]
        best = np.maximum.accumulate(worth[fits])
        asked = open_bits == some
        place = np.searchsorted(work[fits], hours[asked], side="right") - 1
        most[asked] = np.where(place >= 0, best[np.maximum(place, 0)], 0)
    return most
