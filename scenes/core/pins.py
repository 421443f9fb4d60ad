"""The lead's pins on a count: one figure for these two, two figures for these two, one more here.

The minimum stays what it is ('needs 11'); the pins say what is built ('you build 12').
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

from scenes.core.counting import Count, Previous, Relation, Stop, Track, count_figures, say_tight
from scenes.core.counting.causes import explain_pair
from scenes.core.counting.checking import check_track
from scenes.core.counting.matching import find_followers
from scenes.core.naming import Names, names_of
from scenes.core.pinned_cover import Ask, PinnedCover, solve_pinned
from scenes.core.plot import GuiseId, Placed, Plot, place_appearances


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
    keeper = _Keeper(plot, by_guise, say)
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


@dataclass(slots=True)
class _Grouping:
    """The pins of one guise that hold together so far."""

    guise: GuiseId
    placed: Sequence[Placed]
    relation: Relation
    pins: list[Pin] = field(default_factory=list)
    more: int = 0

    def groups(self, extra: Pin | None = None) -> tuple[list[set[Stop]], list[tuple[Stop, Stop]]]:
        """Stops that must be one figure, and pairs that must not be."""
        groups: list[set[Stop]] = []
        apart: list[tuple[Stop, Stop]] = []
        for pin in [*self.pins, *([extra] if extra else [])]:
            if isinstance(pin, Same):
                joined = {pin.first, pin.second}
                for group in [g for g in groups if g & joined]:
                    joined |= group
                    groups.remove(group)
                groups.append(joined)
            elif isinstance(pin, Apart):
                apart.append((pin.first, pin.second))
        return groups, apart

    def is_kept_by(self, tracks: Sequence[Track]) -> bool:
        """Whether these tracks honour everything already."""
        return not self.more and not any(
            isinstance(pin, Same | Apart) and _breaks(pin, tracks) for pin in self.pins
        )

    def ask(self) -> Ask:
        """What the solver is asked for."""
        groups, apart = self.groups()
        return Ask(tuple(frozenset(group) for group in groups), tuple(apart), self.more)


def _breaks(pin: Same | Apart, tracks: Sequence[Track]) -> bool:
    """Whether tracks go against a pin."""
    track_of = {stop: number for number, track in enumerate(tracks) for stop in track.stops}
    is_one = track_of[pin.first] == track_of[pin.second]
    return is_one != isinstance(pin, Same)


class _Keeper:
    """Takes pins one by one, leaving out those that cannot be kept."""

    def __init__(
        self, plot: Plot, by_guise: Mapping[GuiseId, Sequence[Placed]], say: Names
    ) -> None:
        self.plot = plot
        self.by_guise = by_guise
        self.say = say
        self.placed = {p.appearance.key: p for placed in by_guise.values() for p in placed}
        self.groupings: dict[GuiseId, _Grouping] = {}
        self.unkept: list[Unkept] = []
        self.reach: dict[GuiseId, dict[object, set[object]]] = {}

    def take(self, pin: Pin) -> None:
        """Keep the pin, or note why not."""
        why = self._why_not(pin)
        if why:
            self.unkept.append(Unkept(pin, why))
            return
        grouping = self._grouping(self._guise_of(pin))
        if isinstance(pin, More):
            grouping.more += pin.figures
        grouping.pins.append(pin)

    def solve(
        self, grouping: _Grouping, tracks: Sequence[Track], previous: Previous
    ) -> PinnedCover:
        """The best tracks; pins that only together cannot be kept are left out, last ones first."""
        cover = solve_pinned(grouping.placed, grouping.relation, grouping.ask(), tracks, previous)
        if cover is not None:
            return cover
        pins, grouping.pins, grouping.more = grouping.pins, [], 0
        best = solve_pinned(grouping.placed, grouping.relation, grouping.ask(), tracks, previous)
        for pin in pins:
            grouping.pins.append(pin)
            grouping.more += pin.figures if isinstance(pin, More) else 0
            tried = solve_pinned(
                grouping.placed, grouping.relation, grouping.ask(), tracks, previous
            )
            if tried is None:
                grouping.pins.pop()
                others = "the other pins of " + self.say.guise(grouping.guise)
                self.unkept.append(
                    Unkept(pin, f"no way was found to keep it together with {others}")
                )
            else:
                best = tried
        assert best is not None  # without pins there is always a cover
        return best

    def _grouping(self, guise: GuiseId) -> _Grouping:
        if guise not in self.groupings:
            self.groupings[guise] = _Grouping(
                guise, self.by_guise[guise], Relation(self.plot, guise)
            )
        return self.groupings[guise]

    def _guise_of(self, pin: Pin) -> GuiseId:
        return pin.guise if isinstance(pin, More) else self._at(pin.first).appearance.guise

    def _at(self, stop: Stop) -> Placed:
        return self.placed[stop.key]

    def _why_not(self, pin: Pin) -> str:
        """Why the pin cannot be kept beside those before it; '' where nothing speaks against it."""
        if isinstance(pin, More):
            if pin.figures < 1:
                raise ValueError(f"figures of {pin!r} is {pin.figures}, fewer than 1")
            if pin.guise not in self.by_guise:
                return f"{self.say.guise(pin.guise)} is not in the plot"
            return ""
        for stop in (pin.first, pin.second):
            if stop.key not in self.placed:
                return "one of the two is no longer in the plot"
            if not 1 <= stop.copy <= self._at(stop).appearance.copies:
                return f"there is no copy {stop.copy} of {self._name(stop)} any more"
        if pin.first == pin.second:
            return "both are the same appearance"
        first, second = self._at(pin.first), self._at(pin.second)
        if first.appearance.guise != second.appearance.guise:
            if isinstance(pin, Apart):
                return "they are two guises, and never one figure"
            return "they are two guises: no figure plays both"
        grouping = self._grouping(first.appearance.guise)
        if isinstance(pin, Apart):
            groups, _ = grouping.groups()
            if any({pin.first, pin.second} <= group for group in groups):
                return "another pin makes them one figure"
            return ""
        return self._why_not_one(grouping, pin)

    def _why_not_one(self, grouping: _Grouping, pin: Same) -> str:
        groups, apart = grouping.groups(pin)
        group = next(group for group in groups if pin.first in group)
        if any({one, two} <= group for one, two in apart):
            return "another pin keeps them apart"
        in_order = sorted(group, key=lambda stop: (self._at(stop).enters_s, stop.copy))
        for one, two in pairwise(in_order):
            first, second = self._at(one), self._at(two)
            if second.enters_s < first.leaves_s:
                return f"{self._name(one)} and {self._name(two)} are on at once"
            if second.appearance.key not in self._reached(grouping, first):
                return say_tight(explain_pair(first, second, grouping.relation), self.say)
        return ""

    def _reached(self, grouping: _Grouping, first: Placed) -> set[object]:
        """Appearances that a figure may come to after this one, straight or through others."""
        known = self.reach.setdefault(grouping.guise, {})
        if not known:
            followers = find_followers(grouping.placed, grouping.relation)
            keys = [p.appearance.key for p in grouping.placed]
            for i in sorted(range(len(keys)), key=lambda n: -grouping.placed[n].leaves_s):
                known[keys[i]] = set().union(*({keys[j]} | known[keys[j]] for j in followers[i]))
        return known[first.appearance.key]

    def _name(self, stop: Stop) -> str:
        a = self._at(stop).appearance
        return f"{self.say.costume(a.costume)} in {self.say.scene(a.scene)}"


def check_pinned(plot: Plot, pinned: PinnedCount) -> list[str]:
    """What is wrong with a pinned count, as sentences; [] when it holds.

    Every copy is played once, every hand-over is allowed, the changes named are those made, every
    kept pin is honoured. It shares nothing with the solver.
    """
    return list(_faults(plot, pinned))


def _faults(plot: Plot, pinned: PinnedCount) -> Iterator[str]:
    placed = {p.appearance.key: p for p in place_appearances(plot)}
    wanted = sorted(
        (str(key), copy) for key, p in placed.items() for copy in range(1, p.appearance.copies + 1)
    )
    played = sorted(
        (str(stop.key), stop.copy)
        for guise in pinned.guises for track in guise.tracks for stop in track.stops
    )  # fmt: skip
    if wanted != played:
        yield "not every copy is played exactly once"
        return
    for guise in pinned.guises:
        if guise.build < guise.needs:
            yield f"guise {guise.guise!r}: {guise.build} built where {guise.needs} are needed"
        for track in guise.tracks:
            stops = [placed[stop.key] for stop in track.stops]
            if any(p.appearance.guise != guise.guise for p in stops):
                yield f"guise {guise.guise!r}: a track plays another guise"
            yield from check_track(plot, stops, track)
    tracks = [track for guise in pinned.guises for track in guise.tracks]
    for pin in pinned.kept:
        if isinstance(pin, Same | Apart) and _breaks(pin, tracks):
            yield f"{pin!r} is said to be kept and is not"
