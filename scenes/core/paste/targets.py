"""What a pasted block may speak of: the scenes, guises and costumes that are there, by name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from company.core.names import name_key
from scenes.core.plot import CostumeId, GuiseId, Plot, Scene, SceneKey

_SCENE_WORD = re.compile(r"(?:scene|sc\.?)\s+(?=\S)")


@dataclass(frozen=True, slots=True)
class GuiseName:
    """How a guise is known: its character and its own name ('' for the only one)."""

    guise: GuiseId
    character: str
    name: str = ""

    @property
    def full(self) -> str:
        """'Jory Tarrow at nine'."""
        return f"{self.character} {self.name}".strip()


@dataclass(slots=True)
class Targets:
    """The plot that is pasted into, and the names of what is in it."""

    plot: Plot
    guises: Sequence[GuiseName]
    costumes: Mapping[CostumeId, tuple[GuiseId, str]]  # whose it is, and its name
    _scenes: dict[str, SceneKey] = field(init=False, default_factory=dict)
    _guises: dict[str, GuiseId | None] = field(init=False, default_factory=dict)
    _costumes: dict[GuiseId, dict[str, CostumeId]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        for scene in self.plot.scenes:
            self._scenes[name_key(scene.label)] = scene.key
        for scene in self.plot.scenes:
            for words in (f"{scene.label} {scene.title}", scene.title):
                if scene.title:
                    self._scenes.setdefault(name_key(words), scene.key)
        by_character: dict[str, list[GuiseId]] = {}
        for guise in self.guises:
            by_character.setdefault(name_key(guise.character), []).append(guise.guise)
        for key, guises in by_character.items():  # enough where the character has one alone
            self._guises[key] = guises[0] if len(guises) == 1 else None
        for guise in self.guises:
            self._guises[name_key(guise.full)] = guise.guise
        for costume, (owner, name) in self.costumes.items():
            self._costumes.setdefault(owner, {})[name_key(name)] = costume

    def find_scene(self, text: str) -> SceneKey | None:
        """The scene of a label ('3a'), 'scene 3a', '3a The ferry' or a title; None if unknown."""
        key = name_key(text)
        return self._scenes.get(key, self._scenes.get(_SCENE_WORD.sub("", key, count=1)))

    def find_guise(self, character: str, name: str = "") -> GuiseId:
        """The guise of a full name, or of a character that has one alone.

        Raises ValueError with a sentence where there is none, or several.
        """
        key = name_key(f"{character} {name}")
        if not key:
            raise ValueError("the role is not said")
        if key not in self._guises:
            raise ValueError(f"there is no role '{' '.join(f'{character} {name}'.split())}'")
        found = self._guises[key]
        if found is None:
            names = ", ".join(
                guise.full for guise in self.guises if name_key(guise.character) == key
            )
            raise ValueError(f"'{character.strip()}' has several guises: say which of {names}")
        return found

    def costumes_of(self, guise: GuiseId) -> Mapping[str, CostumeId]:
        """The guise's costumes by the key of their names."""
        return self._costumes.get(guise, {})

    def scene(self, key: SceneKey) -> Scene:
        """The scene of this key."""
        return next(scene for scene in self.plot.scenes if scene.key == key)
