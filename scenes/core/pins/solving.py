"""Counting under pins: the plain count where it keeps them, the exact model where it does not."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.core.counting import Previous, count_figures
from scenes.core.naming import Names, names_of
from scenes.core.pins.keeping import Keeper
from scenes.core.pins.values import Pin, PinnedCount, PinnedGuise
from scenes.core.plot import GuiseId, Placed, Plot, place_appearances


def count_pinned(
    plot: Plot,
    pins: Sequence[Pin],
    previous: Previous | None = None,
    names: Names | None = None,
) -> PinnedCount:
    """The fewest figures that honour the pins, then the fewest changes, crossings, strays.

    `More` asks for so many figures above that; they take part where there is something to play,
    and then save changes and crossings first. Pins are honoured in the order given: one that
    cannot be kept, alone or together with those before it, is left out and says why. Guises
    whose pins the plain count keeps already cost nothing more; the others are solved exactly by
    CP-SAT (Perron and Didier, OR-Tools), which for a guise of 60 appearances takes a second or two.
    Raises ValueError for a `More` of fewer than one figure.

    >>> from scenes.core.counting import Stop
    >>> from scenes.core.pins.values import Apart, More
    >>> from scenes.core.plot import Appearance, Scene
    >>> scenes = (Scene("a", "1", 240), Scene("b", "2", 300))
    >>> plot = Plot(scenes, tuple(Appearance(s, "Heron", "grey", s) for s in "ab"))
    >>> count_pinned(plot, [Apart(Stop("a", 1), Stop("b", 1))]).words()
    'needs 1, you build 2'
    >>> count_pinned(plot, [More("Quill")]).unkept[0].why
    'Quill is not in the plot'
    """
    say = names or names_of(plot)
    needs = count_figures(plot, previous)
    by_guise: dict[GuiseId, list[Placed]] = {guise: [] for guise in plot.all_guises()}
    for placed in place_appearances(plot):
        by_guise[placed.appearance.guise].append(placed)
    keeper = Keeper(plot, by_guise, say)
    for pin in dict.fromkeys(pins):
        keeper.take(pin)
    guises = []
    for counted in needs.guises:
        grouping = keeper.groupings.get(counted.guise)
        if grouping is None or grouping.is_kept_by(counted.tracks):
            guises.append(PinnedGuise(counted.guise, counted.figures, counted.tracks))
            continue
        cover = keeper.solve(grouping, counted.tracks, previous or {})
        guises.append(
            PinnedGuise(counted.guise, counted.figures, cover.tracks, cover.idle, cover.is_proved)
        )
    unkept = tuple(keeper.unkept)
    left_out = {gone.pin for gone in unkept}
    kept = tuple(pin for pin in dict.fromkeys(pins) if pin not in left_out)
    return PinnedCount(needs, tuple(guises), kept, unkept)
