"""Who holds which figure when: people put to figures, hangings up and changes, second by second.

A figure may be handed from one person to another; a change keeps its people from start to end.
Where the numbers suffice (see `hands`) all figures are manned, unless a change holds a performer
whom a dresser could have stood in for later.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

from scenes.core.counting import Stop, Track
from scenes.core.hands import (
    HUNG,
    ONE_HAND,
    SET_DOWN,
    Crew,
    PlannedChange,
    find_handling,
)
from scenes.core.plot import GuiseId, Placed, Plot, place_appearances

DutyKind: TypeAlias = Literal["figure", "handling", "change"]


class Person(NamedTuple):
    """Somebody of the crew: performers before dressers, each numbered from 1."""

    part: Literal["performer", "dresser"]
    number: int


@dataclass(frozen=True, slots=True)
class Duty:
    """One person on one figure from one second to another; `half` where one hand is enough.

    For a change `stop` is the appearance that the figure changes for.
    """

    person: Person
    kind: DutyKind
    stop: Stop
    starts_s: int
    ends_s: int
    half: bool = False


class HandOver(NamedTuple):
    """A figure goes from one person's hands into another's while it is on."""

    at_s: int
    stop: Stop
    giver: Person
    taker: Person


class Unmanned(NamedTuple):
    """Something that nobody is free for from this second on."""

    at_s: int
    kind: DutyKind
    stop: Stop


@dataclass(frozen=True, slots=True)
class Roster:
    """Duties in order of time, hand-overs, and what nobody is free for (empty where all is)."""

    duties: tuple[Duty, ...]
    hand_overs: tuple[HandOver, ...]
    unmanned: tuple[Unmanned, ...]

    def people_of(self, change: PlannedChange) -> tuple[Person, ...]:
        """Who makes a change."""
        return tuple(
            duty.person
            for duty in self.duties
            if duty.kind == "change"
            and (duty.stop, duty.starts_s) == (change.to_stop, change.starts_s)
        )


@dataclass(slots=True)
class _Job:
    """One person's share of something to be done."""

    kind: DutyKind
    stop: Stop
    starts_s: int
    ends_s: int
    track: object
    half: bool = False
    by_dresser: bool = False
    person: Person | None = None
    since_s: int = 0


def make_roster(
    plot: Plot,
    tracks: Iterable[Track],
    crew: Crew,
    changes: Sequence[PlannedChange] = (),
    workers_for: Mapping[PlannedChange, int] | None = None,
) -> Roster:
    """Put people to everything, from the first second to the last.

    One sweep in order of time. A figure goes to who held it last, else to who is free; a person
    with two hands free is made, where none is, by joining two figures held with one hand each.
    Hand-overs are few, not proved fewest. `workers_for` says how many of a change's people are
    of those who work figures; without it the others come first. n duties
    take about n x people steps.

    >>> from scenes.core.plot import Appearance, Scene
    >>> plot = Plot((Scene("a", "1", 60),), (Appearance("x", "h", None, "a"),))
    >>> [duty.person for duty in make_roster(plot, (), Crew(1)).duties]
    [Person(part='performer', number=1)]
    """
    sweep = _Sweep(crew)
    jobs = list(_make_jobs(plot, tuple(tracks), crew.people_for, changes, workers_for))
    order = {"change": 0, "figure": 1, "handling": 2}
    jobs.sort(key=lambda j: (j.starts_s, order[j.kind], j.half, j.ends_s, str(j.stop)))
    for job in jobs:
        sweep.begin(job)
    sweep.end_until(None)
    duties = sorted(sweep.duties, key=lambda d: (d.starts_s, d.person, str(d.stop)))
    return Roster(tuple(duties), tuple(sweep.hand_overs), tuple(sweep.unmanned))


def _make_jobs(
    plot: Plot,
    tracks: Sequence[Track],
    people_for: Mapping[GuiseId, int],
    changes: Sequence[PlannedChange],
    workers_for: Mapping[PlannedChange, int] | None,
) -> Iterator[_Job]:
    placed = place_appearances(plot)
    track_of: dict[Stop, object] = {
        stop: number for number, track in enumerate(tracks) for stop in track.stops
    }
    for p in placed:
        a = p.appearance
        if a.hold in (HUNG, SET_DOWN):
            continue
        people = people_for.get(a.guise, 1)
        is_half = a.hold == ONE_HAND and people == 1
        for copy in range(1, a.copies + 1):
            stop = Stop(a.key, copy)
            for _ in range(people):
                yield _Job(
                    "figure", stop, p.enters_s, p.leaves_s, track_of.get(stop, stop), is_half
                )
    for stop, starts_s, ends_s in find_handling(placed, tracks):
        yield _Job("handling", stop, starts_s, ends_s, track_of.get(stop, stop))
    for change in changes:
        if change.starts_s == change.ends_s:
            continue
        own = (workers_for or {}).get(change)
        for n in range(change.people):
            yield _Job(
                "change", change.to_stop, change.starts_s, change.ends_s,
                track_of.get(change.to_stop, change.to_stop),
                by_dresser=own is None or n >= own,
            )  # fmt: skip


