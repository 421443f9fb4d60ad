"""Which figures come first where not all can be in time: dates that stand in for the real ones.

When there is more work than time, the real dates lead everybody to be a little late. The order is
made by the apparent tardiness cost (Vepsalainen and Morton, Management Science 33 (1987)
1035-1047): of the figures left, next comes the one with the most weight for each minute of the
people who alone can do its work, less for one whose date is far off. The minute at which it would
then be ready is its date in priorities.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from builds.core.planning.tables import Layout, Numbers

Floats = npt.NDArray[np.float64]
Behind = list[tuple[int, ...]]


class Scarce(NamedTuple):
    """Work that only one person can do: minutes a figure and person, and the clock behind it."""

    people: list[int]
    minutes: Floats
    tail: Floats
    shared: dict[int, list[tuple[int, int, int]]]


def stand_in_dates(
    layout: Layout, behind: Behind, tails: Numbers, patience_min: int, tail_share: float
) -> Numbers:
    """A date for each dated figure. `behind`: the figures that wait for each step.

    `patience_min`: how far off a date must be for its figure to count a third of its weight;
    `tail_share`: how much of the clock behind a figure's first scarce steps is counted.
    Cost: figures squared times people, in numpy.
    """
    t = layout.tables
    scarce = _find_scarce(layout, behind, tails)
    need = scarce.minutes
    now = float(layout.problem.now)
    weight, due = np.array(t.weight, dtype=np.float64), np.array(t.due, dtype=np.float64)
    rate = np.array([_clock_rate(layout, p) for p in scarce.people])
    clock: Floats = np.full(len(scarce.people), now)
    waiting = np.ones(len(t.due), dtype=bool)
    done: set[int] = set()
    out = [0] * len(t.due)
    for _ in t.due:
        end = np.where(need > 0, clock + need * rate, now)
        ready = end.max(axis=1, initial=now) + scarce.tail * tail_share
        most = need.max(axis=1, initial=0.0) + 1.0
        worth = weight / most * np.exp(-np.maximum(0.0, due - ready) / patience_min)
        k = int(np.argmax(np.where(waiting, worth, -1.0)))
        waiting[k] = False
        out[k] = int(ready[k])
        for column, p in enumerate(scarce.people):
            if need[k, column] > 0:
                clock[column] = _worked_off(layout, p, int(clock[column]), int(need[k, column]))
        for i, column, minutes in scarce.shared[k]:
            if i not in done:
                done.add(i)
                for other in behind[i]:
                    need[other, column] -= minutes
    return out


def figures_behind(layout: Layout, order: Numbers) -> Behind:
    """The dated figures that wait for each step. `order`: no step before one it waits for."""
    t = layout.tables
    out: Behind = [()] * t.n
    for i in reversed(order):
        own = {t.figure[i]} if t.figure[i] >= 0 else set()
        for x in range(t.succ_at[i], t.succ_at[i + 1]):
            own.update(out[t.succ[x]])
        out[i] = tuple(sorted(own))
    return out


def _find_scarce(layout: Layout, behind: Behind, tails: Numbers) -> Scarce:
    """What each figure needs of people without whom it cannot be done; what it shares with whom."""
    t = layout.tables
    owned: dict[int, list[int]] = {}
    for i in range(t.n):
        hands = [{t.opt_person[o], t.opt_second[o]} for o in range(t.opt_at[i], t.opt_at[i + 1])]
        for p in set.intersection(*hands) - {-1} if hands else ():
            owned.setdefault(p, []).append(i)
    people = sorted(owned)
    minutes: Floats = np.zeros((len(t.due), len(people)))
    tail: Floats = np.full(len(t.due), np.inf)
    shared: dict[int, list[tuple[int, int, int]]] = {k: [] for k in range(len(t.due))}
    for column, p in enumerate(people):
        for i in owned[p]:
            for k in behind[i]:
                minutes[k, column] += t.minutes[i]
                tail[k] = min(tail[k], tails[i])
                if len(behind[i]) > 1:
                    shared[k].append((i, column, t.minutes[i]))
    tail[np.isinf(tail)] = 0.0
    return Scarce(people, minutes, tail, shared)


def _clock_rate(layout: Layout, p: int) -> float:
    """Minutes on the clock that a working minute of person p takes."""
    calendar, now = layout.calendars[p], layout.problem.now
    left = calendar.total - calendar.worked_before(now)
    return (calendar.slots[-1][1] - now) / left if left else 1.0


def _worked_off(layout: Layout, p: int, start: int, minutes: int) -> int:
    """When person p has worked so much from `start` on; the horizon where the hours end."""
    finish = layout.calendars[p].finish_of(start, minutes)
    return layout.tables.horizon if finish is None else finish
