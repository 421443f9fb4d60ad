"""The costume plot as the core knows it: scenes, appearances, change rules, and their time line.

All times are whole seconds. Ids and keys are opaque and hashable: the core never looks inside.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

GuiseId: TypeAlias = Hashable
CostumeId: TypeAlias = Hashable
SceneKey: TypeAlias = Hashable
AppearanceKey: TypeAlias = Hashable

PLAIN = ""  # the rig of a figure without a trick build
NOWHERE = ""  # a place that nobody has said


@dataclass(frozen=True, slots=True)
class Scene:
    """One scene in playing order; `gap_s` is the wait before the next one."""

    key: SceneKey
    label: str
    length_s: int
    gap_s: int = 0
    title: str = ""
    act: str = ""
    is_interval: bool = False


@dataclass(frozen=True, slots=True)
class Appearance:
    """A guise on in a scene, in seconds after the scene's start.

    `enters_s` None is the scene's start, `leaves_s` None its end. An entrance may lie before the
    scene (negative), an exit in the gap after it. `costume` None is undecided.
    """

    key: AppearanceKey
    guise: GuiseId
    costume: CostumeId | None
    scene: SceneKey
    enters_s: int | None = None
    leaves_s: int | None = None
    rig: str = PLAIN
    from_place: str = NOWHERE
    to_place: str = NOWHERE
    hold: str = "two hands"
    copies: int = 1


@dataclass(frozen=True, slots=True)
class ChangeRule:
    """A figure of this guise can go from one costume to another in `change_s`, not back."""

    guise: GuiseId
    from_costume: CostumeId
    to_costume: CostumeId
    change_s: int
    people: int = 1


@dataclass(frozen=True, slots=True)
class Plot:
    """A whole plot. Scenes are in playing order; the order of the rest means nothing.

    `guises` lists guises in the order wanted, also those that nothing wears; guises met only in
    appearances or rules follow. `costume_guises` says whose each costume is; a costume that is
    not in it belongs to the guise that it is first met with. `walks` holds seconds from one named
    place to another where they differ from `crossing_s`. `plain_rigs` are the trick builds, each
    as (guise, rig), that also play plain.
    """

    scenes: tuple[Scene, ...] = ()
    appearances: tuple[Appearance, ...] = ()
    rules: tuple[ChangeRule, ...] = ()
    crossing_s: int = 0
    reset_s: int = 0
    guises: tuple[GuiseId, ...] = ()
    costume_guises: Mapping[CostumeId, GuiseId] = field(
        default_factory=lambda: MappingProxyType({})
    )
    plain_rigs: frozenset[tuple[GuiseId, str]] = frozenset()
    walks: Mapping[tuple[str, str], int] = field(default_factory=lambda: MappingProxyType({}))

    def all_guises(self) -> tuple[GuiseId, ...]:
        """Every guise once: those listed, then those met in appearances, then in rules."""
        met = (*self.guises, *(a.guise for a in self.appearances), *(r.guise for r in self.rules))
        return tuple(dict.fromkeys(met))


@dataclass(frozen=True, slots=True)
class Placed:
    """An appearance on the time line: it occupies [enters_s, leaves_s) of the whole show."""

    appearance: Appearance
    scene_position: int
    enters_s: int
    leaves_s: int


def scene_starts(scenes: tuple[Scene, ...]) -> tuple[int, ...]:
    """Seconds from the start of the show at which each scene starts.

    A scene starts where the one before ended plus its gap; the gap after the last is ignored.

    >>> scene_starts((Scene("a", "1", 240, gap_s=30), Scene("b", "2", 300, gap_s=900)))
    (0, 270)
    """
    starts = []
    at_s = 0
    for scene in scenes:
        starts.append(at_s)
        at_s += scene.length_s + scene.gap_s
    return tuple(starts)


def show_length_s(scenes: tuple[Scene, ...]) -> int:
    """Seconds from the start of the first scene to the end of the last.

    >>> show_length_s((Scene("a", "1", 240, gap_s=30), Scene("b", "2", 300, gap_s=900)))
    570
    """
    return scene_starts(scenes)[-1] + scenes[-1].length_s if scenes else 0


def within_scene(appearance: Appearance, scene: Scene) -> tuple[int, int]:
    """Entrance and exit in seconds after the scene's start, blanks filled from the scene."""
    enters_s = 0 if appearance.enters_s is None else appearance.enters_s
    leaves_s = scene.length_s if appearance.leaves_s is None else appearance.leaves_s
    return enters_s, leaves_s


def place_appearances(plot: Plot, guise: GuiseId | None = None) -> tuple[Placed, ...]:
    """Appearances on the time line in playing order; those of one guise where it is given.

    The order depends on what the appearances are, not on the order they were given in (unless
    two are alike but for keys of one spelling). Raises ValueError for an unknown scene.

    >>> scenes = (Scene("a", "1", 240, gap_s=30), Scene("b", "2", 300))
    >>> plot = Plot(scenes, (Appearance("x", "Heron", "grey", "b", enters_s=-10),))
    >>> [(p.enters_s, p.leaves_s) for p in place_appearances(plot)]
    [(260, 570)]
    """
    starts = scene_starts(plot.scenes)
    where = {scene.key: (n, scene) for n, scene in enumerate(plot.scenes)}
    placed = []
    for appearance in plot.appearances:
        if guise is not None and appearance.guise != guise:
            continue
        if appearance.scene not in where:
            raise ValueError(
                f"scene {appearance.scene!r} of appearance {appearance.key!r} is unknown"
            )
        position, scene = where[appearance.scene]
        enters_s, leaves_s = within_scene(appearance, scene)
        start_s = starts[position]
        placed.append(Placed(appearance, position, start_s + enters_s, start_s + leaves_s))
    return tuple(sorted(placed, key=_playing_order))


def _playing_order(placed: Placed) -> tuple[object, ...]:
    """By time first; then by what it is, so that the order of the rows means nothing."""
    a = placed.appearance
    return (
        placed.enters_s,
        placed.leaves_s,
        placed.scene_position,
        str(a.guise),
        "" if a.costume is None else str(a.costume),
        a.rig,
        a.from_place,
        a.to_place,
        a.copies,
        str(a.key),
    )


def iterate_stops(placed: tuple[Placed, ...]) -> Iterator[tuple[AppearanceKey, int]]:
    """Every copy of every appearance as (key, copy), copies counted from 1."""
    for p in placed:
        for copy in range(1, p.appearance.copies + 1):
            yield p.appearance.key, copy
