"""What a count gives back: figures, tracks, changes on them, and the reason in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from scenes.core.counting.reasons import Reason
from scenes.core.plot import AppearanceKey, ChangeRule, GuiseId


class Stop(NamedTuple):
    """One copy of one appearance; copies count from 1."""

    key: AppearanceKey
    copy: int


TrackId: TypeAlias = object
Previous: TypeAlias = Mapping[tuple[AppearanceKey, int], TrackId]


@dataclass(frozen=True, slots=True)
class Change:
    """A change of costume on the way from one stop of a track to the next."""

    from_stop: Stop
    to_stop: Stop
    rule: ChangeRule


@dataclass(frozen=True, slots=True)
class Track:
    """The run of appearances that one figure plays, in order.

    `previous` is the track of the last accepted count that this one carries on, or None.
    """

    stops: tuple[Stop, ...]
    changes: tuple[Change, ...] = ()
    crossings: int = 0
    previous: TrackId | None = None


@dataclass(frozen=True, slots=True)
class GuiseCount:
    """The fewest figures of one guise, what each plays, and why it takes so many."""

    guise: GuiseId
    figures: int
    tracks: tuple[Track, ...]
    changes: int
    crossings: int
    reason: Reason


@dataclass(frozen=True, slots=True)
class Count:
    """The fewest figures of a plot; guises in the plot's order, tracks by first entrance."""

    figures: int
    guises: tuple[GuiseCount, ...]

    def of(self, guise: GuiseId) -> GuiseCount:
        """The count of one guise; KeyError where the plot does not know it."""
        for counted in self.guises:
            if counted.guise == guise:
                return counted
        raise KeyError(guise)

    def track_ids(self) -> dict[tuple[AppearanceKey, int], TrackId]:
        """This count as the `previous` of the next: every stop with (guise, number of track)."""
        return {
            stop: (counted.guise, number)
            for counted in self.guises
            for number, track in enumerate(counted.tracks, start=1)
            for stop in track.stops
        }
