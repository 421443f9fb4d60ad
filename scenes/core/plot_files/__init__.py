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
    "make_names",
    "make_plot",
    "read_plot_files",
    "write_plot_files",
]
