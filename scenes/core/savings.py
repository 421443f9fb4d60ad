"""What would save a figure: every single edit of the plot tried, and those that do kept."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from scenes.core.edit_trials import Trial
from scenes.core.plot import CostumeId, GuiseId, Placed, Plot, place_appearances
from scenes.core.plot_edits import Edit, EditKind, apply_edit
from scenes.core.plot_problems import costume_owners
from scenes.core.ranges import known_places

__all__ = ["Edit", "Saving", "apply_edit", "find_savings"]

LEAST_CHANGE_S = 60  # a change in less is not thought of; common practice, no source
LEAST_ON_S = 30  # what an appearance keeps of its time; common practice, no source
_GENTLE: tuple[EditKind, ...] = (
    "enter_later", "leave_earlier", "place", "change", "costume", "cut",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Saving:
    """An edit, the figures it saves and the minutes of building; cloth is never saved."""

    edit: Edit
    figures: int
    minutes: int


def find_savings(
    plot: Plot,
    figure_min: Mapping[GuiseId, int],
    matters: Collection[CostumeId] = (),
    *,
    least_change_s: int = LEAST_CHANGE_S,
    least_on_s: int = LEAST_ON_S,
) -> tuple[Saving, ...]:
    """Every single edit that lowers the count of a sound plot, best first.

    Tried: another costume of the guise in one appearance; one change allowed that the gap has
    time for (for the longest time that still saves, at least `least_change_s`); an entrance later
    or an exit earlier within the scene (by the least that saves; `least_on_s` stay); the entrance
    from another place; one appearance cut. Costumes in `matters` are never taken off, put on or
    cut. A larger move is listed too where it saves more. `figure_min` holds the build minutes of
    one figure of a guise without its cloth (0 where not listed).

    Best first: minutes saved, figures saved, then the gentler edit and the smaller move. Each
    guise is counted on its own, by a matching in which only the edited appearance's pairs are
    made anew; ten scenes take some tens of milliseconds.

    >>> from scenes.core.naming import Names
    >>> from scenes.core.plot import Appearance, Scene
    >>> scenes = (Scene("a", "1", 240), Scene("b", "2", 300))
    >>> worn = (("x", "coat", "a"), ("y", "gown", "b"))
    >>> plot = Plot(scenes, tuple(Appearance(k, "Quill", c, s) for k, c, s in worn))
    >>> found = find_savings(plot, {"Quill": 5000}, {"gown"})
    >>> [(s.edit.words(Names()), s.figures, s.minutes) for s in found]
    [('Quill is cut from scene a', 1, 5000)]
    """
    owners = costume_owners(plot)
    by_guise: dict[GuiseId, list[Placed]] = {guise: [] for guise in plot.all_guises()}
    for placed in place_appearances(plot):
        by_guise[placed.appearance.guise].append(placed)
    found: list[tuple[tuple[int, ...], Saving]] = []
    for guise, placed_here in by_guise.items():
        costumes = [c for c, owner in owners.items() if owner == guise and c not in matters]
        trial = Trial(plot, guise, placed_here, frozenset(matters), costumes,
                       known_places(plot), least_change_s, least_on_s)  # fmt: skip
        minutes = figure_min.get(guise, 0)
        rank = {p.appearance.key: n for n, p in enumerate(placed_here)}
        for edit, figures in trial.find():
            order = (
                -minutes * figures,
                -figures,
                _GENTLE.index(edit.kind),
                edit.seconds or -(edit.rule.change_s if edit.rule else 0),
                rank.get(edit.key, 0),
                len(found),
            )
            found.append((order, Saving(edit, figures, minutes * figures)))
    return tuple(saving for _, saving in sorted(found, key=lambda pair: pair[0]))
