"""places.csv: minutes from one named place to another, a line for each way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from company.core.names import name_key, tidy_name
from company.core.units import format_minutes, parse_minutes
from scenes.core.plot_files.rows import Problem
from scenes.core.plot_files.tables import Columns, Problems, Row, quote, read_table, write_table

LONGEST_NAME = 40
COLUMNS = Columns(("from", "to", "minutes"))


@dataclass(frozen=True, slots=True)
class WalkRow:
    """A line of places.csv: one way, not back. `line` is where it stands in its file."""

    from_place: str
    to_place: str
    walk_s: int
    line: int = 0


def read_places(file: str, data: bytes) -> tuple[list[WalkRow], tuple[Problem, ...]]:
    """The lines of a places.csv, and all that is wrong in it.

    >>> rows, problems = read_places("places.csv", b"from,to,minutes\\nleft,bridge,1:30\\n")
    >>> rows[0].to_place, rows[0].walk_s, problems
    ('bridge', 90, ())
    """
    problems = Problems(file)
    met: dict[tuple[str, str], int] = {}
    rows = [
        found
        for row in read_table(data, COLUMNS, problems) or ()
        if (found := _read_row(row, problems, met)) is not None
    ]
    return rows, tuple(problems.in_order())


def write_places(rows: Iterable[WalkRow], delimiter: str = ",") -> bytes:
    """The lines as a file, UTF-8 with a BOM as the other files are.

    >>> write_places([WalkRow("left", "bridge", 90)]).decode("utf-8-sig").splitlines()
    ['from,to,minutes', 'left,bridge,1:30']
    """
    lines = ((r.from_place, r.to_place, format_minutes(r.walk_s)) for r in rows)
    return write_table(COLUMNS.known, lines, delimiter)


def _read_row(row: Row, problems: Problems, met: dict[tuple[str, str], int]) -> WalkRow | None:
    wrong = []
    names = {}
    for column in ("from", "to"):
        names[column] = tidy_name(row[column])
        if not names[column]:
            wrong.append(f"{column} is blank")
        elif len(names[column]) > LONGEST_NAME:
            wrong.append(f"{column}: {quote(names[column])} is longer than {LONGEST_NAME} letters")
    pair = (name_key(names["from"]), name_key(names["to"]))
    if pair[0] and pair[0] == pair[1]:
        wrong.append(f"to: {quote(names['to'])} to itself is no way")
    elif pair in met:
        wrong.append(f"this way is there already, in line {met[pair]}")
    met.setdefault(pair, row.line)
    walk_s = 0
    try:
        walk_s = parse_minutes(row["minutes"])
    except ValueError as error:
        wrong.append(f"minutes: {error}")
    for text in wrong:
        problems.add(row.line, text)
    return None if wrong else WalkRow(names["from"], names["to"], walk_s, row.line)
