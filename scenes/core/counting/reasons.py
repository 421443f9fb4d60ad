"""Why a guise needs the figures it needs: the shape of a reason, and its words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from scenes.core.naming import Names, say_list, say_number
from scenes.core.plot import PLAIN, AppearanceKey, CostumeId, SceneKey

Cause: TypeAlias = Literal["alone", "at_once", "too_tight", "shared"]
Kind: TypeAlias = Literal[
    "none", "one", "costumes", "rigs", "at_once", "too_tight", "shared", "mixed"
]
Block: TypeAlias = Literal["no_change", "change", "cross", "reset", "rig"]


@dataclass(frozen=True, slots=True)
class Tight:
    """Why one figure cannot play two appearances that are not on at once."""

    block: Block
    from_key: AppearanceKey
    to_key: AppearanceKey
    from_scene: SceneKey
    to_scene: SceneKey
    from_costume: CostumeId | None = None
    to_costume: CostumeId | None = None
    from_rig: str = PLAIN
    to_rig: str = PLAIN
    gap_s: int = 0
    need_s: int | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """The share of one set of costumes (and rigs) that no change joins to the others.

    `witness` are appearances of which no two can share a figure; empty where the cause is
    'shared': the number is exact, but no single set of appearances shows it.
    """

    figures: int
    cause: Cause
    costumes: tuple[CostumeId | None, ...]
    rigs: tuple[str, ...]
    witness: tuple[tuple[AppearanceKey, int], ...]  # key and copies
    scenes: tuple[SceneKey, ...]
    tight: tuple[Tight, ...] = ()
    appearances: int = 0


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a guise needs `figures`: its kind, the parts it is made of, and what shows it."""

    kind: Kind
    figures: int
    parts: tuple[Part, ...] = ()

    @property
    def appearances(self) -> tuple[AppearanceKey, ...]:
        """Appearances of which no two can share a figure, for pictures and links."""
        return tuple(key for part in self.parts for key, _ in part.witness)

    @property
    def costumes(self) -> tuple[CostumeId | None, ...]:
        """Costumes that the reason speaks of."""
        return tuple(dict.fromkeys(c for part in self.parts for c in part.costumes))

    @property
    def scenes(self) -> tuple[SceneKey, ...]:
        """Scenes that the reason speaks of, each once."""
        return tuple(dict.fromkeys(s for part in self.parts for s in part.scenes))

    def words(self, names: Names | None = None) -> str:
        """The reason in a maker's words; never empty.

        >>> Reason("none", 0).words()
        'not in any scene yet'
        """
        say = names or Names()
        if self.kind == "none":
            return "not in any scene yet"
        if self.kind == "one":
            return "one figure plays all of it"
        if len(self.parts) == 1:
            return _say_part(self.parts[0], say)
        return f"{_say_split(self.parts, say)}{_say_extra(self.parts, say)}: {self.figures}"


def make_reason(parts: tuple[Part, ...]) -> Reason:
    """The reason of a guise from the shares of its separate costumes and rigs."""
    figures = sum(part.figures for part in parts)
    kind: Kind
    if not parts:
        kind = "none"
    elif figures == 1:
        kind = "one"
    elif len(parts) == 1:
        cause = parts[0].cause
        kind = "one" if cause == "alone" else cause
    elif all(part.cause == "alone" for part in parts):
        kind = "costumes" if len({part.costumes for part in parts}) == len(parts) else "rigs"
    else:
        kind = "mixed"
    return Reason(kind, figures, parts)


def _say_split(parts: tuple[Part, ...], say: Names) -> str:
    """'three costumes, no change possible' for parts that no change joins."""
    costumes = dict.fromkeys(costume for part in parts for costume in part.costumes)
    rigs = dict.fromkeys(rig for part in parts for rig in part.rigs)
    if len(costumes) == 1:
        return f"{_say_rigs(list(rigs))} on figures of their own"
    if all(len(part.costumes) == 1 for part in parts):
        words = f"{say_number(len(costumes))} costumes, no change possible"
    else:
        groups = [say_list([say.costume(c) for c in part.costumes], "or") for part in parts]
        words = f"no change possible between {say_list(list(dict.fromkeys(groups)))}"
    if len({part.costumes for part in parts}) < len(parts):
        words += f", {_say_rigs(list(rigs))} on figures of their own"
    return words


def _say_rigs(rigs: list[str]) -> str:
    return say_list([rig or "plain" for rig in sorted(rigs)])


def _say_extra(parts: tuple[Part, ...], say: Names) -> str:
    """', coat: both in scene 7 at once' for each part that needs more than one figure."""
    return "".join(
        f"; {say_list([say.costume(c) for c in part.costumes], 'or')}: {_say_part(part, say)}"
        for part in parts
        if part.figures > 1
    )


def _say_part(part: Part, say: Names) -> str:
    if part.cause == "alone":
        return "one figure plays all of it"
    if part.cause == "at_once":
        return _say_at_once(part, say)
    if part.cause == "too_tight":
        return _say_tight(part, say)
    return (
        f"{part.appearances} appearances follow each other so closely that "
        f"they take {say_number(part.figures)} figures"
    )


def _say_at_once(part: Part, say: Names) -> str:
    amount = "both" if part.figures == 2 else say_number(part.figures)
    scenes = [say.scene(scene) for scene in part.scenes]
    if len(scenes) == 1:
        return f"{amount} in {scenes[0]} at once"
    return f"{amount} on at once between {scenes[0]} and {scenes[-1]}"


def _say_tight(part: Part, say: Names) -> str:
    """The two tightest places, and the number where they do not give it away.

    Appearances of which any two are on at once are all on at one moment, so a witness that is
    not 'at once' always has a pair that is merely too tight.
    """
    words = list(dict.fromkeys(say_tight(tight, say) for tight in part.tight))
    text = say_list(words[:2])
    return f"{text}: {part.figures}" if part.figures > 2 or len(words) > 1 else text


def say_tight(tight: Tight, say: Names) -> str:
    """Why one figure cannot play both, as 'no time to cross between scene 2 and scene 3'."""
    first, second = say.scene(tight.from_scene), say.scene(tight.to_scene)
    where = f"within {first}" if first == second else f"between {first} and {second}"
    pair = f"from {say.costume(tight.from_costume)} to {say.costume(tight.to_costume)}"
    if tight.block == "no_change":
        return f"no change {pair} possible"
    if tight.block == "change":
        return f"no time to change {pair} {where}"
    if tight.block == "cross":
        return f"no time to cross {where}"
    if tight.block == "rig":
        return f"no figure plays both {tight.from_rig or 'plain'} and {tight.to_rig or 'plain'}"
    return f"no time to reset {where}"
