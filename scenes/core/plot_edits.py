"""One edit of the plot: what it is, how it is said, and the plot with it made."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from company.core.units import format_time
from scenes.core.naming import Names
from scenes.core.plot import (
    NOWHERE,
    AppearanceKey,
    ChangeRule,
    CostumeId,
    GuiseId,
    Plot,
    SceneKey,
)

EditKind: TypeAlias = Literal["place", "enter_later", "leave_earlier", "change", "costume", "cut"]


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit of the plot.

    `key` is the appearance that is edited, None for a change. `seconds` is how far a time moves,
    `at_s` where to (seconds after the scene's start). `rule` is the change to allow: its
    `change_s` is the longest it may take and still save.
    """

    kind: EditKind
    guise: GuiseId
    key: AppearanceKey | None = None
    scene: SceneKey | None = None
    seconds: int = 0
    at_s: int | None = None
    place: str = NOWHERE
    costume: CostumeId | None = None
    rule: ChangeRule | None = None

    def words(self, names: Names) -> str:
        """The edit in a maker's words.

        >>> Edit("enter_later", "the Heron", "x", "4", seconds=20).words(Names())
        'the Heron enters scene 4 0:20 later'
        """
        who, where = names.guise(self.guise), names.scene(self.scene)
        if self.kind == "place":
            return f"{who} enters {where} from {self.place}"
        if self.kind == "enter_later":
            return f"{who} enters {where} {format_time(self.seconds)} later"
        if self.kind == "leave_earlier":
            return f"{who} leaves {where} {format_time(self.seconds)} earlier"
        if self.kind == "costume":
            return f"{who} wears the {names.costume(self.costume)} in {where}"
        if self.kind == "cut":
            return f"{who} is cut from {where}"
        assert self.rule is not None
        first, second = (names.costume(c) for c in (self.rule.from_costume, self.rule.to_costume))
        return f"{who} changes from {first} to {second} within {format_time(self.rule.change_s)}"


def apply_edit(plot: Plot, edit: Edit) -> Plot:
    """The plot with the edit made. Raises ValueError where its appearance is not in the plot.

    >>> apply_edit(Plot(), Edit("cut", "Heron", "x"))
    Traceback (most recent call last):
    ...
    ValueError: appearance 'x' is not in the plot
    """
    if edit.rule is not None:
        return replace(plot, rules=(*plot.rules, edit.rule))
    if all(a.key != edit.key for a in plot.appearances):
        raise ValueError(f"appearance {edit.key!r} is not in the plot")
    if edit.kind == "cut":
        return replace(plot, appearances=tuple(a for a in plot.appearances if a.key != edit.key))
    changed: dict[str, object] = {
        "place": {"from_place": edit.place},
        "enter_later": {"enters_s": edit.at_s},
        "leave_earlier": {"leaves_s": edit.at_s},
        "costume": {"costume": edit.costume},
    }[edit.kind]  # type: ignore[assignment]
    return replace(
        plot,
        appearances=tuple(
            replace(a, **changed) if a.key == edit.key else a  # type: ignore[arg-type]
            for a in plot.appearances
        ),
    )
