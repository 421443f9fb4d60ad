"""Minutes before which no plan with these people can have all ready, and what shows it.

Two arguments, the stronger wins. The longest path: every step as early as its best hours allow,
in working time, with its waits. Working time of a set of people: what they alone can do between
two minutes must fit into the hours they have between them; the same for equipment that runs on
the clock (energetic reasoning: Baptiste, Le Pape and Nuijten, Constraint-Based Scheduling, 2001,
chapter 3). The second is asked of a day on trial: if all were ready by then, latest finishes would
follow, and the hours would not be enough.
"""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.planning.calendars import Calendar
from builds.core.planning.energy import Energy
from builds.core.planning.priorities import topological
from builds.core.planning.tables import Layout


@dataclass(frozen=True, slots=True)
class Bound:
    """A proved minute, and in words what shows it; `people`: whose hours, or which equipment."""

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
    if layout.tables.n == 0:
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
            best = Bound(trial + 1, f"{energy.word} {_listed(who)}", who)
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
