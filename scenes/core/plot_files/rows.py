"""What the plot files hold, by name: scenes, appearances, changes, and who is in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

HOLDS = ("two hands", "one hand", "hung in view", "set down")


class Problem(NamedTuple):
    """Something wrong in a file; line 0 speaks of the file as a whole."""

    file: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line or 1}: {self.text}"


@dataclass(frozen=True, slots=True)
class SceneRow:
    """A line of scenes.csv, in playing order."""

    label: str
    length_s: int
    title: str = ""
    act: str = ""
    gap_s: int = 0
    is_interval: bool = False
    needed_by: date | None = None


@dataclass(frozen=True, slots=True)
class AppearanceRow:
    """A line of plot.csv. Times None follow the scene; a costume '' is undecided."""

    scene: str
    character: str
    guise: str
    costume: str
    enters_s: int | None = None
    leaves_s: int | None = None
    from_place: str = ""
    to_place: str = ""
    copies: int = 1
    hold: str = HOLDS[0]
    rig: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A line of changes.csv: one way, not back."""

    character: str
    guise: str
    from_costume: str
    to_costume: str
    change_s: int
    people: int = 1


@dataclass(frozen=True, slots=True)
class GuiseNames:
    """A guise and what it wears, in the order met."""

    name: str
    costumes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CharacterNames:
    """A character and its guises, in the order met."""

    name: str
    guises: tuple[GuiseNames, ...]


@dataclass(frozen=True, slots=True)
class PlotFile:
    """A sound set of plot files. Each name has one spelling, the first that was met."""

    scenes: tuple[SceneRow, ...] = ()
    appearances: tuple[AppearanceRow, ...] = ()
    changes: tuple[ChangeRow, ...] = ()

    def characters(self) -> tuple[CharacterNames, ...]:
        """Everybody that the files name, those met only in changes last.

        >>> PlotFile(appearances=(AppearanceRow("1", "Heron", "", "grey"),)).characters()
        (CharacterNames(name='Heron', guises=(GuiseNames(name='', costumes=('grey',)),)),)
        """
        met: dict[str, dict[str, dict[str, None]]] = {}
        for a in self.appearances:
            costumes = met.setdefault(a.character, {}).setdefault(a.guise, {})
            if a.costume:
                costumes[a.costume] = None
        for c in self.changes:
            costumes = met.setdefault(c.character, {}).setdefault(c.guise, {})
            costumes.update({c.from_costume: None, c.to_costume: None})
        return tuple(
            CharacterNames(
                character,
                tuple(GuiseNames(guise, tuple(costumes)) for guise, costumes in guises.items()),
            )
            for character, guises in met.items()
        )


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of reading: a plot, or every problem and no plot."""

    plot: PlotFile | None
    problems: tuple[Problem, ...] = ()
