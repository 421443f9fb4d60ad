"""How far the blanks move the count: what to decide, where, and by which day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from company import clock
from scenes.core.naming import say_list
from scenes.core.plot import Plot
from scenes.core.ranges import Blank, GuiseRange, Range, count_range, say_decision
from scenes.models import Guise
from scenes.queries.asked import last_days
from scenes.queries.counts import CountedPlot
from scenes.queries.people import cell_url

PLOTS_KEPT = 64
WHAT = {"costume": "the costume", "from_place": "where it comes from", "to_place": "where it goes"}


@dataclass(frozen=True)
class DecisionLine:
    """One blank: where it is written, what each answer makes of the number."""

    words: str
    outcomes: str
    url: str


@dataclass(frozen=True)
class GuiseLine:
    """A guise whose number the blanks move. `by` None: no day is known."""

    guise: Guise
    words: str
    decisions: tuple[DecisionLine, ...]
    against: str = ""
    by: date | None = None
    how: str = ""
    is_past: bool = False


@dataclass(frozen=True)
class RangePage:
    """The range of the whole plot in words, and the guises it comes from."""

    words: str = ""
    guises: tuple[GuiseLine, ...] = ()

    @property
    def first_day(self) -> date | None:
        """The first day by which something must be decided."""
        return min((line.by for line in self.guises if line.by), default=None)


def range_of(plot: Plot) -> Range:
    """The core's range, looked up where an equal plot was asked about before."""
    return _answer(
        (
            plot.scenes, plot.appearances, plot.rules, plot.crossing_s, plot.reset_s, plot.guises,
            tuple(plot.costume_guises.items()), plot.plain_rigs, tuple(sorted(plot.walks.items())),
        )
    )  # fmt: skip


@lru_cache(maxsize=PLOTS_KEPT)
def _answer(said: tuple[Any, ...]) -> Range:
    *plain, owners, rigs, walks = said
    scenes, appearances, rules, crossing_s, reset_s, guises = plain
    return count_range(
        Plot(
            scenes, appearances, rules, crossing_s, reset_s, guises, dict(owners), rigs, dict(walks)
        )
    )


def read_range(counted: CountedPlot) -> RangePage:
    """What the page says of the blanks; without blanks, or where none matters, no guises."""
    if not counted.has_blanks:
        return RangePage()
    found = range_of(counted.plot)
    open_guises = [one for one in found.guises if one.lowest != one.highest or not one.proved]
    days = last_days(counted.rows.show, [int(str(one.guise)) for one in open_guises])
    guises = {guise.pk: guise for guise in counted.rows.guises}
    today = clock.today(counted.rows.show.company)
    lines = []
    for one in open_guises:
        guise = guises[one.guise]  # type: ignore[index]
        by, how = days.get(guise.pk, (None, ""))
        lines.append(
            GuiseLine(
                guise=guise,
                words=Range(one.figures, one.lowest, one.highest, one.proved, ()).words(),
                decisions=tuple(_decisions(counted, one)),
                against=_say_against(counted, one),
                by=by,
                how=how,
                is_past=by is not None and by < today,
            )
        )
    return RangePage(found.words(), tuple(sorted(lines, key=lambda x: x.by or date.max)))


def _decisions(counted: CountedPlot, one: GuiseRange) -> Iterator[DecisionLine]:
    rows = {a.key: a for a in counted.rows.appearances}
    for blank in one.blanks:
        if not blank.matters:
            continue
        row = rows[blank.key]  # type: ignore[index]
        yield DecisionLine(
            words=f"scene {row.scene.label}: {WHAT[blank.what]}",
            outcomes=_say_outcomes(counted, blank),
            url=cell_url(counted.rows.show, row.guise_id, row.scene.key),
        )


def _say_outcomes(counted: CountedPlot, blank: Blank) -> str:
    """'habit: 1 figure; travelling cloak: 2; one not named yet: 2'."""
    said = []
    for value, low, high in blank.outcomes:
        if blank.what == "costume":
            name = "one not named yet" if value is None else counted.names.costume(value)
        else:
            name = str(value)
        number = str(low) if low == high else f"{low} to {high}"
        said.append(f"{name}: {number}")
    return "; ".join(said)


def _say_against(counted: CountedPlot, one: GuiseRange) -> str:
    said = [say_decision(decision, counted.plot, counted.names) for decision in one.against]
    return f"It takes {one.highest} where {say_list(said)}." if said else ""
