"""Minutes before which no plan with these people can have all ready, and what shows it.

Two arguments, the stronger wins. The longest path: every step as early as its best hours allow,
in working time, with its waits. Working time of a set of people: what they alone can do between
two minutes must fit into the hours they have between them; the same for equipment that runs on
the clock (energetic reasoning: Baptiste, Le Pape and Nuijten, Constraint-Based Scheduling, 2001,
chapter 3). The second is asked of a day on trial: if all were ready by then, latest finishes would
follow, and the hours would not be enough.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate
from typing import Any

from builds.core.planning.decode import Decoder, listed
from builds.core.planning.energy import Argument, Ends, Energy
from builds.core.planning.figure_order import Behind
from builds.core.planning.least_late import least_lateness
from builds.core.planning.plan import QUARTER_MIN

FIRST_STEP_MIN = 360
LONGEST_PATH = "the longest chain of work and waits"


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

    Each argument is asked about the day reached so far. Where it shows that day cannot be met, it
    is asked about later ones, in growing steps, and then between the last that fails and the first
    that does not, to the quarter hour.
    """
    layout = decoder.layout
    paths = Paths(decoder)
    head, soonest = paths.earliest()
    best = Bound(max([layout.tables.all_done, *soonest]), LONGEST_PATH)
    if layout.tables.n == 0:
        return best
    energy = Energy(layout, head)
    high = layout.problem.horizon if ready is None else min(layout.problem.horizon, ready)
    known: dict[int, Ends | None] = {}

    def ends(trial: int) -> Ends | None:
        if trial not in known:
            late = paths.latest(trial)
            known[trial] = None if late is None else energy.ends(late)
        return known[trial]

    def fails(argument: Argument | None, trial: int) -> bool:
        at = ends(trial)
        return at is None or (argument is not None and energy.is_short(argument, at))

    # where nobody works there are no quarter hours: every minute counts
    grain = QUARTER_MIN if layout.problem.people else 1
    for argument in (None, *energy.arguments):
        minute = _last_that_fails(partial(fails, argument), best.minute, high, grain)
        if minute is None:
            continue
        if argument is None:
            best = Bound(minute + 1, LONGEST_PATH)
        else:
            best = Bound(minute + 1, f"{argument.word} {_listed(argument.who)}", argument.who)
    if behind is not None:
        best = replace(best, lateness=least_lateness(layout, energy, behind, soonest))
    return best


def _last_that_fails(fails: Callable[[int], bool], low: int, high: int, grain: int) -> int | None:
    """The last minute from `low` on, before `high`, that fails; None where none does.

    Asked of the last minutes of stretches `grain` long; what fails holds for all that is earlier.
    """

    def end_of(minute: int) -> int:
        return minute // grain * grain + grain - 1

    at = end_of(low)
    if at >= high or not fails(at):
        return None
    step = FIRST_STEP_MIN
    while at < high - 1:
        trial = min(high - 1, end_of(at + step))
        if not fails(trial):
            high = trial
            break
        at, step = trial, step * 4
    while True:
        trial = end_of((at + high) // 2)
        if trial >= high:
            trial = end_of(at + 1)
        if trial <= at or trial >= high:
            return at
        if fails(trial):
            at = trial
        else:
            high = trial


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
