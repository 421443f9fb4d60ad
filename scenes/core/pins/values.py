"""Pins and what comes of them: kept, not kept and why, needs so many, builds so many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from scenes.core.counting import Count, Stop, Track
from scenes.core.plot import GuiseId


@dataclass(frozen=True, slots=True)
class Same:
    """These two must be one figure."""

    first: Stop
    second: Stop


@dataclass(frozen=True, slots=True)
class Apart:
    """These two must not be one figure."""

    first: Stop
    second: Stop


@dataclass(frozen=True, slots=True)
class More:
    """Build so many more figures of a guise than it needs."""

    guise: GuiseId
    figures: int = 1


Pin: TypeAlias = Same | Apart | More


@dataclass(frozen=True, slots=True)
class Unkept:
    """A pin that cannot be kept, and why."""

    pin: Pin
    why: str


@dataclass(frozen=True, slots=True)
class PinnedGuise:
    """What is built of a guise. `needs` is the minimum without pins.

    `idle`: figures asked for that have nothing to play. Not `proved`: the search ended early, and
    fewer figures, changes or crossings are not ruled out.
    """

    guise: GuiseId
    needs: int
    tracks: tuple[Track, ...]
    idle: int = 0
    proved: bool = True

    @property
    def build(self) -> int:
        """Figures to build."""
        return len(self.tracks) + self.idle

    @property
    def changes(self) -> int:
        """Changes of costume on all tracks."""
        return sum(len(track.changes) for track in self.tracks)

    @property
    def crossings(self) -> int:
        """Crossings on all tracks."""
        return sum(track.crossings for track in self.tracks)


@dataclass(frozen=True, slots=True)
class PinnedCount:
    """The count with the pins honoured; guises in the plot's order."""

    needs: Count
    guises: tuple[PinnedGuise, ...]
    kept: tuple[Pin, ...] = ()
    unkept: tuple[Unkept, ...] = ()

    @property
    def build(self) -> int:
        """Figures to build, all guises."""
        return sum(guise.build for guise in self.guises)

    @property
    def proved(self) -> bool:
        """Whether no better way to keep the pins exists."""
        return all(guise.proved for guise in self.guises)

    def words(self) -> str:
        """'needs 11, you build 12', or 'needs 11' where the pins ask for no more."""
        needs = f"needs {self.needs.figures}"
        return needs if self.build == self.needs.figures else f"{needs}, you build {self.build}"


def breaks(pin: Same | Apart, tracks: Sequence[Track]) -> bool:
    """Whether tracks go against a pin."""
    track_of = {stop: number for number, track in enumerate(tracks) for stop in track.stops}
    is_one = track_of[pin.first] == track_of[pin.second]
    return is_one != isinstance(pin, Same)
