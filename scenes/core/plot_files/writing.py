"""Writing the plot files: reading what is written gives the same plot again."""

from __future__ import annotations

from collections.abc import Sequence

from company.core.units import format_minutes
from scenes.core.plot_files.rows import HOLDS, AppearanceRow, ChangeRow, PlotFile, SceneRow
from scenes.core.plot_files.tables import write_table

SCENES_HEADER = ("scene", "title", "act", "minutes", "gap_after", "interval", "needed_by")
PLOT_HEADER = (
    "scene", "character", "guise", "costume", "enters", "leaves",
    "from_place", "to_place", "copies", "hold", "rig", "key",
)  # fmt: skip
CHANGES_HEADER = ("character", "guise", "from_costume", "to_costume", "minutes", "people")


def write_plot_files(plot: PlotFile, delimiter: str = ",") -> dict[str, bytes]:
    """The three files by name, UTF-8 with a BOM (spreadsheets then read accents right).

    `delimiter` is ',' or ';'.

    >>> files = write_plot_files(PlotFile(scenes=(SceneRow("1", 270, gap_s=900),)))
    >>> files["scenes.csv"].decode("utf-8-sig").splitlines()[1]
    '1,,,4:30,15,,'
    """
    if delimiter not in (",", ";"):
        raise ValueError(f"delimiter is {delimiter!r}, not ',' or ';'")
    tables = {
        "scenes.csv": (SCENES_HEADER, map(_scene_cells, plot.scenes)),
        "plot.csv": (PLOT_HEADER, map(_appearance_cells, plot.appearances)),
        "changes.csv": (CHANGES_HEADER, map(_change_cells, plot.changes)),
    }
    return {name: write_table(header, rows, delimiter) for name, (header, rows) in tables.items()}


def _scene_cells(row: SceneRow) -> Sequence[str]:
    return (
        row.label,
        row.title,
        row.act,
        format_minutes(row.length_s),
        format_minutes(row.gap_s),
        "yes" if row.is_interval else "",
        row.needed_by.isoformat() if row.needed_by else "",
    )


def _appearance_cells(row: AppearanceRow) -> Sequence[str]:
    return (
        row.scene,
        row.character,
        row.guise,
        row.costume,
        "" if row.enters_s is None else format_minutes(row.enters_s),
        "" if row.leaves_s is None else format_minutes(row.leaves_s),
        row.from_place,
        row.to_place,
        str(row.copies),
        "" if row.hold == HOLDS[0] else row.hold,
        row.rig,
        row.key,
    )


def _change_cells(row: ChangeRow) -> Sequence[str]:
    return (
        row.character,
        row.guise,
        row.from_costume,
        row.to_costume,
        format_minutes(row.change_s),
        str(row.people),
    )
