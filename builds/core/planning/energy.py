"""Working time that a set of people, or a piece of equipment, must give within a window.

If all were ready by a day on trial, every step would have an earliest start and a latest finish,
and so a least part of it that falls into a window from one minute to another. When these parts add
up to more than there is, no plan is ready by that day.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from builds.core.planning.calendars import Calendar, subtract, tidy
from builds.core.planning.tables import Layout

Array = npt.NDArray[np.int64]
MOST_SETS = 300
# windows begin at earliest starts: all of them in a small problem, in a large one some
LEAST_WINDOWS, WINDOWS_TIMES_STEPS = 32, 150_000
MOST_EDGES = 40


class Argument(NamedTuple):
    """Whose hours, or what equipment's time, may not be enough."""

    word: str
    who: tuple[str, ...]
    mask: int = 0
    gear: int | None = None


class Ends(NamedTuple):
    """Latest finishes of steps, the steps by them, and their finishes and starts in that order."""

    late: Array
    order: Array
    sorted_late: Array
    sorted_head: Array


class Energy:
    """Sets of people and what they alone must do; equipment and what holds it."""

    def __init__(self, layout: Layout, head: list[int]) -> None:
        self.layout = layout
        t = layout.tables
        self.head: Array = np.array(head, dtype=np.int64)
        self.minutes: Array = np.array(t.minutes, dtype=np.int64)
        self.unattended = np.array([t.opt_cal[t.opt_at[i]] < 0 for i in range(t.n)])
        self.masks = [
            frozenset(
                _bit(t.opt_person[o]) | _bit(t.opt_second[o])
                for o in range(t.opt_at[i], t.opt_at[i + 1])
            )
            for i in range(t.n)
        ]
        self.hours = [_Worked(self._hours(p)) for p in range(t.people)]
        self.demand = {mask: self._demand(mask) for mask in self._sets()}
        self.sets = [mask for mask in self.demand if self.demand[mask].any()]
        self.gear = self._gear()
        heads = np.unique(self.head)
        most = max(LEAST_WINDOWS, WINDOWS_TIMES_STEPS // max(1, len(head)))
        picks = np.linspace(0, len(heads) - 1, min(most, len(heads))).astype(int)
        self.starts: Array = np.unique(heads[picks])
        self.worked = {mask: self.worked_before(mask, self.starts) for mask in self.sets}

    def _hours(self, p: int) -> Calendar:
        """A person's hours from now on, less what fixed steps take."""
        t = self.layout.tables
        taken = [(t.busy_from[p][j], t.busy_to[p][j]) for j in range(t.busy_n[p])]
        now = self.layout.problem.now
        row = tidy((max(a, now), b) for a, b in self.layout.slots[p])
        return Calendar(subtract(row, tidy(taken)) if taken else row)

    def _sets(self) -> list[int]:
        """Sets worth asking about: each person, those who can do some step, unions of such."""
        t = self.layout.tables
        own = set()
        for i in range(t.n):
            options = range(t.opt_at[i], t.opt_at[i + 1])
            own.add(_union(_bit(t.opt_person[o]) for o in options))
            own.add(_union(_bit(t.opt_second[o]) for o in options))
        ordered = sorted(own - {0}, key=lambda mask: (mask.bit_count(), mask))
        sets = dict.fromkeys([*(_bit(p) for p in range(t.people)), *ordered])
        for one in ordered:
            for other in list(sets):
                if len(sets) >= MOST_SETS:
                    return list(sets)
                sets.setdefault(one | other)
        return list(sets)

    def _demand(self, mask: int) -> Array:
        """Minutes of the set's time that each step takes at least."""
        least = {masks: min((one & mask).bit_count() for one in masks) for masks in set(self.masks)}
        return np.array([least[masks] for masks in self.masks], dtype=np.int64) * self.minutes

    def _gear(self) -> list[tuple[str, int, Array, Array]]:
        """Equipment held by steps that run on the clock: capacity, steps, amounts."""
        t = self.layout.tables
        held: list[list[tuple[int, int]]] = [[] for _ in self.layout.problem.equipment]
        for i in np.flatnonzero(self.unattended).tolist():
            for h in range(t.hold_at[i], t.hold_at[i + 1]):
                held[t.hold_of[h]].append((i, t.hold_amount[h]))
        out = []
        for gear, holds in zip(self.layout.problem.equipment, held, strict=True):
            if holds:
                steps, amounts = np.array(holds, dtype=np.int64).T
                out.append((gear.id, gear.capacity, steps, amounts))
        return out

    @cached_property
    def arguments(self) -> list[Argument]:
        """What may show that a day cannot be met, the likeliest first."""
        gear = [Argument("the time of", (row[0],), gear=k) for k, row in enumerate(self.gear)]
        load = {mask: self._load(mask) for mask in self.sets}
        people = [
            Argument("the hours of", tuple(self.layout.people[p] for p in _members(mask)), mask)
            for mask in sorted(self.sets, key=lambda mask: -load[mask])
        ]
        return gear + people

    def is_short(self, argument: Argument, ends: Ends) -> bool:
        """Whether they have less time in some window than the work in it, with these finishes.

        Who has enough for one day has enough for every later one.
        """
        if argument.gear is None:
            return self._people_short(argument.mask, ends)
        _, capacity, steps, amounts = self.gear[argument.gear]
        return self._gear_short(ends.late[steps], self.head[steps], steps, amounts, capacity)

    def ends(self, finish: list[int]) -> Ends:
        """Latest finishes, and the steps by them."""
        late: Array = np.array(finish, dtype=np.int64)
        order: Array = np.argsort(late, kind="stable")
        return Ends(late, order, late[order], self.head[order])

    def _load(self, mask: int) -> float:
        """The share of a set's hours, to the horizon, that goes into what they alone must do."""
        horizon: Array = np.array([self.layout.problem.horizon], dtype=np.int64)
        have = int(self.worked_before(mask, horizon)[0])
        return float(self.demand[mask].sum()) / have if have else float("inf")

    def worked_before(self, mask: int, minutes: Array) -> Array:
        """Hours, in minutes, that a set of people has before each of some minutes."""
        out: Array = np.zeros(len(minutes), dtype=np.int64)
        for p in _members(mask):
            out += self.hours[p].before(minutes)
        return out

    def _people_short(self, mask: int, ends: Ends) -> bool:
        demand = self.demand[mask][ends.order]
        used = demand > 0
        d_late, d_head, need = ends.sorted_late[used], ends.sorted_head[used], demand[used]
        worked = self.worked_before(mask, d_late)
        inside = np.where(d_head >= self.starts[:, None], need, 0)
        have = worked - self.worked[mask][:, None]
        total = np.cumsum(inside, axis=1)
        return bool(np.any((total > have) & (total > 0)))

    def _gear_short(
        self, late: Array, head: Array, steps: Array, amounts: Array, capacity: int
    ) -> bool:
        """Windows from earliest starts to latest finishes, with the least part of each step."""
        minutes = self.minutes[steps]
        starts, ends = _spread(np.unique(head)), _spread(np.unique(late))
        before = np.maximum(0, minutes - np.maximum(0, starts[:, None] - head))
        after = np.maximum(0, minutes - np.maximum(0, late - ends[:, None]))
        length = (ends[None, :] - starts[:, None])[:, :, None]
        part = np.minimum(np.minimum(before[:, None, :], after[None, :, :]), np.maximum(0, length))
        need = (part * amounts).sum(axis=2)
        return bool(np.any((need > capacity * length[:, :, 0]) & (length[:, :, 0] > 0)))


class _Worked:
    """Working minutes before many minutes at once."""

    def __init__(self, calendar: Calendar) -> None:
        row = np.array(calendar.slots or ((0, 0),), dtype=np.int64)
        self.clock: Array = row.ravel()
        length = row[:, 1] - row[:, 0]
        total = np.cumsum(length)
        self.worked: Array = np.column_stack((total - length, total)).ravel()

    def before(self, minutes: Array) -> Array:
        return np.rint(np.interp(minutes, self.clock, self.worked)).astype(np.int64)


def _spread(values: Array) -> Array:
    picks = np.linspace(0, len(values) - 1, min(MOST_EDGES, len(values))).astype(int)
    return np.asarray(np.unique(values[picks]), dtype=np.int64)


def _members(mask: int) -> list[int]:
    return [p for p in range(mask.bit_length()) if mask >> p & 1]


def _bit(p: int) -> int:
    return 0 if p < 0 else 1 << p


def _union(masks: Iterable[int]) -> int:
    out = 0
    for mask in masks:
        out |= mask
    return out
