"""Parts that break at each performance, and how many of them a run of performances needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from company.core.names import name_key
from scenes.core.plot import GuiseId, Plot


@dataclass(frozen=True, slots=True)
class BreakAway:
    """A trick build of which a part breaks each time it is on. Minutes are whole.

    `a_show` is how many parts one performance breaks, `parts` how many the run needs, None where
    nobody has said how many performances there are.
    """

    guise: GuiseId
    rig: str
    a_show: int
    part_min: int
    parts: int | None = None

    @property
    def minutes(self) -> int | None:
        """Work in all of its parts."""
        return None if self.parts is None else self.parts * self.part_min


def count_break_away(
    plot: Plot, breaking: Mapping[tuple[GuiseId, str], int], performances: int | None
) -> tuple[BreakAway, ...]:
    """Parts for every trick build that breaks, in the order of `breaking`.

    `breaking` gives the minutes of one part by (guise, name of the trick build); names match as
    everywhere, whatever their case. Each copy of each appearance in that build breaks one part at
    every performance (common practice, no source). One that the plot does not use needs none.
    Raises ValueError for a number of performances or minutes below 0.

    >>> from scenes.core.plot import Appearance, Scene
    >>> plot = Plot((Scene("a", "1", 240),),
    ...             (Appearance("x", "Pell", "coat", "a", rig="Barrel", copies=2),))
    >>> found, = count_break_away(plot, {("Pell", "barrel"): 45}, 24)
    >>> found.a_show, found.parts, found.minutes
    (2, 48, 2160)
    """
    if performances is not None and performances < 0:
        raise ValueError(f"performances is {performances}: 0 or more")
    found = []
    for (guise, rig), part_min in breaking.items():
        if part_min < 0:
            raise ValueError(f"part_min of {rig!r} is {part_min} minutes: 0 or more")
        a_show = sum(
            a.copies
            for a in plot.appearances
            if a.guise == guise and name_key(a.rig) == name_key(rig)
        )
        parts = None if performances is None else a_show * performances
        found.append(BreakAway(guise, rig, a_show, part_min, parts))
    return tuple(found)
