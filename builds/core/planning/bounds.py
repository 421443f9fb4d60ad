"""Minutes before which no plan with these people can have all ready, and what shows it.

Two arguments, the stronger wins. The longest path: every step as early as its best hours allow,
in working time, with its waits. Working time of a set of people: what they alone can do between
two minutes must fit into the hours they have between them (energetic reasoning: Baptiste, Le Pape
and Nuijten, Constraint-Based Scheduling, 2001, chapter 3). The second is asked of a day on trial:
if all were ready by then, latest finishes would follow, and the hours would not be enough.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from builds.core.planning.calendars import Calendar, subtract, tidy
from builds.core.planning.priorities import topological
from builds.core.planning.tables import Layout

Array = npt.NDArray[np.int64]
MOST_SETS = 300
MOST_WINDOWS = 48


@dataclass(frozen=True, slots=True)
class Bound:
    """A proved minute, and in words what shows it (`people` where their hours do)."""

    minute: int
    by: str
    people: tuple[str, ...] = ()


def earliest_ready(layout: Layout) -> Bound:
    """The strongest bound found. Cost: about 15 trials, each sets x windows."""
    paths = Paths(layout)
    head = paths.earliest()
    done = layout.tables.all_done
    longest = max((int(f) for _, f in head), default=done)
    longest = max(longest, done)
    best = Bound(longest, "the longest chain of work and waits")
    if layout.tables.n == 0 or not layout.people:
        return best
    energy = Energy(layout, [s for s, _ in head])
    low, high = longest, layout.problem.horizon
    while low < high:
        trial = (low + high) // 2
        late = paths.latest(trial)
        who = None if late is None else energy.too_much(late, trial)
        if late is None:
            best = Bound(trial + 1, "the longest chain of work and waits")
            low = trial + 1
        elif who is not None:
            best = Bound(trial + 1, f"the hours of {_listed(who)}", who)
            low = trial + 1
        else:
            high = trial
    return best


def _listed(names: tuple[str, ...]) -> str:
    """Names as in a sentence.

    >>> _listed(("Ines", "Tomas", "Priya"))
    'Ines, Tomas and Priya'
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


