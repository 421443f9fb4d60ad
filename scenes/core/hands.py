"""People at work at every second of the show, against the people and the hooks that are there.

People, not hands: a figure held with two hands takes one person, one held with one hand half a
person, rounded up over all of them; some kinds take more. A figure hung in view or set down takes
nobody, but hanging it up and taking it up each cost one person ten seconds. A change takes its
people for its minutes. All of it common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from scenes.core.counting import Stop, Track
from scenes.core.naming import Names, say_number
from scenes.core.plot import GuiseId, Placed, Plot, SceneKey, place_appearances, scene_starts

TWO_HANDS, ONE_HAND, HUNG, SET_DOWN = "two hands", "one hand", "hung in view", "set down"
HANDLING_S = 10


@dataclass(frozen=True, slots=True)
class Crew:
    """Who is there. `people_for` says how many people a guise takes where it is more than one.

    `dressers_who_work` of the dressers may also work figures. `hooks` None: nobody has counted.
    """

    performers: int
    dressers: int = 0
    dressers_who_work: int = 0
    hooks: int | None = None
    people_for: Mapping[GuiseId, int] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        for name in ("performers", "dressers", "dressers_who_work"):
            if getattr(self, name) < 0:
                raise ValueError(f"{name} is {getattr(self, name)}, fewer than 0")
        if self.dressers_who_work > self.dressers:
            raise ValueError(
                f"dressers_who_work is {self.dressers_who_work}, more than {self.dressers} dressers"
            )

    @property
    def workers(self) -> int:
        """People who may work figures."""
        return self.performers + self.dressers_who_work

    @property
    def all(self) -> int:
        """Everybody."""
        return self.performers + self.dressers


class PlannedChange(NamedTuple):
    """A change of costume at its time: seconds from the start of the show, and its people."""

    from_stop: Stop
    to_stop: Stop
    starts_s: int
    ends_s: int
    people: int


class Handling(NamedTuple):
    """Somebody hangs a figure up (or sets it down), or takes it up again."""

    stop: Stop
    starts_s: int
    ends_s: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one second to another nothing changes: people working figures (handling counted in),
    people changing costumes, hooks in use. [starts_s, ends_s) of the show."""

    starts_s: int
    ends_s: int
    working: int
    changing: int
    hooks: int

    @property
    def people(self) -> int:
        """Everybody at work."""
        return self.working + self.changing

    def short(self, crew: Crew) -> int:
        """How many people are missing; 0 or less where there are enough."""
        return max(self.working - crew.workers, self.people - crew.all)


@dataclass(frozen=True, slots=True)
class SceneNeed:
    """The greatest need of a scene and of the gap after it, and when it is first met.

    `short` people or `hooks_short` hooks are missing at the worst moment (0 where none is).
    """

    scene: SceneKey
    people: int
    at_s: int
    short: int
    hooks: int
    hooks_short: int

    def words(self, crew: Crew, names: Names) -> str:
        """'scene 5 wants four people; you are three', or '' where there are enough."""
        said = []
        where = names.scene(self.scene)
        if self.short:
            who = "person" if self.people == 1 else "people"
            said.append(f"{where} wants {say_number(self.people)} {who}; you are "
                        f"{say_number(self.people - self.short)}")  # fmt: skip
        if self.hooks_short:
            hook = "hook" if self.hooks == 1 else "hooks"
            said.append(f"{where} wants {say_number(self.hooks)} {hook}; "
                        f"the rail has {say_number(crew.hooks or 0)}")  # fmt: skip
        return "; ".join(said)


def find_handling(placed: Sequence[Placed], tracks: Iterable[Track] = ()) -> tuple[Handling, ...]:
    """Every hanging up and taking up, inside the time that the appearance occupies.

    A figure that rests on from one appearance to the next of its track is not handled between.

    >>> from scenes.core.plot import Appearance, Scene
    >>> plot = Plot((Scene("a", "1", 60),), (Appearance("x", "h", None, "a", hold=HUNG),))
    >>> [(h.starts_s, h.ends_s) for h in find_handling(place_appearances(plot))]
    [(0, 10), (50, 60)]
    """
    by_key = {p.appearance.key: p for p in placed}
    rests_from: set[Stop] = set()
    rests_on: set[Stop] = set()
    for track in tracks:
        for one, two in pairwise(track.stops):
            first, second = by_key[one.key], by_key[two.key]
            holds = {first.appearance.hold, second.appearance.hold}
            if first.leaves_s == second.enters_s and holds in ({HUNG}, {SET_DOWN}):
                rests_from.add(two)
                rests_on.add(one)
    found: list[Handling] = []
    for p in placed:
        if p.appearance.hold not in (HUNG, SET_DOWN):
            continue
        for copy in range(1, p.appearance.copies + 1):
            stop = Stop(p.appearance.key, copy)
            up = (p.enters_s, min(p.enters_s + HANDLING_S, p.leaves_s))
            down = (max(p.leaves_s - HANDLING_S, p.enters_s), p.leaves_s)
            wanted = [*([up] if stop not in rests_from else []),
                      *([down] if stop not in rests_on else [])]  # fmt: skip
            if len(wanted) == 2 and up[1] > down[0]:
                wanted = [(p.enters_s, p.leaves_s)]  # one person stays at it
            found.extend(Handling(stop, *times) for times in wanted)
    return tuple(found)


