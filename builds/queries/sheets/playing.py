"""The papers of a performance: the running list, and the turn-round list after it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from builds.models import Figure
from builds.queries.matched import read_figures_of_stops
from company import clock
from company.core.units import format_minutes
from company.templatetags.words import counted, full_day
from scenes.core.counting import Stop
from scenes.core.naming import say_list
from scenes.core.plot import place_appearances, scene_starts
from scenes.models import Appearance, Scene, Show
from scenes.queries.counts import count_show
from scenes.queries.crew import say_person
from scenes.queries.people import PeoplePage, WayBackLine, read_people
from scenes.services.people_counts import count_people

UNSAID = "not said"
NEW = "new"

Tags = Mapping[tuple[UUID, int], Figure]


@dataclass(frozen=True, slots=True)
class RunningLine:
    """Something that happens in a scene: when in it, to which figure, what, by whom."""

    at: str
    tag: str
    figure: str
    what: str
    who: str


@dataclass(frozen=True, slots=True)
class RunningScene:
    """A scene with all that happens in it and in the gap after it, in order."""

    title: str
    beside: str
    lines: tuple[RunningLine, ...]
    short: str = ""


@dataclass(frozen=True, slots=True)
class RunningSheet:
    """A performance from its first scene to its last."""

    show: str
    lede: str
    scenes: tuple[RunningScene, ...]
    has_people: bool
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: running list"


@dataclass(frozen=True, slots=True)
class TurnRoundLine:
    """A figure that does not end as it began, and what is to be done to it."""

    tag: str
    figure: str
    change: str
    way: str
    time: str
    walk: str


@dataclass(frozen=True, slots=True)
class TurnRoundSheet:
    """What is put right between two performances."""

    show: str
    lede: str
    lines: tuple[TurnRoundLine, ...]
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: turn-round list"


def read_running(show: Show) -> RunningSheet:
    """The running list, with people where the show says who performs."""
    people = _read(show)
    tags = read_figures_of_stops(show)
    scenes = tuple(_Running(people, tags).scenes())
    lines = sum(len(scene.lines) for scene in scenes)
    who = f" with {people.crew_words}" if people.joint else ""
    return RunningSheet(
        show=show.title,
        lede=f"{counted(len(scenes), 'scene')}{who}, {lines} things to do in their order.",
        scenes=scenes,
        has_people=people.joint is not None,
        printed_from=_printed_from(people),
    )


def read_turn_round(show: Show) -> TurnRoundSheet:
    """The turn-round list, figure by figure."""
    people = _read(show)
    tags = read_figures_of_stops(show)
    lines = tuple(_turn_round(line, tags) for line in people.ways_back)
    if not lines:
        lede = "Every figure ends as it began: there is nothing to put right."
    else:
        lede = f"{counted(len(lines), 'figure')} to put right before the next performance."
        if unknown := sum(not line.is_known for line in people.ways_back):
            back = "its first costume" if unknown == 1 else "their first costumes"
            lede += f" How {counted(unknown, 'figure')} gets back into {back} nobody has said."
    return TurnRoundSheet(show.title, lede, lines, _printed_from(people))


def _read(show: Show) -> PeoplePage:
    found = count_people(show)
    if found is None:
        return read_people(count_show(show), None)
    return read_people(found.counted, found.joint, found.clock_min)


def _printed_from(people: PeoplePage) -> str:
    draft = people.counted.rows.draft
    said = f"plot draft {draft.number}" if draft else "no plot yet"
    return f"{said}, printed {full_day(clock.today(people.show.company))}"


def _turn_round(line: WayBackLine, tags: Tags) -> TurnRoundLine:
    change = " to ".join(str(costume) for costume in line.costumes)
    has_way = bool(line.from_place and line.to_place and line.from_place != line.to_place)
    return TurnRoundLine(
        tag=_tag(tags, line.stop),
        figure=str(line.guise),
        change=change + (f", {counted(line.people, 'person,people')}" if line.people > 1 else ""),
        way=f"{line.from_place} to {line.to_place}" if has_way else "",
        time=(f"{line.time} min" if line.time else "") if line.is_known else UNSAID,
        walk=f"{line.walk} min" if line.walk else "",
    )


def _tag(tags: Tags, stop: Stop) -> str:
    """The figure's number; 'new' where others have one and this has none, blank where none has."""
    figure = tags.get((stop.key, stop.copy))  # type: ignore[arg-type]
    return figure.tag if figure else NEW * bool(tags)


