"""The plot as spreadsheets: scenes.csv, plot.csv and changes.csv, read and written."""

from scenes.core.plot_files.plots import make_names, make_plot
from scenes.core.plot_files.reading import Source, read_plot_files
from scenes.core.plot_files.rows import (
    AppearanceRow,
    ChangeRow,
    CharacterNames,
    GuiseNames,
    PlotFile,
    Problem,
    Reading,
    SceneRow,
)
from scenes.core.plot_files.tables import guard_cell, open_cell, write_table
from scenes.core.plot_files.writing import write_plot_files

__all__ = [
    "AppearanceRow",
    "ChangeRow",
    "CharacterNames",
    "GuiseNames",
    "PlotFile",
    "Problem",
    "Reading",
    "SceneRow",
    "Source",
    "guard_cell",
    "make_names",
    "make_plot",
    "open_cell",
    "read_plot_files",
    "write_plot_files",
    "write_table",
]
