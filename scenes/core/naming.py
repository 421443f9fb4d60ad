"""How the core says the names of things it knows only by id."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field

from scenes.core.plot import Plot

_SMALL_NUMBERS = (
    "none", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Names:
    """Names by id; what is not listed is said by its id. Scenes are said by their label."""

    guises: Mapping[Hashable, str] = field(default_factory=dict)
    costumes: Mapping[Hashable, str] = field(default_factory=dict)
    scenes: Mapping[Hashable, str] = field(default_factory=dict)

    def guise(self, guise: Hashable) -> str:
        """The guise as it is said in a sentence."""
        return self.guises.get(guise) or str(guise)

    def costume(self, costume: Hashable | None) -> str:
        """The costume's name; an undecided one says so."""
        return "undecided" if costume is None else self.costumes.get(costume) or str(costume)

    def scene(self, scene: Hashable) -> str:
        """'scene 3a'."""
        return f"scene {self.scenes.get(scene) or scene}"


def names_of(plot: Plot) -> Names:
    """Names where the plot itself is all there is: scene labels, everything else by id."""
    return Names(scenes={scene.key: scene.label for scene in plot.scenes})


def say_number(number: int) -> str:
    """Numbers up to twelve as words.

    >>> say_number(3), say_number(40)
    ('three', '40')
    """
    return _SMALL_NUMBERS[number] if 0 <= number < len(_SMALL_NUMBERS) else str(number)


def say_list(words: list[str], last: str = "and") -> str:
    """Words in a row.

    >>> say_list(["coat", "smock", "gown"])
    'coat, smock and gown'
    """
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
