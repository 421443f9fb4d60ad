"""The smallest thing that mends a scene which wants more people, or more hooks, than there are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from company.core.units import format_time
from scenes.core.counting import Track
from scenes.core.hands import (
    HUNG,
    ONE_HAND,
    SET_DOWN,
    TWO_HANDS,
    Crew,
    PlannedChange,
    Stretch,
    find_needs,
    find_stretches,
)
from scenes.core.naming import Names, say_number
from scenes.core.plot import Appearance, Placed, Plot, SceneKey, place_appearances

MendKind: TypeAlias = Literal[
    "enter_later", "leave_earlier", "one_hand", "hang", "set_down", "performers", "hooks"
]
SMALL_SHIFT_S = 30  # an entrance moved by less is the smallest thing; common practice, no source
LEAST_ON_S = 30  # what an appearance keeps of its time; common practice, no source


@dataclass(frozen=True, slots=True)
class Mend:
    """One thing that alone gives the scene enough people and hooks.

    `appearance` is the entry as it would be; None for more people or hooks. `amount`: seconds it
    moves by, or how many more.
    """

    kind: MendKind
    scene: SceneKey
    amount: int = 0
    appearance: Appearance | None = None

    def words(self, names: Names) -> str:
        """'the Heron enters 0:20 later', 'hang the Heron up', 'one performer more'."""
        if self.appearance is None:
            one = "performer" if self.kind == "performers" else "hook"
            return f"{say_number(self.amount)} {one if self.amount == 1 else one + 's'} more"
        who = names.guise(self.appearance.guise)
        if self.kind == "enter_later":
            return f"{who} enters {format_time(self.amount)} later"
        if self.kind == "leave_earlier":
            return f"{who} leaves {format_time(self.amount)} earlier"
        if self.kind == "one_hand":
            return f"hold {who} with one hand"
        return f"hang {who} up" if self.kind == "hang" else f"set {who} down"


def find_mends(
    plot: Plot,
    crew: Crew,
    scene: SceneKey,
    tracks: Sequence[Track] = (),
    changes: Sequence[PlannedChange] = (),
) -> tuple[Mend, ...]:
    """Everything that alone mends the scene, smallest first; () where nothing is amiss.

    Each is tried on the whole plot: the scene then has enough, and no scene has less than before.
    In order: a time moved by up to half a minute, one hand instead of two, hung up, set down, a
    time moved further, more people. The last always mends, so that the list is not empty where
    people are missing. Raises ValueError for an unknown scene.

    >>> from scenes.core.plot import Scene
    >>> pair = tuple(Appearance(k, k, None, "a") for k in ("Heron", "Pell"))
    >>> plot = Plot((Scene("a", "1", 300),), pair)
    >>> [mend.words(Names()) for mend in find_mends(plot, Crew(1), "a")][-1]
    'one performer more'
    """
    position = next((n for n, s in enumerate(plot.scenes) if s.key == scene), None)
    if position is None:
        raise ValueError(f"scene {scene!r} is unknown")
    trial = _Trial(plot, crew, position, tracks, changes)
    need = trial.needs[position]
    if not need.short and not need.hooks_short:
        return ()
    found = [mend for mend in _candidates(plot, crew, trial, scene) if trial.mends(mend)]
    best: dict[tuple[object, str], Mend] = {}
    for mend in sorted(found, key=_size):
        key = mend.appearance.key if mend.appearance else None
        best.setdefault((key, mend.kind), mend)
    mends = list(best.values())
    if need.short and not need.hooks_short:
        mends.append(Mend("performers", scene, need.short))
    elif need.hooks_short and not need.short:
        mends.append(Mend("hooks", scene, need.hooks_short))
    elif not mends:
        mends = [Mend("performers", scene, need.short), Mend("hooks", scene, need.hooks_short)]
    return tuple(mends)


def _size(mend: Mend) -> tuple[int, int]:
    rank = {"one_hand": 1, "hang": 2, "set_down": 3}
    moved = 0 if mend.amount <= SMALL_SHIFT_S else 4
    return rank.get(mend.kind, moved), mend.amount


class _Trial:
    """The plot as it is, to try entries on."""

    def __init__(
        self,
        plot: Plot,
        crew: Crew,
        position: int,
        tracks: Sequence[Track],
        changes: Sequence[PlannedChange],
    ) -> None:
        self.plot, self.crew, self.position = plot, crew, position
        self.tracks, self.changes = tracks, changes
        self.placed = {p.appearance.key: p for p in place_appearances(plot)}
        self.stretches = find_stretches(plot, crew.people_for, tracks, changes)
        self.needs = find_needs(plot, crew, self.stretches)

    def mends(self, mend: Mend) -> bool:
        """Whether the scene has enough with this entry, and no other has less than now."""
        entry = mend.appearance
        assert entry is not None
        appearances = tuple(entry if a.key == entry.key else a for a in self.plot.appearances)
        plot = replace(self.plot, appearances=appearances)
        stretches = find_stretches(plot, self.crew.people_for, self.tracks, self.changes)
        needs = find_needs(plot, self.crew, stretches)
        here = needs[self.position]
        return not here.short and not here.hooks_short and all(
            new.short <= old.short and new.hooks_short <= old.hooks_short
            for new, old in zip(needs, self.needs, strict=True)
        )  # fmt: skip


def _candidates(plot: Plot, crew: Crew, trial: _Trial, scene: SceneKey) -> Iterator[Mend]:
    """Entries of the overloaded moments of a scene, each changed in one way."""
    bad = [
        s
        for s in trial.stretches
        if (s.short(crew) > 0 or (crew.hooks is not None and s.hooks > crew.hooks))
        and _touches(trial, s)
    ]
    for p in trial.placed.values():
        if not any(p.enters_s < s.ends_s and s.starts_s < p.leaves_s for s in bad):
            continue
        a = p.appearance
        if a.hold == TWO_HANDS and crew.people_for.get(a.guise, 1) == 1:
            yield Mend("one_hand", scene, appearance=replace(a, hold=ONE_HAND))
        if a.hold in (TWO_HANDS, ONE_HAND):
            yield Mend("hang", scene, appearance=replace(a, hold=HUNG))
        if a.hold != SET_DOWN:
            yield Mend("set_down", scene, appearance=replace(a, hold=SET_DOWN))
        if p.scene_position == trial.position:
            yield from _shifts(plot, p, bad, scene)


def _touches(trial: _Trial, stretch: Stretch) -> bool:
    """Whether a stretch counts to the scene in question."""
    need = find_needs(trial.plot, trial.crew, [stretch])[trial.position]
    return bool(need.people or need.hooks)


def _shifts(plot: Plot, p: Placed, bad: Sequence[Stretch], scene: SceneKey) -> Iterator[Mend]:
    """Entrances at the end of an overload, exits at the beginning of one, seconds of the scene."""
    length_s = plot.scenes[p.scene_position].length_s
    enters_s = 0 if p.appearance.enters_s is None else p.appearance.enters_s
    leaves_s = length_s if p.appearance.leaves_s is None else p.appearance.leaves_s
    starts_s = p.enters_s - enters_s
    for stretch in bad:
        later_s, earlier_s = stretch.ends_s - starts_s, stretch.starts_s - starts_s
        if enters_s < later_s <= leaves_s - LEAST_ON_S:
            moved = replace(p.appearance, enters_s=later_s)
            yield Mend("enter_later", scene, later_s - enters_s, moved)
        if enters_s + LEAST_ON_S <= earlier_s < leaves_s:
            moved = replace(p.appearance, leaves_s=earlier_s)
            yield Mend("leave_earlier", scene, leaves_s - earlier_s, moved)
