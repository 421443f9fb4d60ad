"""guises.csv: what is said of roles, guises and costumes, a line for each costume.

The plot files name who is in the plot; this one holds everything else that is known of them, so
that an export is whole. A blank cell says nothing: it never takes away what is known already.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from company.core.names import name_key, tidy_name
from company.core.units import format_hours, parse_hours
from scenes.core.letters import tidy_letters
from scenes.core.plot_files.rows import CharacterNames, GuiseNames, Problem
from scenes.core.plot_files.tables import Columns, Problems, Row, quote, read_table, write_table

KINDS = ("string", "rod", "hand", "shadow", "table-top", "object")
MOST_TINTS = 6
LARGEST_MM, LARGEST_G, LARGEST_SCALE = 20_000, 100_000, 50
MOST_PEOPLE = 9
MOST_ON_ONE = 50
RIG_LENGTH = 40
LENGTHS = {
    "character": 80, "guise": 80, "costume": 80, "words": 120, "colours": 200, "note": 4000,
}  # fmt: skip
COLUMNS = Columns(
    ("character", "guise"),
    (
        *("letters", "kind", "scale", "height_mm", "head_mm", "words", "colours", "moves"),
        *("people", "on_one", "further", "rigs", "plain_rigs", "break_away"),
        *("chosen_by", "note", "costume", "tint", "sewing", "weight_g", "matters"),
    ),
)
_SAYS = {"yes": True, "y": True, "true": True, "1": True, "x": True}
_SAYS |= {"no": False, "n": False, "false": False, "0": False}


@dataclass(frozen=True, slots=True)
class GuiseRow:
    """A line of guises.csv. None, () and '' say nothing; `line` is where it stands in its file.

    `rigs` are trick builds that play nothing else, `plain_rigs` those that also play plain; in
    the file several are parted by semicolons. `break_away` are those of which a part breaks at
    each performance, each with the minutes that one part takes (in the file 'barrel = 0.5 h').
    `on_one` is how many hang on one control, `further_min` what each beyond the first takes.
    """

    character: str
    guise: str
    costume: str = ""
    letters: str = ""
    kind: str = ""
    scale: Decimal | None = None
    height_mm: int | None = None
    head_mm: int | None = None
    words: str = ""
    colours: str = ""
    moves: bool | None = None
    people: int | None = None
    on_one: int | None = None
    further_min: int | None = None
    rigs: tuple[str, ...] = ()
    plain_rigs: tuple[str, ...] = ()
    break_away: tuple[tuple[str, int], ...] = ()
    chosen_by: date | None = None
    note: str = ""
    tint: int | None = None
    sewing_min: int | None = None
    weight_g: int | None = None
    matters: bool | None = None
    line: int = 0


def read_guises(file: str, data: bytes) -> tuple[list[GuiseRow], tuple[Problem, ...]]:
    """The lines of a guises.csv, and all that is wrong in it.

    >>> rows, problems = read_guises("guises.csv", b"character,guise,kind\\nHeron,,rod\\n")
    >>> rows[0].character, rows[0].kind, problems
    ('Heron', 'rod', ())
    """
    problems = Problems(file)
    rows = [_read_row(row, problems) for row in read_table(data, COLUMNS, problems) or ()]
    _check_letters(rows, problems)
    return rows, tuple(problems.in_order())


def names_in(rows: Iterable[GuiseRow]) -> tuple[CharacterNames, ...]:
    """Everybody that the lines name, in their order, each in the first spelling."""
    met: dict[str, tuple[str, dict[str, tuple[str, dict[str, str]]]]] = {}
    for row in rows:
        _, guises = met.setdefault(name_key(row.character), (row.character, {}))
        _, costumes = guises.setdefault(name_key(row.guise), (row.guise, {}))
        if row.costume:
            costumes.setdefault(name_key(row.costume), row.costume)
    return tuple(
        CharacterNames(
            name,
            tuple(GuiseNames(guise, tuple(costumes.values())) for guise, costumes in g.values()),
        )
        for name, g in met.values()
    )


def write_guises(rows: Iterable[GuiseRow], delimiter: str = ",") -> bytes:
    """The lines as a file, UTF-8 with a BOM as the other files are.

    >>> write_guises([GuiseRow("Heron", "", kind="rod")]).decode("utf-8-sig").splitlines()[1]
    'Heron,,,rod,,,,,,,,,,,,,,,,,,,'
    """
    lines = ([_cell(row, column) for column in COLUMNS.known] for row in rows)
    return write_table(COLUMNS.known, lines, delimiter)


def _cell(row: GuiseRow, column: str) -> str:
    if column == "sewing":
        return "" if row.sewing_min is None else format_hours(row.sewing_min)
    if column == "further":
        return "" if row.further_min is None else format_hours(row.further_min)
    if column == "break_away":
        return "; ".join(f"{name} = {format_hours(part)}" for name, part in row.break_away)
    value = getattr(row, column)
    if value is None:
        return ""
    if isinstance(value, tuple):
        return "; ".join(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value.isoformat() if isinstance(value, date) else str(value)


def _read_row(row: Row, problems: Problems) -> GuiseRow:
    line = _Line(row, problems)
    said = GuiseRow(
        character=line.text("character"),
        guise=line.text("guise"),
        costume=line.text("costume"),
        letters=line.letters(),
        kind=line.kind(),
        scale=line.scale(),
        height_mm=line.number("height_mm", 1, LARGEST_MM),
        head_mm=line.number("head_mm", 1, LARGEST_MM),
        words=line.text("words"),
        colours=line.text("colours"),
        moves=line.says("moves"),
        people=line.number("people", 1, MOST_PEOPLE),
        on_one=line.number("on_one", 1, MOST_ON_ONE),
        further_min=line.hours("further"),
        rigs=line.rigs("rigs"),
        plain_rigs=line.rigs("plain_rigs"),
        break_away=line.break_away(),
        chosen_by=line.day("chosen_by"),
        note=line.text("note"),
        tint=line.number("tint", 1, MOST_TINTS),
        sewing_min=line.hours("sewing"),
        weight_g=line.number("weight_g", 0, LARGEST_G),
        matters=line.says("matters"),
        line=row.line,
    )
    if both := {name_key(r) for r in said.rigs} & {name_key(r) for r in said.plain_rigs}:
        problems.add(row.line, f"plain_rigs: {quote(min(both))} stands under rigs as well")
    named = {name_key(name) for name in (*said.rigs, *said.plain_rigs)}
    for name, _ in said.break_away:
        if name_key(name) not in named:
            words = f"break_away: {quote(name)} stands under neither rigs nor plain_rigs"
            problems.add(row.line, words)
    if not said.character:
        problems.add(row.line, "character is blank")
    costume_says = (said.tint, said.sewing_min, said.weight_g, said.matters)
    if not said.costume and any(value is not None for value in costume_says):
        problems.add(row.line, "costume is blank, but something is said of it")
    return said


@dataclass(slots=True)
class _Line:
    """The cells of one line, read one by one; what is wrong with one is noted and it is blank."""

    row: Row
    problems: Problems

    def fail(self, column: str, text: str) -> None:
        self.problems.add(self.row.line, f"{column}: {text}")

    def text(self, column: str) -> str:
        written = self.row[column]
        written = written if column == "note" else tidy_name(written)
        if len(written) > LENGTHS[column]:
            self.fail(column, f"{quote(written)} is longer than {LENGTHS[column]} letters")
        return written

    def number(self, column: str, least: int, most: int) -> int | None:
        written = self.row[column]
        if not written:
            return None
        if not (written.isascii() and written.isdigit() and len(written) < 9):
            self.fail(column, f"{quote(written)} is not a whole number")
        elif not least <= int(written) <= most:
            self.fail(column, f"{written} is not between {least} and {most}")
        else:
            return int(written)
        return None

    def says(self, column: str) -> bool | None:
        written = name_key(self.row[column])
        if written and written not in _SAYS:
            self.fail(column, f"{quote(written)} is neither yes nor no")
        return _SAYS.get(written)

    def rigs(self, column: str) -> tuple[str, ...]:
        names = {name_key(name): tidy_name(name) for name in self.row[column].split(";")}
        names.pop("", None)
        if "plain" in names:
            self.fail(column, "'plain' is no trick build")
        for name in names.values():
            if len(name) > RIG_LENGTH:
                self.fail(column, f"{quote(name)} is longer than {RIG_LENGTH} letters")
        return tuple(names.values())

    def break_away(self) -> tuple[tuple[str, int], ...]:
        found: dict[str, tuple[str, int]] = {}
        for said in filter(None, map(str.strip, self.row["break_away"].split(";"))):
            name, has_hours, hours = said.rpartition("=")
            name = name if has_hours else said
            hours = hours if has_hours else ""
            try:
                minutes = parse_hours(hours.strip()) if hours.strip() else 0
            except ValueError as error:
                self.fail("break_away", str(error))
                continue
            found[name_key(name)] = (tidy_name(name), minutes)
        return tuple(found.values())

    def kind(self) -> str:
        written = name_key(self.row["kind"])
        if written and written not in KINDS:
            self.fail("kind", f"{quote(written)} is none of {', '.join(KINDS)}")
            return ""
        return written

    def letters(self) -> str:
        try:
            return tidy_letters(self.row["letters"]) if self.row["letters"] else ""
        except ValueError as error:
            self.fail("letters", str(error))
            return ""

    def scale(self) -> Decimal | None:
        if not self.row["scale"]:
            return None
        try:
            scale = Decimal(self.row["scale"].replace(",", "."))
        except InvalidOperation:
            scale = Decimal("NaN")
        if not scale.is_finite() or not Decimal("0.001") <= scale <= LARGEST_SCALE:
            words = f"{quote(self.row['scale'])} is not a number above 0, such as 1 or 0.5"
            self.fail("scale", words)
            return None
        return round(scale, 3)

    def hours(self, column: str) -> int | None:
        try:
            return parse_hours(self.row[column]) if self.row[column] else None
        except ValueError as error:
            self.fail(column, str(error))
            return None

    def day(self, column: str) -> date | None:
        try:
            return date.fromisoformat(self.row[column]) if self.row[column] else None
        except ValueError:
            self.fail(column, f"{quote(self.row[column])} is not a date: write it as 2026-03-31")
            return None


def _check_letters(rows: list[GuiseRow], problems: Problems) -> None:
    """A role has one set of letters, and no two roles share one."""
    of_role: dict[str, tuple[str, int]] = {}
    of_letters: dict[str, tuple[str, int]] = {}
    for row in rows:
        if not row.letters:
            continue
        key = name_key(row.character)
        letters, line = of_role.setdefault(key, (row.letters, row.line))
        if letters != row.letters:
            problems.add(row.line, f"letters: {row.character} has {letters} in line {line}")
            continue
        other, line = of_letters.setdefault(row.letters, (key, row.line))
        if other != key:
            problems.add(row.line, f"letters: {row.letters} is another role's in line {line}")