class _Running:
    """Everything that happens, put into scenes."""

    def __init__(self, people: PeoplePage, tags: Tags) -> None:
        self.people, self.tags = people, tags
        self.rows = people.counted.rows
        self.plot = people.counted.plot
        self.entries: dict[object, Appearance] = {a.key: a for a in self.rows.appearances}
        self.guises = {guise.pk: guise for guise in self.rows.guises}
        self.starts = scene_starts(self.plot.scenes)

    def scenes(self) -> Iterator[RunningScene]:
        events = sorted(self._events(), key=lambda event: event[:3])
        short = {}
        if self.people.needs:
            crew, names = self.people.needs.crew, self.people.counted.names
            short = {need.scene: need.words(crew, names) for need in self.people.needs.short}
        for n, scene in enumerate(self.rows.scenes):
            lines = tuple(line for *_, at, line in events if at == n)
            said = short.get(scene.key, "")
            yield RunningScene(
                title=f"Scene {scene.label}" + (f", {scene.title}" if scene.title else ""),
                beside=_say_length(scene, is_last=n + 1 == len(self.rows.scenes)),
                lines=lines,
                short=f"{said[0].upper()}{said[1:]}." if said else "",
            )

    def _scene_at(self, at_s: int) -> int:
        return max((n for n, start in enumerate(self.starts) if start <= at_s), default=0)

    def _events(self) -> Iterator[tuple[int, int, str, int, RunningLine]]:
        """Second, rank (off before changes before on), name, place of the scene, line.

        An entrance set before its scene and an exit after it belong to that scene all the same.
        """
        for placed in place_appearances(self.plot):
            entry = self.entries[placed.appearance.key]
            for copy in range(1, entry.copies + 1):
                stop = Stop(entry.key, copy)
                on = _say_on(entry)
                who = self._who(stop, placed.enters_s)
                scene = placed.scene_position
                yield self._event(placed.enters_s, 2, stop, on, who, scene)
                off = f"off{f' to {entry.to_place}' if entry.to_place else ''}"
                yield self._event(placed.leaves_s, 0, stop, off, "", scene)
        for line in self.people.changes:
            change = f"change {line.first} to {line.second}, {line.minutes} min"
            at_s = self._change_at(line.stop)
            scene = self._scene_at(at_s)
            yield self._event(at_s, 1, line.stop, change, line.people, scene)

    def _change_at(self, stop: Stop) -> int:
        assert self.people.joint is not None
        changes = self.people.joint.changes
        return next(c.planned.starts_s for c in changes if c.planned.to_stop == stop)

    def _who(self, stop: Stop, at_s: int) -> str:
        if self.people.joint is None or self.people.needs is None:
            return ""
        crew = self.people.needs.crew
        names = [
            say_person(duty.person, crew)
            for duty in self.people.joint.roster.duties
            if duty.stop == stop and duty.kind != "change" and duty.starts_s == at_s
        ]
        return say_list(list(dict.fromkeys(names))) if names else "nobody free"

    def _event(
        self, at_s: int, rank: int, stop: Stop, what: str, who: str, scene: int
    ) -> tuple[int, int, str, int, RunningLine]:
        into_s = at_s - self.starts[scene]
        guise = self.guises[self.entries[stop.key].guise_id]
        line = RunningLine(
            at=format_minutes(into_s),
            tag=_tag(self.tags, stop),
            figure=str(guise),
            what=what,
            who=who,
        )
        return at_s, rank, str(guise), scene, line


def _say_on(entry: Appearance) -> str:
    worn = entry.costume.name if entry.costume else "costume undecided"
    place = f" from {entry.from_place}" if entry.from_place else ""
    marks = [entry.rig, "" if entry.hold == "two hands" else entry.hold]
    return ", ".join(filter(None, [f"on{place}, {worn}", *marks]))


def _say_length(scene: Scene, *, is_last: bool) -> str:
    said = f"{format_minutes(scene.length_s)} min"
    if is_last or not scene.gap_s:
        return said
    gap = "interval" if scene.is_interval else "gap"
    return f"{said}, then {format_minutes(scene.gap_s)} min {gap}"
