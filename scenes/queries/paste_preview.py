"""What a pasted block will do, ready for a page: cell by cell, before and after."""

from __future__ import annotations

from dataclasses import dataclass, replace

from company.core.units import format_minutes
from scenes.core import plot as core
from scenes.core.paste import NewCostume
from scenes.models import Costume, Scene
from scenes.models.plot import Hold
from scenes.queries.grid import UNDECIDED, Swatch
from scenes.queries.paste import LookedAt

MOST_SHOWN = 150
VERBS = {"added": "comes", "changed": "changes", "taken out": "goes"}


@dataclass(frozen=True)
class PastedLine:
    """One entry: who, where, what becomes of it; a swatch on each side where there is one."""

    who: str
    scene: Scene
    verb: str
    before: Swatch | None
    after: Swatch | None


@dataclass(frozen=True)
class PastePreview:
    """Everything that the block will do. Lines and faults beyond the first are only counted."""

    looked: LookedAt
    lines: tuple[PastedLine, ...]
    more_lines: int
    costumes: tuple[str, ...]
    faults: tuple[str, ...]
    more_faults: int

    @property
    def cells(self) -> int:
        """How many cells of the grid would be other than before."""
        done = (line for line in self.looked.plan.lines if line.fate != "left alone")
        return len({(s.guise, s.scene) for line in done if (s := line.after or line.before)})

    @property
    def gone(self) -> set[object]:
        """Keys of the entries that the block takes out."""
        return {line.before.key for line in self.looked.plan.of("taken out") if line.before}

    @property
    def left_alone(self) -> int:
        """Entries that stand so already."""
        return len(self.looked.plan.of("left alone"))

    @property
    def left_out(self) -> int:
        """Cells of the block that are not understood."""
        return len(self.looked.not_understood)


def read_preview(looked: LookedAt) -> PastePreview:
    """The lines of a plan with the names of its rows; nothing more is read."""
    rows = looked.rows
    guises = {guise.pk: str(guise) for guise in rows.guises}
    scenes = {scene.key: scene for scene in rows.scenes}
    costumes = {costume.pk: costume for costume in rows.costumes}
    doing = [line for line in looked.plan.lines if line.fate != "left alone"]
    lines = []
    for line in doing[:MOST_SHOWN]:
        said = line.after or line.before
        assert said is not None
        lines.append(
            PastedLine(
                who=guises[said.guise],  # type: ignore[index]
                scene=scenes[said.scene],  # type: ignore[index]
                verb=VERBS[line.fate],
                before=_swatch(line.before, costumes),
                after=_swatch(line.after, costumes),
            )
        )
    faults = looked.not_understood
    return PastePreview(
        looked=looked,
        lines=tuple(lines),
        more_lines=len(doing) - len(lines),
        costumes=tuple(
            f"{new.name} for {guises[new.guise]}"  # type: ignore[index]
            for new in looked.plan.new_costumes
        ),
        faults=tuple(_say_fault(*bad) for bad in faults[:MOST_SHOWN]),
        more_faults=max(0, len(faults) - MOST_SHOWN),
    )


def _swatch(entry: core.Appearance | None, costumes: dict[int, Costume]) -> Swatch | None:
    """The entry in the words of the grid, with everything that is said of it."""
    if entry is None:
        return None
    costume = entry.costume
    marks = [f"×{entry.copies}"] if entry.copies > 1 else []
    marks += [entry.rig] if entry.rig else []
    if entry.enters_s is not None or entry.leaves_s is not None:
        ends = ["" if s is None else format_minutes(s) for s in (entry.enters_s, entry.leaves_s)]
        marks.append("–".join(ends))
    marks += [f"from {entry.from_place}"] if entry.from_place else []
    marks += [f"to {entry.to_place}"] if entry.to_place else []
    marks += [entry.hold] if entry.hold != Hold.TWO_HANDS else []
    plain = Swatch(word=UNDECIDED, tint=None, marks=", ".join(marks))
    if isinstance(costume, NewCostume):
        return replace(plain, word=costume.name)
    if costume is None:
        return plain
    row = costumes[costume]  # type: ignore[index]
    return replace(plain, word=row.name, tint=row.tint)


def _say_fault(row: int, column: int, text: str, why: str) -> str:
    """'Row 3, column 2, "coat 9-12": it leaves at 12, ...'"""
    flat = " ".join(text.split())
    shown = f"{flat[:39]}…" if len(flat) > 40 else flat
    quoted = f", ‘{shown}’" if shown else ""
    return f"Row {row}, column {column}{quoted}: {why}."
