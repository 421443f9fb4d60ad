"""A count as the plain values that `count_figures --json` prints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from company.core.units import minutes_number
from scenes.core.counting.results import Count, GuiseCount, Track
from scenes.core.naming import Names
from scenes.core.plot import Appearance as Appearance
from scenes.core.plot import AppearanceKey, GuiseId, Plot, Scene, within_scene


@dataclass(frozen=True, slots=True)
class NamedCharacter:
    """A character of the document: its name, and its guises as (id, name) in order."""

    name: str
    guises: tuple[tuple[GuiseId, str], ...]


def make_count_document(
    show: str,
    plot: Plot,
    count: Count,
    characters: Sequence[NamedCharacter],
    names: Names,
) -> dict[str, Any]:
    """The document of a count: dicts, lists, strings and numbers, ready for JSON.

    Every guise of `characters` is listed, with 0 figures where nothing wears it. Minutes are
    numbers from the start of the scene, blanks filled in; a place not said and a costume not
    decided are ''. `changes` is the number of changes on the track.

    >>> from scenes.core.counting import count_figures
    >>> plot = Plot(guises=("h",))
    >>> heron = NamedCharacter("Heron", (("h", ""),))
    >>> document = make_count_document("Salt", plot, count_figures(plot), [heron], Names())
    >>> document["characters"][0]["guises"]
    [{'guise': '', 'figures': 0, 'reason': 'not in any scene yet', 'tracks': []}]
    """
    writer = _Writer(plot, names)
    by_guise = {counted.guise: counted for counted in count.guises}
    return {
        "show": show,
        "figures": count.figures,
        "proved": True,  # the count by the clock alone is exact
        "characters": [
            {
                "character": character.name,
                "figures": sum(by_guise[guise].figures for guise, _ in character.guises),
                "guises": [writer.guise(by_guise[guise], name) for guise, name in character.guises],
            }
            for character in characters
        ],
    }


class _Writer:
    """Turns parts of a count into plain values, knowing the plot and its names."""

    def __init__(self, plot: Plot, names: Names) -> None:
        self.names = names
        self.scenes: dict[object, Scene] = {scene.key: scene for scene in plot.scenes}
        self.appearances: dict[AppearanceKey, Appearance] = {
            appearance.key: appearance for appearance in plot.appearances
        }

    def guise(self, counted: GuiseCount, name: str) -> dict[str, Any]:
        return {
            "guise": name,
            "figures": counted.figures,
            "reason": counted.reason.words(self.names),
            "tracks": [self.track(track) for track in counted.tracks],
        }

    def track(self, track: Track) -> dict[str, Any]:
        return {
            "appearances": [self.appearance(self.appearances[stop.key]) for stop in track.stops],
            "changes": len(track.changes),
        }

    def appearance(self, appearance: Appearance) -> dict[str, Any]:
        scene = self.scenes[appearance.scene]
        enters_s, leaves_s = within_scene(appearance, scene)
        costume = appearance.costume
        return {
            "scene": scene.label,
            "costume": "" if costume is None else self.names.costume(costume),
            "enters": minutes_number(enters_s),
            "leaves": minutes_number(leaves_s),
            "from_place": appearance.from_place,
            "to_place": appearance.to_place,
        }
