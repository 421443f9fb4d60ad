"""What the picture of the tracks is drawn from, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass, replace

from company.core.units import format_minutes


@dataclass(frozen=True)
class TrackScene:
    """A scene in playing order; `gap_s` is the time before the next, long in an interval."""

    label: str
    title: str
    length_s: int
    gap_s: int = 0
    is_interval: bool = False
    act: str = ""


@dataclass(frozen=True)
class TrackStop:
    """One appearance on a track.

    `scene` is the place of its scene in the list, from 0; `start_s` and `end_s` count from that
    scene's start, and may reach into the gaps. `tint` is 1 to 6, or None while the costume is not
    decided. `change_s` is the change made before it, `change_by` who makes it and `change_at`
    when it is begun, `crossing` the way it went round before it, in words.
    """

    scene: int
    start_s: int
    end_s: int
    costume: str
    tint: int | None = None
    change_s: int | None = None
    crossing: str = ""
    hold: str = ""
    change_by: str = ""
    change_at: str = ""
    rig: str = ""
    places: str = ""

    @property
    def marks(self) -> str:
        """What is not plain of it: the trick build, how it is held, unusual places."""
        return ", ".join(filter(None, (self.rig, self.hold, self.places)))


@dataclass(frozen=True)
class Track:
    """What one figure plays, in order. `number` is blank for a figure not yet on the bench."""

    number: str
    guise: str
    stops: tuple[TrackStop, ...]
    url: str = ""
    comes_on: bool = False  # the thread comes from an earlier sheet
    goes_on: bool = False  # and goes on to a later one


@dataclass(frozen=True)
class TrackRole:
    """A role with its tracks: as many as it needs figures."""

    name: str
    tracks: tuple[Track, ...]
    url: str = ""


@dataclass(frozen=True)
class TracksData:
    """The whole plot. `people` is how many are at work at most in each scene, or empty.

    `missing` says how many of them are missing then, `crew` who is there, in words.
    """

    scenes: tuple[TrackScene, ...]
    roles: tuple[TrackRole, ...]
    people: tuple[int, ...] = ()
    missing: tuple[int, ...] = ()
    crew: str = ""

    def part(self, first: int, last: int, roles: tuple[TrackRole, ...]) -> TracksData:
        """Scenes `first` to before `last` and some of the roles, for one sheet of paper."""
        kept = tuple(
            replace(role, tracks=tuple(_part_of(track, first, last) for track in role.tracks))
            for role in roles
        )
        people, missing = self.people[first:last], self.missing[first:last]
        return TracksData(self.scenes[first:last], kept, people, missing, self.crew)


def _part_of(track: Track, first: int, last: int) -> Track:
    return replace(
        track,
        stops=tuple(
            replace(stop, scene=stop.scene - first)
            for stop in track.stops
            if first <= stop.scene < last
        ),
        comes_on=any(stop.scene < first for stop in track.stops),
        goes_on=any(stop.scene >= last for stop in track.stops),
    )


def count_figures_word(count: int) -> str:
    """'1 figure', '5 figures', 'none needed'."""
    if not count:
        return "none needed"
    return f"{count} figure" if count == 1 else f"{count} figures"


def describe_change(stop: TrackStop) -> str:
    """'change 4 min', with who makes it and when where that is known, or ''."""
    if stop.change_s is None:
        return ""
    by = f", {stop.change_by}" if stop.change_by else ""
    at = f", begun in {stop.change_at}" if stop.change_at else ""
    return f"change {format_minutes(stop.change_s)} min{by}{at}"


def describe_stop(stop: TrackStop, scene: TrackScene) -> str:
    """'scene 3: oilskin, minute 0 to 4:30', with what went before it."""
    costume = stop.costume if stop.tint is not None else f"{stop.costume or 'costume'}, undecided"
    start, end = format_minutes(stop.start_s), format_minutes(stop.end_s)
    said = f"scene {scene.label}: {costume}, minute {start} to {end}"
    before = [part for part in (describe_change(stop), stop.crossing) if part]
    marks = f", {stop.marks}" if stop.marks else ""
    return f"{said}{marks}" + (f" (before it: {', '.join(before)})" if before else "")


def name_track(track: Track) -> str:
    """'J4, at sixty'; a figure that has no number yet is 'new'."""
    return ", ".join(part for part in (track.number or "new", track.guise) if part)


def describe_track(track: Track, scenes: tuple[TrackScene, ...]) -> str:
    """A track as one sentence."""
    if not track.stops:
        return f"{name_track(track)}: plays nothing."
    stops = "; ".join(describe_stop(stop, scenes[stop.scene]) for stop in track.stops)
    return f"{name_track(track)}: {stops}."
