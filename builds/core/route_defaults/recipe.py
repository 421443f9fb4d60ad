"""What a route is made of: stages as plain values, under the names that the rows use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

HOUR = 60
DAY = 24 * HOUR

# The crafts of a workshop, in the order of the work; carving is capped at five hours a day
# (common practice, no source).
CRAFTS: dict[str, int | None] = {
    "draw": None,
    "sculpt": None,
    "mould": None,
    "carve": 5 * HOUR,
    "woodwork": None,
    "joint": None,
    "paint": None,
    "hair": None,
    "sew": None,
    "string": None,
}
STRINGING_FRAME = "stringing frame"


@dataclass(frozen=True)
class PlainStage:
    """One stage of a route without its row; fields as in `builds.models.Stage`.

    `craft`, `second_craft` and `equipment` are names; `after` are keys of stages of the same
    route that must be done first; minutes are whole.
    """

    key: str
    name: str
    strand: str
    hours_min: int
    after: tuple[str, ...] = ()
    scope: str = "figure"
    part: str = ""
    craft: str | None = None
    each_min: int | None = None
    wait_min: int = 0
    rate: float = 1.0
    lead_only: bool = False
    second: str = "nobody"
    second_craft: str | None = None
    skip_if_alone: bool = False
    gate: bool = False
    in_one_go: bool = False
    needs_saw_training: bool = False
    closed_to_latex_allergy: bool = False
    closed_to_under_18: bool = False
    equipment: str | None = None
    holds_mould: bool = False
    hours_by_costume: bool = False
    first_of_costume: bool = False
    only_with_working: bool = False
    done_to: str = ""
    only_when: str = ""
    mark: str = ""
    tools: str = ""
    looks_right: str = ""
    leave_alone: str = ""
    ask_if: str = ""
    cautions: str = ""

    def but(self, **changes: Any) -> PlainStage:
        """The same stage with some fields otherwise."""
        return replace(self, **changes)


@dataclass(frozen=True)
class RouteDefault:
    """The recipe for one kind of puppet."""

    kind: str
    name: str
    stages: tuple[PlainStage, ...]

    def __iter__(self) -> Iterator[PlainStage]:
        return iter(self.stages)

    def stage(self, key: str) -> PlainStage:
        """The stage of a key. KeyError where there is none."""
        for stage in self.stages:
            if stage.key == key:
                return stage
        raise KeyError(key)
