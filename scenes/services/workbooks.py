"""The plot as one workbook: a sheet for each of its files, written and read back."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation

from company.core.units import format_minutes, parse_minutes
from company.spreadsheets import Cell, NotAWorkbook, Sheet, read_workbook, write_workbook
from scenes.core.plot_files import Problem, Source, open_cell, write_table
from scenes.core.plot_files.tables import MOST_ROWS
from scenes.models import Show
from scenes.services.exports import NAMES, export_plot
from scenes.services.imports import ImportRefused, PlotSources, read_files

SHEETS = tuple(name.removesuffix(".csv") for name in NAMES)
NEEDED = ("scenes", "plot")
WORKBOOK = "plot.xlsx"

MINUTES = frozenset({"minutes", "gap_after", "enters", "leaves"})
DAYS = frozenset({"needed_by", "chosen_by"})
NUMBERS = frozenset(
    {"copies", "people", "scale", "height_mm", "head_mm", "tint", "weight_g", "on_one"}
)


def export_workbook(show: Show) -> bytes:
    """The same as the files of `export_plot`, each as a sheet, with numbers and days as such."""
    return write_workbook(
        _sheet(name.removesuffix(".csv"), data) for name, data in export_plot(show).items()
    )


def write_csv(sheet: Sheet) -> bytes:
    """A sheet as a CSV file, in the words of our other files."""
    return write_table(sheet.header, ([_said(cell) for cell in row] for row in sheet.rows))


def _said(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, timedelta):
        return format_minutes(round(cell.total_seconds()))
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float):
        return f"{cell:.2f}".rstrip("0").rstrip(".")
    return str(cell)


def read_plot_workbook(source: Source) -> PlotSources:
    """The sheets of a workbook as the files that they stand for.

    Sheets are known by their names; others are passed over. Raises ImportRefused with everything
    that is wrong with the workbook itself.
    """
    try:
        sheets = read_workbook(source.data, MOST_ROWS + 2)
    except NotAWorkbook as error:
        raise ImportRefused([Problem(source.name, 0, str(error))]) from error
    problems = [
        Problem(source.name, 0, f"has no sheet called '{name}': it has {_listed(list(sheets))}")
        for name in NEEDED
        if name not in sheets
    ]
    found: dict[str, Source] = {}
    for name in SHEETS:
        if name not in sheets:
            continue
        sheet = sheets[name]
        called = f"{source.name}, sheet {name}"
        problems += [Problem(called, row, words) for row, words in sheet.faults]
        width = len(sheet.rows[0]) if sheet.rows else 0
        rows = [row + [""] * (width - len(row)) for row in sheet.rows]
        found[name] = Source(called, write_table(rows[0] if rows else [], rows[1:]))
    if all(name in found for name in NEEDED):
        sources = PlotSources(**found)
        if not problems:
            return sources
        with suppress_refusal(problems):
            read_files(sources)
    raise ImportRefused(problems)


@contextmanager
def suppress_refusal(problems: list[Problem]) -> Iterator[None]:
    """Gather what a reading refuses, beside what is known to be wrong already."""
    try:
        yield
    except ImportRefused as refused:
        problems += refused.problems


def _sheet(title: str, data: bytes) -> Sheet:
    header, *rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    return Sheet(
        title,
        header,
        [[_typed(name, open_cell(text)) for name, text in zip(header, row, strict=True)]
         for row in rows],
    )  # fmt: skip


def _typed(column: str, text: str) -> Cell:
    """A cell of our own files as what it is; text where it cannot be told."""
    if not text:
        return None
    if column in MINUTES:
        return timedelta(seconds=parse_minutes(text, may_be_negative=True))
    if column in DAYS:
        return date.fromisoformat(text)
    if column in NUMBERS:
        try:
            number = Decimal(text)
        except InvalidOperation:
            return text
        return int(number) if number == int(number) else number
    return text


def _listed(names: list[str]) -> str:
    quoted = [f"'{name}'" for name in names[:10]]
    return ", ".join(quoted) + (f" and {len(names) - 10} more" if len(names) > 10 else "")
