"""What a block pasted from a spreadsheet will do to the plot, looked at before it is done."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from uuid import UUID

from scenes.core import plot as core
from scenes.core.paste import (
    FramedBlock,
    GuiseName,
    NotUnderstood,
    PastePlan,
    Targets,
    apply_paste,
    frame_block,
    plan_paste,
    split_block,
)
from scenes.loading import PlotRows, read_rows, to_names, to_plot
from scenes.models import Draft, Show
from scenes.models.plot import MOST_IN_A_CELL

MOST_LETTERS = 400_000  # of a pasted block; a longer one is a file to bring in
Place = tuple[int, UUID]  # the guise and the scene of the cell that a bare block begins in


@dataclass(frozen=True)
class LookedAt:
    """A block and what it will do to the plot as it stands, which `stamp` tells apart."""

    rows: PlotRows
    plan: PastePlan
    not_understood: tuple[NotUnderstood, ...]
    stamp: str

    @property
    def does_something(self) -> bool:
        """Whether the plot would be other than it is."""
        return self.plan.does_something


def look_at_block(show: Show, text: str, at: Place | None = None) -> LookedAt:
    """What pasting the block will do; nothing is written.

    Where it names no scenes it is laid out from the cell `at`, to the right and down. Cells that
    are not understood are said by their place in the block as it came.
    """
    rows = read_rows(show)
    plot = to_plot(rows)
    if len(text) > MOST_LETTERS:
        why = "it is too long to paste: bring it in as a file instead, on the page of files"
        return LookedAt(rows, PastePlan("neither"), (NotUnderstood(1, 1, "", why),), "")
    names = [GuiseName(g.pk, g.character.name, g.name) for g in rows.guises]
    costumes = {c.pk: (c.guise_id, c.name) for c in rows.costumes}
    targets = Targets(plot, names, costumes)
    block = _frame(text, targets, names, rows, at)
    plan = plan_paste(block.text, targets)
    cells = split_block(block.text) if plan.form == "grid" else []
    bad = [_said_where_it_stood(one, block, cells) for one in plan.not_understood]
    full, plan = _too_full(plot, plan, rows)
    return LookedAt(rows, plan, tuple(sorted({*bad, *full})), stamp_of_plot(rows.draft))


def stamp_of_plot(draft: Draft | None) -> str:
    """The state of the plot: another one after every edit."""
    return f"{draft.number}.{draft.revision}" if draft else ""


def _frame(
    text: str, targets: Targets, names: list[GuiseName], rows: PlotRows, at: Place | None
) -> FramedBlock:
    if at is None:
        return FramedBlock(text)
    guise_pk, scene_key = at
    from_role = next((n for n, name in enumerate(names) if name.guise == guise_pk), len(names))
    labels = [scene.label for scene in rows.scenes]
    keys = [scene.key for scene in rows.scenes]
    from_scene = keys.index(scene_key) if scene_key in keys else len(keys)
    roles = [name.full for name in names[from_role:]]
    return frame_block(text, targets, roles, labels[from_scene:])


def _said_where_it_stood(
    bad: NotUnderstood, block: FramedBlock, cells: list[list[str]]
) -> NotUnderstood:
    """The fault with the cell it is in, at its place in the block as it came."""
    if not bad.text and cells:
        bad = bad._replace(text=cells[bad.row - 1][bad.column - 1])
    return bad._replace(row=max(1, bad.row - block.rows), column=max(1, bad.column - block.columns))


def _too_full(
    plot: core.Plot, plan: PastePlan, rows: PlotRows
) -> tuple[list[NotUnderstood], PastePlan]:
    """Cells that would hold more than a cell can are left out whole, and said."""
    counted = Counter((a.guise, a.scene) for a in apply_paste(plot, plan).appearances)
    full = {cell for cell, number in counted.items() if number > MOST_IN_A_CELL}
    if not full:
        return [], plan
    names = to_names(rows)
    bad = {}
    kept = []
    for line in plan.lines:
        said = line.after or line.before
        if said is None or (said.guise, said.scene) not in full:
            kept.append(line)
            continue
        what = f"{names.guise(said.guise)} in {names.scene(said.scene)}"
        why = f"{what} would hold more than {MOST_IN_A_CELL} at once"
        bad.setdefault((said.guise, said.scene), NotUnderstood(line.row, line.column, "", why))
    return list(bad.values()), replace(plan, lines=tuple(kept))
