"""A block of bare cells, put under the scenes and beside the roles where it is pasted."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from scenes.core.paste.blocks import names_columns, split_block
from scenes.core.paste.targets import Targets


@dataclass(frozen=True, slots=True)
class FramedBlock:
    """A block that says its scenes and roles; `rows` and `columns` are how many were put before.

    A cell of the block as it came is that many rows and columns on in `text`.
    """

    text: str
    rows: int = 0
    columns: int = 0


def frame_block(
    text: str, targets: Targets, roles: Sequence[str], scenes: Sequence[str]
) -> FramedBlock:
    """The block with the names that it lacks: `roles` go down beside it, `scenes` across above it.

    A block that names scenes or columns itself is left as it is, and so is one that nobody has
    pointed at a place (no roles or no scenes).

    >>> from scenes.core.plot import Plot
    >>> frame_block("coat\\tcoat", Targets(Plot(), (), {}), ["Pell"], ["1", "2"]).text
    '\\t1\\t2\\r\\nPell\\tcoat\\tcoat\\r\\n'
    """
    cells = split_block(text)
    if not cells or not roles or not scenes or names_columns(cells, targets):
        return FramedBlock(text)
    width = max(len(row) for row in cells)
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter="\t")
    writer.writerow(["", *scenes[:width]])
    for number, row in enumerate(cells):
        writer.writerow([roles[number] if number < len(roles) else "", *row])
    return FramedBlock(out.getvalue(), rows=1, columns=1)
