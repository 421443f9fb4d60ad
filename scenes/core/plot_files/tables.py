"""From the bytes of a CSV file to rows by column name, with every problem on the way."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from company.core.names import name_key
from scenes.core.plot_files.rows import Problem

LARGEST_BYTES = 8_000_000
MOST_ROWS = 20_000
MOST_PROBLEMS = 1_000
_QUOTED = 40
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_NUMBER = re.compile(r"-[0-9]+(?:[:.,][0-9]+)?")


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one of the files: those that must be there and those that may."""

    needed: tuple[str, ...]
    optional: tuple[str, ...] = ()

    @property
    def known(self) -> tuple[str, ...]:
        """All of them."""
        return self.needed + self.optional


SCENE_COLUMNS = Columns(
    ("scene", "minutes"), ("title", "act", "gap_after", "interval", "needed_by")
)
PLOT_COLUMNS = Columns(
    ("scene", "character", "guise", "costume"),
    ("enters", "leaves", "from_place", "to_place", "copies", "hold", "rig", "key"),
)
CHANGE_COLUMNS = Columns(
    ("character", "guise", "from_costume", "to_costume", "minutes"), ("people",)
)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: its number in the file, and its cells by column name, trimmed."""

    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(slots=True)
class Problems:
    """The problems of one file, gathered; beyond a thousand only their number."""

    file: str
    found: list[Problem] = field(default_factory=list)
    more: int = 0

    def add(self, line: int, text: str) -> None:
        """Note a problem; line 0 speaks of the whole file."""
        if len(self.found) < MOST_PROBLEMS:
            self.found.append(Problem(self.file, line, text))
        else:
            self.more += 1

    def in_order(self) -> list[Problem]:
        """All of them by line."""
        ordered = sorted(self.found, key=lambda problem: problem.line)
        if self.more:
            ordered.append(Problem(self.file, 0, f"and {self.more} more problems"))
        return ordered


def read_table(data: bytes, columns: Columns, problems: Problems) -> list[Row] | None:
    """Rows of a CSV file; None where it is no such table, with the reasons in `problems`.

    UTF-8 with or without BOM, comma or semicolon, columns in any order. Lines without anything in
    them are passed over.
    """
    text = _decode(data, problems)
    if text is None:
        return None
    delimiter = _find_delimiter(text, columns)
    lines = _split(text, delimiter, problems)
    header_line, header = next(lines, (1, []))
    names = [name_key(cell).replace(" ", "_") for cell in header]
    if not _check_header(header_line, names, columns, problems):
        return None
    rows: list[Row] = []
    for line, cells in lines:
        if len(rows) == MOST_ROWS:
            problems.add(line, f"more than {MOST_ROWS} lines: no plot is as long as that")
            break
        row = _make_row(line, cells, names, problems)
        if row is not None:
            rows.append(row)
    return rows


def guard_cell(text: str) -> str:
    """A cell as it is written: text that a spreadsheet would run as a formula gets an apostrophe.

    So does text that looks guarded already, so that reading takes away what writing put there.
    Numbers and minutes below nought are left as they are. The signs are those of the OWASP
    Foundation's page 'CSV Injection'.

    >>> guard_cell("=1+1"), guard_cell("-0:30"), guard_cell("'=x"), guard_cell("grey")
    ("'=1+1", '-0:30', "''=x", 'grey')
    """
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def open_cell(text: str) -> str:
    """A cell as it is meant: without the apostrophe that `guard_cell` puts before it.

    >>> open_cell("'=1+1"), open_cell("''=x"), open_cell("'tis")
    ('=1+1', "'=x", "'tis")
    """
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def write_table(
    header: Sequence[str], rows: Iterable[Sequence[str]], delimiter: str = ","
) -> bytes:
    """A table as a file, UTF-8 with a BOM; no cell begins like a formula.

    >>> write_table(["a"], [["=1"]]).decode("utf-8-sig").splitlines()
    ['a', "'=1"]
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter)
    writer.writerow(header)
    writer.writerows([guard_cell(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def quote(text: str) -> str:
    """A cell as it is quoted back: short, in one line."""
    flat = " ".join(text.split())
    return f"'{flat}'" if len(flat) <= _QUOTED else f"'{flat[: _QUOTED - 1]}\u2026'"


def _decode(data: bytes, problems: Problems) -> str | None:
    if len(data) > LARGEST_BYTES:
        size, limit = len(data) / 1e6, LARGEST_BYTES / 1e6
        problems.add(0, f"is {size:.1f} MB; a plot file is at most {limit:.0f} MB")
        return None
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        words = "is a workbook, not a CSV file: give it as the workbook, or save it as 'CSV UTF-8'"
        problems.add(0, words)
        return None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        problems.add(0, "is not UTF-8 but UTF-16: save it as 'CSV UTF-8'")
        return None
    if b"\x00" in data:
        line = data.count(b"\n", 0, data.index(b"\x00")) + 1
        problems.add(line, "is not a text file: it holds a zero byte")
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = data[error.start]
        problems.add(line, f"is not UTF-8 (byte {byte:#04x}): save it as 'CSV UTF-8'")
        return None


def _find_delimiter(text: str, columns: Columns) -> str:
    """The one that finds more of the columns in the first line that holds anything."""
    first = next((line for line in text.splitlines() if line.strip(" \t,;")), "")

    def columns_found(delimiter: str) -> int:
        return sum(name_key(cell.strip('" \t')) in columns.known for cell in first.split(delimiter))

    return ";" if columns_found(";") > columns_found(",") else ","


def _split(text: str, delimiter: str, problems: Problems) -> Iterator[tuple[int, list[str]]]:
    """Lines that hold anything, as (number of the first line of the row, cells)."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    start = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield start, cells
            start = reader.line_num + 1
    except csv.Error as error:
        if "unexpected end" in str(error):
            problems.add(start, "a quotation mark opens here and is never closed")
        else:
            problems.add(start, f"cannot be read as a line of a table: {error}")


def _check_header(line: int, names: Sequence[str], columns: Columns, problems: Problems) -> bool:
    if not any(names):
        wanted = ", ".join(columns.known)
        problems.add(0, f"is empty: its first line must name the columns {wanted}")
        return False
    unknown = [name for name in dict.fromkeys(names) if name and name not in columns.known]
    missing = [name for name in columns.needed if name not in names]
    twice = [name for name in dict.fromkeys(names) if name and names.count(name) > 1]
    if unknown:
        shown = ", ".join(quote(name) for name in unknown[:20])
        problems.add(line, f"unknown column {shown}: known are {', '.join(columns.known)}")
    if missing:
        problems.add(line, f"the column {', '.join(missing)} is missing")
    if twice:
        problems.add(line, f"the column {', '.join(twice)} is there twice")
    return not (unknown or missing or twice)


def _make_row(
    line: int, cells: Sequence[str], names: Sequence[str], problems: Problems
) -> Row | None:
    beyond = [cell for cell in cells[len(names) :] if cell.strip()]
    if len(cells) < len(names) or beyond:
        problems.add(line, f"has {len(cells)} cells where the first line has {len(names)}")
        return None
    for name, cell in zip(names, cells, strict=False):
        if not name and cell.strip():
            problems.add(line, f"{quote(cell)} stands in a column without a name")
            return None
        if any(ord(sign) < 32 and sign not in "\t\r\n" for sign in cell):
            problems.add(line, f"{name}: {quote(cell)} holds a sign that cannot be printed")
            return None
    return Row(
        line, {n: open_cell(cell.strip()) for n, cell in zip(names, cells, strict=False) if n}
    )
