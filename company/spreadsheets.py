"""Tables as workbooks (XLSX) and back: the only importer of openpyxl.

A workbook keeps what a CSV file loses: the first row stays in view, numbers, days and durations
are such, and text is text even where it begins like a formula.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any, TypeAlias

import openpyxl
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.utils.escape import unescape
from openpyxl.utils.exceptions import InvalidFileException

from company.core.names import name_key
from company.core.units import format_time

Cell: TypeAlias = str | int | float | Decimal | date | timedelta | None

NARROWEST, WIDEST = 6, 42  # letters
LARGEST_BYTES = 8_000_000
LARGEST_UNPACKED = 200_000_000  # a small file can be packed so that it fills the memory
MOST_COLUMNS = 200
DAY_FORMAT, DURATION_FORMAT = "yyyy-mm-dd", "[m]:ss"
_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


@dataclass(frozen=True)
class Sheet:
    """One table: its name, the names of its columns, and its rows."""

    title: str
    header: Sequence[str]
    rows: Iterable[Sequence[Cell]]


@dataclass
class SheetText:
    """A sheet read as text, row by row. `faults` are (row, what is wrong)."""

    rows: list[list[str]] = field(default_factory=list)
    faults: list[tuple[int, str]] = field(default_factory=list)


class NotAWorkbook(Exception):
    """The file is no workbook that can be read; the message says why, without a subject."""


def write_workbook(sheets: Iterable[Sheet]) -> bytes:
    """The sheets in one workbook. A duration below nought is written as text: no spreadsheet
    that counts days from 1900 can show one."""
    book = openpyxl.Workbook(write_only=True)
    for sheet in sheets:
        rows = [list(row) for row in sheet.rows]
        page = book.create_sheet(sheet.title)
        page.freeze_panes = "A2"
        for number, title in enumerate(sheet.header, 1):
            letters = [len(title), *(_letters(row[number - 1]) for row in rows)]
            width = min(WIDEST, max(NARROWEST, *letters)) + 2
            page.column_dimensions[get_column_letter(number)].width = width
        page.auto_filter.ref = f"A1:{get_column_letter(len(sheet.header))}{len(rows) + 1}"
        page.append([_head(page, title) for title in sheet.header])
        for row in rows:
            page.append([_cell(page, value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read_workbook(data: bytes, most_rows: int) -> dict[str, SheetText]:
    """Every sheet as text, by the key of its name; of longer ones no more than `most_rows` rows.

    Days come as 2026-03-31, durations as 4:30, whole numbers without a point. Formulas give the
    value that was worked out when the file was saved. Raises NotAWorkbook.
    """
    _refuse_other_files(data)
    found, has_formulas = _read(data, most_rows, is_worked_out=False)
    if not has_formulas:
        return found
    worked_out, _ = _read(data, most_rows, is_worked_out=True)
    for key, sheet in found.items():
        values = worked_out[key].rows
        for number, column in [*_formulas(sheet)]:
            row = values[number - 1] if number <= len(values) else []
            value = row[column - 1] if column <= len(row) else ""
            sheet.rows[number - 1][column - 1] = value
            if not value:
                at = f"{get_column_letter(column)}{number}"
                words = f"{at} holds a formula that was never worked out: paste its value instead"
                sheet.faults.append((number, words))
    return found


_FORMULA = "\x00="  # no text of a cell can begin so


def _formulas(sheet: SheetText) -> Iterator[tuple[int, int]]:
    for number, row in enumerate(sheet.rows, 1):
        for column, text in enumerate(row, 1):
            if text.startswith(_FORMULA):
                yield number, column


# What a file that is none of its kind makes the reader raise, at opening or further on.
_BROKEN = (
    InvalidFileException, zipfile.BadZipFile, SyntaxError, OSError,
    ArithmeticError, AttributeError, LookupError, TypeError, ValueError,
)  # fmt: skip


def _read(data: bytes, most_rows: int, *, is_worked_out: bool) -> tuple[dict[str, SheetText], bool]:
    try:
        book = openpyxl.load_workbook(
            io.BytesIO(data), read_only=True, data_only=is_worked_out, keep_links=False
        )
        found: dict[str, SheetText] = {}
        for page in book.worksheets:
            found.setdefault(name_key(page.title), SheetText(_rows_of(page, most_rows)))
        book.close()
    except _BROKEN as error:
        raise NotAWorkbook("cannot be read as a workbook: save it anew as .xlsx") from error
    return found, any(_FORMULA in row for sheet in found.values() for row in sheet.rows)


def _rows_of(page: Any, most_rows: int) -> list[list[str]]:
    """The rows of a sheet, each as long as what stands in it, none after the last full one."""
    rows: list[list[str]] = []
    page.reset_dimensions()  # some programs write a wrong one
    for number, cells in enumerate(page.iter_rows(), 1):
        if number > most_rows:
            break
        row = [_FORMULA if cell.data_type == "f" else _text(cell) for cell in cells[:MOST_COLUMNS]]
        while row and not row[-1]:
            row.pop()
        rows.append(row)
    while rows and not rows[-1]:
        rows.pop()
    return rows


def _refuse_other_files(data: bytes) -> None:
    if len(data) > LARGEST_BYTES:
        size, limit = len(data) / 1e6, LARGEST_BYTES / 1e6
        raise NotAWorkbook(f"is {size:.1f} MB; a workbook of a plot is at most {limit:.0f} MB")
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise NotAWorkbook("is an old .xls or locked with a password: save it as .xlsx, unlocked")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = set(packed.namelist())
            unpacked = sum(info.file_size for info in packed.infolist())
    except (zipfile.BadZipFile, ValueError) as error:
        raise NotAWorkbook("is not a workbook: save it as .xlsx") from error
    if "mimetype" in names and "content.xml" in names:
        raise NotAWorkbook("is an OpenDocument sheet: save it as .xlsx")
    if "[Content_Types].xml" not in names:
        raise NotAWorkbook("is not a workbook: save it as .xlsx")
    if unpacked > LARGEST_UNPACKED:
        raise NotAWorkbook("holds far more than any plot: it was not opened")


def _text(cell: Any) -> str:
    """What a cell says, in the words of our files."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return (value.date() if value.time() == time() else value).isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):  # 4:30 typed into a cell is kept as half past four
        hours = timedelta(hours=value.hour, minutes=value.minute, seconds=value.second)
        is_short = value.hour == 0 and value.second
        return format_time(round(hours.total_seconds() / (1 if is_short else 60)))
    if isinstance(value, timedelta):
        is_in_hours = "h" in (cell.number_format or "").lower()
        return format_time(round(value.total_seconds() / (60 if is_in_hours else 1)))
    if isinstance(value, float):
        return f"{value:.10f}".rstrip("0").rstrip(".") if abs(value) < 1e12 else str(value)
    return unescape(str(value))


def _head(page: Any, title: str) -> WriteOnlyCell:
    cell = WriteOnlyCell(page, title)
    cell.font = Font(bold=True)
    cell.alignment = Alignment(vertical="top")
    return cell


def _cell(page: Any, value: Cell) -> WriteOnlyCell:
    if isinstance(value, timedelta) and value < timedelta():
        value = format_time(round(value.total_seconds()))
    if isinstance(value, str):
        cell = WriteOnlyCell(page, _ESCAPED.sub("_x005F_", value).replace("\r", "_x000D_"))
        cell.value = _UNPRINTABLE.sub("", cell.value) if value else None
        if value:
            cell.data_type = "s"  # never a formula, whatever it begins with
            cell.quotePrefix = value[0] in "=+-@"
        return cell
    cell = WriteOnlyCell(page, value)
    if isinstance(value, timedelta):
        cell.number_format = DURATION_FORMAT
    elif isinstance(value, date):
        cell.number_format = DAY_FORMAT
    return cell


def _letters(value: Cell) -> int:
    if value is None:
        return 0
    if isinstance(value, date):
        return 10
    if isinstance(value, timedelta):
        return 6
    return max(map(len, str(value).splitlines() or [""]))