class Paths:
    """Earliest and latest times when everybody may work on everything at once."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.order = topological(layout)
        t = layout.tables
        self.calendars: list[list[Calendar]] = [
            list(
                {
                    t.opt_cal[o]: layout.calendars[t.opt_cal[o]]
                    for o in range(t.opt_at[i], t.opt_at[i + 1])
                    if t.opt_cal[o] >= 0
                }.values()
            )
            for i in range(t.n)
        ]

    def earliest(self) -> list[tuple[int, int]]:
        """Earliest start and earliest finish of each step."""
        t = self.layout.tables
        out = [(0, 0)] * t.n
        for i in self.order:
            start = t.release[i]
            for x in range(t.pred_at[i], t.pred_at[i + 1]):
                start = max(start, out[t.pred[x]][1] + t.pred_wait[x])
            out[i] = self._soonest(i, start)
        return out

    def _soonest(self, i: int, start: int) -> tuple[int, int]:
        t = self.layout.tables
        m = t.minutes[i]
        if not self.calendars[i]:
            return start, start + m
        begins, finishes = [], []
        for calendar in self.calendars[i]:
            at = calendar.earliest_go(start, m) if t.one_go[i] else calendar.next_minute(start)
            finish = None if at is None else calendar.finish_of(at, m)
            if at is not None and finish is not None:
                begins.append(at)
                finishes.append(finish)
        if not begins:
            return start, self.layout.problem.horizon + 1
        return min(begins), min(finishes)

    def latest(self, end: int) -> list[int] | None:
        """Latest finish of each step for all to be ready by `end`; None if one cannot be."""
        t = self.layout.tables
        finish = [end] * t.n
        start = [0] * t.n
        for i in reversed(self.order):
            for x in range(t.succ_at[i], t.succ_at[i + 1]):
                finish[i] = min(finish[i], start[t.succ[x]] - t.succ_wait[x])
            start[i] = self._latest_start(i, finish[i])
            if start[i] < t.release[i]:
                return None
        return finish

    def _latest_start(self, i: int, finish: int) -> int:
        t = self.layout.tables
        m = t.minutes[i]
        if not self.calendars[i]:
            return int(finish - m)
        starts = [
            calendar.latest_go(finish, m) if t.one_go[i] else calendar.start_for(finish, m)
            for calendar in self.calendars[i]
        ]
        return max((at for at in starts if at is not None), default=-1)


class Energy:
    """Sets of people, what they alone must do, and the hours they have."""

    def __init__(self, layout: Layout, head: list[int]) -> None:
        self.layout = layout
        t = layout.tables
        self.head: Array = np.array(head, dtype=np.int64)
        self.minutes: Array = np.array(t.minutes, dtype=np.int64)
        self.masks = [
            {
                _bit(t.opt_person[o]) | _bit(t.opt_second[o])
                for o in range(t.opt_at[i], t.opt_at[i + 1])
            }
            for i in range(t.n)
        ]
        self.hours = [self._hours(p) for p in range(t.people)]
        self.sets = self._sets()
        self.demand = {mask: self._demand(mask) for mask in self.sets}
        self.sets = [mask for mask in self.sets if self.demand[mask].any()]
        heads = np.unique(self.head)
        picks = np.linspace(0, len(heads) - 1, min(MOST_WINDOWS, len(heads))).astype(int)
        self.starts = [int(at) for at in heads[picks]]

    def _hours(self, p: int) -> Calendar:
        """A person's hours from now on, less what fixed steps take."""
        t = self.layout.tables
        taken = [(t.busy_from[p][j], t.busy_to[p][j]) for j in range(t.busy_n[p])]
        now = self.layout.problem.now
        row = tidy((max(a, now), b) for a, b in self.layout.slots[p])
        return Calendar(subtract(row, tidy(taken)) if taken else row)

    def _sets(self) -> list[int]:
        """Sets worth asking about: those who can do some step, and unions of such."""
        own = sorted({_union(masks) for masks in self._distinct()} - {0}, key=int.bit_count)
        singles = [_bit(p) for p in range(self.layout.tables.people)]
        sets = dict.fromkeys([*singles, *own])
        for one in own:
            for other in list(sets):
                if len(sets) >= MOST_SETS:
                    return list(sets)
                sets.setdefault(one | other)
        return list(sets)

    def _distinct(self) -> set[frozenset[int]]:
        t = self.layout.tables
        firsts = {
            frozenset(_bit(t.opt_person[o]) for o in range(t.opt_at[i], t.opt_at[i + 1]))
            for i in range(t.n)
        }
        both = {
            frozenset(_bit(t.opt_second[o]) for o in range(t.opt_at[i], t.opt_at[i + 1]))
            for i in range(t.n)
        }
        return firsts | both

    def _demand(self, mask: int) -> Array:
        """Minutes of the set's time that each step takes at least."""
        least: dict[frozenset[int], int] = {}
        out = np.zeros(len(self.masks), dtype=np.int64)
        for i, masks in enumerate(self.masks):
            key = frozenset(masks)
            if key not in least:
                least[key] = min((one & mask).bit_count() for one in masks)
            out[i] = least[key]
        return out * self.minutes

    def too_much(self, finish: list[int], end: int) -> tuple[str, ...] | None:
        """A set whose work in some window is more than its hours, if all were ready by `end`."""
        late: Array = np.array(finish, dtype=np.int64)
        order = np.argsort(late, kind="stable")
        late = late[order]
        head = self.head[order]
        for mask in self.sets:
            demand = self.demand[mask][order]
            calendars = [h for p, h in enumerate(self.hours) if mask >> p & 1]
            used = demand > 0
            d_late, d_head, d_need = late[used], head[used], demand[used]
            worked = sum_worked(calendars, d_late)
            for start in self.starts:
                need = np.cumsum(np.where(d_head >= start, d_need, 0))
                have = worked - sum(c.worked_before(start) for c in calendars)
                if bool(np.any((need > have) & (need > 0))):
                    return tuple(one for p, one in enumerate(self.layout.people) if mask >> p & 1)
        return None


def _bit(p: int) -> int:
    return 0 if p < 0 else 1 << p


def _union(masks: frozenset[int]) -> int:
    out = 0
    for mask in masks:
        out |= mask
    return out


def sum_worked(calendars: list[Calendar], minutes: Array) -> Array:
    """Working minutes before each of `minutes`, summed over calendars."""
    out = np.zeros(len(minutes), dtype=np.int64)
    for calendar in calendars:
        if not calendar.slots:
            continue
        row = np.array(calendar.slots, dtype=np.int64)
        before = np.concatenate(([0], np.cumsum(row[:, 1] - row[:, 0])))[:-1]
        k = np.searchsorted(row[:, 0], minutes, side="right") - 1
        at = np.maximum(k, 0)
        inside = np.minimum(minutes, row[at, 1]) - row[at, 0]
        out += np.where(k >= 0, before[at] + inside, 0)
    return out