@dataclass(slots=True)
class _Sweep:
    """Where everybody's hands are at the second that the sweep has come to."""

    crew: Crew
    duties: list[Duty] = field(default_factory=list)
    hand_overs: list[HandOver] = field(default_factory=list)
    unmanned: list[Unmanned] = field(default_factory=list)
    running: list[_Job] = field(default_factory=list)
    last_track: dict[Person, object] = field(default_factory=dict)
    workers: list[Person] = field(init=False)
    helpers: list[Person] = field(init=False)

    def __post_init__(self) -> None:
        performers = [Person("performer", n) for n in range(1, self.crew.performers + 1)]
        dressers = [Person("dresser", n) for n in range(1, self.crew.dressers + 1)]
        self.workers = [*performers, *dressers[: self.crew.dressers_who_work]]
        # Those who work no figures help first, so that hands for figures stay free.
        self.helpers = [*reversed(dressers), *performers]

    def begin(self, job: _Job) -> None:
        """Find somebody for the job from its first second."""
        self.end_until(job.starts_s)
        job.since_s = job.starts_s
        if job.kind == "change":
            pool = self.helpers
            if not job.by_dresser:
                pool = self.workers
            person = next((p for p in pool if not self._holds(p)), None)
            if person is None and pool is not self.helpers:
                person = next((p for p in self.helpers if not self._holds(p)), None)
            if person is None:
                person = self._free_hands(job.starts_s)
        else:
            person = self._worker_for(job)
        if person is None:
            self.unmanned.append(Unmanned(job.starts_s, job.kind, job.stop))
            return
        job.person = person
        self.running.append(job)

    def end_until(self, at_s: int | None) -> None:
        """End all that is over by this second; None ends everything."""
        for job in [j for j in self.running if at_s is None or j.ends_s <= at_s]:
            self._close(job, job.ends_s)
            self.running.remove(job)

    def _close(self, job: _Job, ends_s: int) -> None:
        assert job.person is not None  # only manned jobs run
        if job.since_s < ends_s:
            self.duties.append(Duty(job.person, job.kind, job.stop, job.since_s, ends_s, job.half))
        if job.kind != "change":
            self.last_track[job.person] = job.track

    def _holds(self, person: Person) -> list[_Job]:
        return [job for job in self.running if job.person == person]

    def _worker_for(self, job: _Job) -> Person | None:
        if job.half:
            for person in self.workers:
                held = self._holds(person)
                if len(held) == 1 and held[0].half:
                    return person
        free = [person for person in self.workers if not self._holds(person)]
        if free:
            return next((p for p in free if self.last_track.get(p) == job.track), free[0])
        return None if job.half else self._free_hands(job.starts_s)

    def _free_hands(self, at_s: int) -> Person | None:
        """Join two figures held with one hand each in one person's hands; who is free then."""
        single = [
            (person, held[0])
            for person in self.workers
            if len(held := self._holds(person)) == 1 and held[0].half
        ]
        if len(single) < 2:
            return None
        (taker, _), (giver, job) = single[0], single[-1]
        self._close(job, at_s)
        job.person, job.since_s = taker, at_s
        self.hand_overs.append(HandOver(at_s, job.stop, giver, taker))
        return giver


def check_roster(
    plot: Plot, crew: Crew, roster: Roster, changes: Sequence[PlannedChange] = ()
) -> list[str]:
    """What is wrong with a roster, as sentences; [] when it holds.

    Every figure that is held has its people at every second of its time (unless it is listed as
    unmanned), nobody has more than two hands, dressers work figures only where they may, and a
    change keeps its people from start to end.
    """
    return [
        *_check_people(crew, roster),
        *_check_figures(plot, crew, roster),
        *_check_changes(roster, changes),
    ]


def _check_people(crew: Crew, roster: Roster) -> Iterator[str]:
    for person in dict.fromkeys(duty.person for duty in roster.duties):
        own = [duty for duty in roster.duties if duty.person == person]
        most = crew.performers if person.part == "performer" else crew.dressers
        if not 1 <= person.number <= most:
            yield f"{person} is not there"
        if person.part == "dresser" and person.number > crew.dressers_who_work:
            yield from (f"{person} works a figure" for duty in own if duty.kind != "change")
        for at_s in {duty.starts_s for duty in own}:
            hands = sum(1 if d.half else 2 for d in own if d.starts_s <= at_s < d.ends_s)
            if hands > 2:
                yield f"{person} needs {hands} hands at {at_s} s"


def _check_figures(plot: Plot, crew: Crew, roster: Roster) -> Iterator[str]:
    missing = {(gone.kind, gone.stop) for gone in roster.unmanned}
    placed: dict[object, Placed] = {p.appearance.key: p for p in place_appearances(plot)}
    for key, p in placed.items():
        if p.appearance.hold in (HUNG, SET_DOWN):
            continue
        for copy in range(1, p.appearance.copies + 1):
            stop = Stop(key, copy)
            own = [d for d in roster.duties if d.kind == "figure" and d.stop == stop]
            times = sorted({p.enters_s, p.leaves_s, *(d.starts_s for d in own),
                            *(d.ends_s for d in own)})  # fmt: skip
            wanted = crew.people_for.get(p.appearance.guise, 1)
            for at_s, _ in pairwise(times):
                there = sum(d.starts_s <= at_s < d.ends_s for d in own)
                if there != wanted and ("figure", stop) not in missing:
                    yield f"{stop} has {there} people at {at_s} s, not {wanted}"


def _check_changes(roster: Roster, changes: Sequence[PlannedChange]) -> Iterator[str]:
    missing = {(gone.kind, gone.stop) for gone in roster.unmanned}
    for change in changes:
        people = roster.people_of(change)
        if change.starts_s == change.ends_s or ("change", change.to_stop) in missing:
            continue
        if len(set(people)) != change.people:
            yield f"the change for {change.to_stop} has {len(set(people))} people"
        ends = {d.ends_s for d in roster.duties if d.kind == "change" and d.stop == change.to_stop}
        if change.people and ends != {change.ends_s}:
            yield f"the change for {change.to_stop} does not keep its people to its end"
