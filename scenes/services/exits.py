"""Entrances and exits that a scene made shorter leaves outside, and the two ways on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from django.db.models import F

from company.core.units import format_minutes
from scenes.models import Appearance, Scene

Exits = Literal["", "follow", "keep"]


@dataclass(frozen=True)
class StrayExit:
    """An appearance that no longer fits its scene, and the sentence that says how."""

    appearance: Appearance
    sentence: str


def stray_exits(*, scene: Scene, length_s: int, gap_s: int) -> list[StrayExit]:
    """Appearances of `scene` that would not fit it at this length and gap, or would now hang over.

    An exit that lay in the gap before is left alone as long as it still lies there.
    """
    strays = []
    rows = Appearance.objects.filter(scene=scene).select_related("guise__character", "costume")
    for row in rows:
        leaves_s = length_s if row.leaves_s is None else row.leaves_s
        was_inside = row.leaves_s is not None and row.leaves_s <= scene.length_s
        if row.enters_s is not None and row.enters_s >= leaves_s:
            said = f"enters at {format_minutes(row.enters_s)}, when the scene is over"
        elif leaves_s > length_s + gap_s or (was_inside and leaves_s > length_s):
            said = f"leaves at {format_minutes(leaves_s)}, after the scene is over"
        else:
            continue
        dress = f" in {row.costume}" if row.costume else ""
        strays.append(StrayExit(row, f"{row.guise}{dress} {said}"))
    return strays


def settle_exits(*, strays: Iterable[StrayExit], length_s: int, gap_s: int, exits: Exits) -> None:
    """Let the strays follow the scene, or keep their exits at most to the gap's end.

    What could then not enter before it leaves follows the scene whole.
    """
    for stray in strays:
        row = stray.appearance
        leaves_s = min(row.leaves_s or length_s, length_s + gap_s) if exits == "keep" else None
        row.leaves_s = leaves_s
        if row.enters_s is not None and row.enters_s >= (leaves_s or length_s):
            row.enters_s = row.leaves_s = None
        Appearance.objects.filter(pk=row.pk).update(
            enters_s=row.enters_s, leaves_s=row.leaves_s, version=F("version") + 1
        )
