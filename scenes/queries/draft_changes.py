"""Two drafts side by side, in sentences: what came, what went, what changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.text import capfirst

from scenes.core import plot as core
from scenes.core.compare import Comparison, RowChange, compare_plots, say_field
from scenes.core.naming import Names
from scenes.loading import to_names, to_plot
from scenes.models import Draft, Show
from scenes.queries.counts import CountedPlot, count_show
from scenes.queries.drafts import with_draft


@dataclass(frozen=True)
class Said:
    """One row: what it is, what became of it ('came', 'went', 'changed'), and how it changed."""

    fate: str
    what: str
    how: str = ""


@dataclass(frozen=True)
class Group:
    """Rows of one sort."""

    title: str
    rows: tuple[Said, ...]


@dataclass(frozen=True)
class DraftChanges:
    """Everything that differs from one draft to another, and both counted."""

    before: CountedPlot
    after: CountedPlot
    found: Comparison
    groups: tuple[Group, ...]

    @property
    def is_same(self) -> bool:
        """Whether nothing differs."""
        return self.found.is_same

    def number_of(self, fate: str) -> int:
        """How many rows came, went or changed."""
        return sum(row.fate == fate for group in self.groups for row in group.rows)


def compare_drafts(show: Show, before: Draft, after: Draft) -> DraftChanges:
    """What is other in `after`. Both are counted as they stand."""
    sides = [count_show(with_draft(show, draft)) for draft in (before, after)]
    plots = [to_plot(side.rows) for side in sides]
    found = compare_plots(plots[0], plots[1], (sides[0].count, sides[1].count))
    names = _names_of(sides)
    groups = [
        Group("Scenes", tuple(_say_scene(row, names) for row in found.scenes)),
        Group("Who is on", tuple(_say_entry(row, names) for row in found.appearances)),
        Group("Changes of costume", tuple(_say_rule(row, names) for row in found.rules)),
        Group("Behind the stage", tuple(
            Said("changed", "", capfirst(say_field(change, names))) for change in found.settings
        )),
        Group("Figures", tuple(_say_guises(found, names))),
    ]  # fmt: skip
    return DraftChanges(
        before=sides[0],
        after=sides[1],
        found=found,
        groups=tuple(group for group in groups if group.rows),
    )


def _names_of(sides: Iterable[CountedPlot]) -> Names:
    """Names of both; a scene is called as it is in the second, if it is there."""
    guises, costumes, scenes = {}, {}, {}
    for side in sides:
        names = to_names(side.rows)
        guises.update(names.guises)
        costumes.update(names.costumes)
        scenes.update(names.scenes)
    return Names(guises, costumes, scenes)


def _say_scene(row: RowChange[core.Scene], names: Names) -> Said:
    scene = row.after or row.before
    assert scene is not None
    how = [say_field(change, names) for change in row.fields]
    if row.moved:
        how.append("plays at another place in the order")
    return Said(row.fate, f"Scene {scene.label} {scene.title}".strip(), "; ".join(how))


def _say_entry(row: RowChange[core.Appearance], names: Names) -> Said:
    entry = row.after or row.before
    assert entry is not None
    dress = f", {names.costume(entry.costume)}" if row.fate != "changed" else ""
    copies = f" ×{entry.copies}" if entry.copies > 1 and row.fate != "changed" else ""
    what = f"{names.guise(entry.guise)} in {names.scene(entry.scene)}{dress}{copies}"
    return Said(row.fate, what, "; ".join(say_field(change, names) for change in row.fields))


def _say_rule(row: RowChange[core.ChangeRule], names: Names) -> Said:
    rule = row.after or row.before
    assert rule is not None
    pair = f"{names.costume(rule.from_costume)} to {names.costume(rule.to_costume)}"
    how = "; ".join(say_field(change, names) for change in row.fields)
    return Said(row.fate, f"{names.guise(rule.guise)}, {pair}", how)


def _say_guises(found: Comparison, names: Names) -> Iterable[Said]:
    for change in found.guises:
        said = []
        for what, (before, after) in (
            ("figure", change.figures),
            ("change", change.changes),
            ("crossing", change.crossings),
        ):
            if before != after:
                said.append(f"{after} {what}{'' if after == 1 else 's'}, {before} before")
        yield Said("changed", names.guise(change.guise), "; ".join(said))