def find_stretches(
    plot: Plot,
    people_for: Mapping[GuiseId, int] | None = None,
    tracks: Iterable[Track] = (),
    changes: Iterable[PlannedChange] = (),
) -> tuple[Stretch, ...]:
    """People and hooks at work through the show, in order, without stretches of nothing.

    >>> from scenes.core.plot import Appearance, Scene
    >>> held = (Appearance("x", "Quill", None, "a", hold=ONE_HAND, copies=3),)
    >>> find_stretches(Plot((Scene("a", "1", 60),), held))
    (Stretch(starts_s=0, ends_s=60, working=2, changing=0, hooks=0),)
    """
    placed = place_appearances(plot)
    steps: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])

    def add(what: int, starts_s: int, ends_s: int, amount: int) -> None:
        if starts_s < ends_s:
            steps[starts_s][what] += amount
            steps[ends_s][what] -= amount

    halves, whole, changing, hooks = range(4)
    for p in placed:
        a = p.appearance
        people = (people_for or {}).get(a.guise, 1)
        if a.hold == HUNG:
            add(hooks, p.enters_s, p.leaves_s, a.copies)
        elif a.hold == ONE_HAND and people == 1:
            add(halves, p.enters_s, p.leaves_s, a.copies)
        elif a.hold != SET_DOWN:
            add(whole, p.enters_s, p.leaves_s, a.copies * people)
    for handling in find_handling(placed, tracks):
        add(whole, handling.starts_s, handling.ends_s, 1)
    for change in changes:
        add(changing, change.starts_s, change.ends_s, change.people)
    found: list[Stretch] = []
    now = [0, 0, 0, 0]
    times = sorted(steps)
    for at_s, until_s in pairwise(times):
        now = [one + two for one, two in zip(now, steps[at_s], strict=True)]
        made = Stretch(at_s, until_s, now[whole] + -(-now[halves] // 2), now[changing], now[hooks])
        if made.people or made.hooks:
            found.append(made)
    return tuple(found)


def find_needs(plot: Plot, crew: Crew, stretches: Sequence[Stretch]) -> tuple[SceneNeed, ...]:
    """Scene by scene the greatest need; a scene holds the gap after it, the first also before.

    At the worst moment: where most people are missing, else where most are at work, else the
    earliest.

    >>> from scenes.core.plot import Appearance, Scene
    >>> plot = Plot((Scene("a", "5", 60),), (Appearance("x", "h", None, "a", copies=4),))
    >>> crew, names_of = Crew(performers=3), lambda plot: Names(scenes={"a": "5"})
    >>> find_needs(plot, crew, find_stretches(plot))[0].words(crew, names_of(plot))
    'scene 5 wants four people; you are three'
    """
    starts = scene_starts(plot.scenes)
    found = []
    for n, scene in enumerate(plot.scenes):
        from_s = None if n == 0 else starts[n]
        until_s = starts[n + 1] if n + 1 < len(starts) else None
        here = [
            s
            for s in stretches
            if (until_s is None or s.starts_s < until_s) and (from_s is None or s.ends_s > from_s)
        ]
        worst = max(
            here, key=lambda s: (max(0, s.short(crew)), s.people, -s.starts_s), default=None
        )
        hooks = max((s.hooks for s in here), default=0)
        found.append(
            SceneNeed(
                scene=scene.key,
                people=worst.people if worst else 0,
                at_s=max(worst.starts_s, starts[n] if n else worst.starts_s)
                if worst
                else starts[n],
                short=max(0, worst.short(crew)) if worst else 0,
                hooks=hooks,
                hooks_short=0 if crew.hooks is None else max(0, hooks - crew.hooks),
            )
        )
    return tuple(found)


def iterate_overloads(stretches: Sequence[Stretch], crew: Crew) -> Iterator[Stretch]:
    """Stretches in which people are missing."""
    return (s for s in stretches if s.short(crew) > 0)
