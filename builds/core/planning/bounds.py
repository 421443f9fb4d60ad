"""Minutes before which no plan with these people can have all ready, and what shows it.

Two arguments, the stronger wins. The longest path: every step as early as its best hours allow,
in working time, with its waits. Working time of a set of people: what they alone can do between
two minutes must fit into the hours they have between them; the same for equipment that runs on
the clock (energetic reasoning: Baptiste, Le Pape and Nuijten, Constraint-Based Scheduling, 2001,
chapter 3). The second is asked of a day on trial: if all were ready by then, latest finishes would
follow, and the hours would not be enough.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Any

from builds.core.planning.decode import Decoder, listed
from builds.core.planning.energy import Energy
from builds.core.planning.figure_order import Behind
from builds.core.planning.least_late import least_lateness
from builds.core.planning.plan import quarter_end

FIRST_STEP_MIN = 360


@dataclass(frozen=True, slots=True)
class Bound:
    """A proved minute, and in words what shows it; `people`: whose hours, or which equipment.

    `lateness`: weighted minutes late that cannot be helped, where they were asked for.
    """

    minute: int
    by: str
    people: tuple[str, ...] = ()
    lateness: int = 0


def earliest_ready(
    decoder: Decoder, ready: int | None = None, behind: Behind | None = None
) -> Bound:
    """The strongest bound found. `ready`: when some plan has all ready, if one is known.

    `behind`, the dated figures behind each step, is given to ask how late they must be, too.

    Days on trial are asked for from the longest path on, in growing steps, and then between the
    last that fails and the first that does not, to the quarter hour.
    """
    layout = decoder.layout
    paths = Paths(decoder)
    head, soonest = paths.earliest()
    longest = max([layout.tables.all_done, *soonest])
    best = Bound(longest, "the longest chain of work and waits")
    if layout.tables.n == 0:
        return best
    energy = Energy(layout, head)
    high = layout.problem.horizon if ready is None else min(layout.problem.horizon, ready)

    def fails(trial: int) -> bool:
        nonlocal best
        late = paths.latest(trial)
        who = None if late is None else energy.too_much(late, trial)
        if late is None:
            best = Bound(trial + 1, "the longest chain of work and waits")
        elif who is not None:
            best = Bound(trial + 1, f"{energy.word} {_listed(who)}", who)
        return best.minute > trial

    step = FIRST_STEP_MIN
    while best.minute < high:
        trial = min(high - 1, quarter_end(best.minute + step))
        if not fails(trial):
            high = trial
            break
        step *= 4
    while best.minute < high:
        trial = quarter_end((best.minute + high) // 2)
        if trial >= high:
            trial = quarter_end(best.minute)
            if trial >= high:
                break
        if not fails(trial):
            high = trial
    if behind is not None:
        best = replace(best, lateness=least_lateness(layout, energy, behind, soonest))
    return best


def _listed(names: tuple[str, ...]) -> str:
    """Names as in a sentence.

    >>> _listed(("Ines", "Tomas", "Priya"))
    'Ines, Tomas and Priya'
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


class Paths:
    """Earliest and latest times when everybody may work on everything at once."""

    def __init__(self, decoder: Decoder) -> None:
        t = decoder.layout.tables
        self._decoder = decoder
        calendars = [
            list(dict.fromkeys(c for c in t.opt_cal[t.opt_at[i] : t.opt_at[i + 1]] if c >= 0))
            for i in range(t.n)
        ]
        self._topo = decoder.row(decoder.topo)
        self._cal_at = decoder.row(list(accumulate(map(len, calendars), initial=0)))
        self._cal = decoder.row([c for row in calendars for c in row] or [0])

    def earliest(self) -> tuple[list[int], list[int]]:
        """Earliest start and earliest finish of each step."""
        start, finish = self._blank(), self._blank()
        self._decoder.loops["reach_early"](
            self._decoder.sheet, self._topo, self._cal_at, self._cal, start, finish
        )
        return listed(start), listed(finish)

    def latest(self, end: int) -> list[int] | None:
        """Latest finish of each step for all to be ready by `end`; None if one cannot be."""
        start, finish = self._blank(), self._blank()
        failed = self._decoder.loops["reach_late"](
            self._decoder.sheet, self._topo, self._cal_at, self._cal, end, start, finish
        )
        return None if failed >= 0 else listed(finish)

    def _blank(self) -> Any:
        return self._decoder.row([0] * self._decoder.tables.n)
