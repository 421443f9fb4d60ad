"""A pasted block taken apart: cells of a grid, or rows of a list, as wishes with their place."""

from __future__ import annotations

import csv
import io
from collections.abc import Hashable, Iterator, Sequence
from typing import Literal, NamedTuple, TypeAlias

from company.core.names import name_key, tidy_name
from company.core.units import parse_minutes
from scenes.core.paste.cells import Wish, find_costume, read_cell, read_copies
from scenes.core.paste.targets import Targets
from scenes.core.plot import GuiseId, SceneKey
from scenes.core.plot_files.rows import HOLDS

Form: TypeAlias = Literal["grid", "list", "neither"]

MOST_CELLS = 20_000
LONGEST_PLACE = 40
LIST_COLUMNS = (
    "scene", "character", "guise", "costume", "enters", "leaves", "from_place", "to_place",
    "copies", "hold", "rig", "key",
)  # fmt: skip
_ALSO_CALLED = {"role": "character", "puppet": "character", "from": "from_place",
                "to": "to_place", "in": "enters", "out": "leaves"}  # fmt: skip


class Bad(NamedTuple):
    """A cell that was not understood; rows and columns of the block count from 1."""

    row: int
    column: int
    text: str
    why: str


class Asked(NamedTuple):
    """What one cell or row asks for: all appearances of a guise in a scene, or one more."""

    row: int
    column: int
    guise: GuiseId
    scene: SceneKey
    wishes: tuple[Wish, ...]


def split_block(text: str) -> list[list[str]]:
    """Cells of a block as a spreadsheet puts it on the clipboard: tabs, cells quoted where needed.

    >>> split_block("a\\tb\\r\\n\\tc\\n")
    [['a', 'b'], ['', 'c']]
    """
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter="\t", strict=True))
    except csv.Error:  # a quotation mark that is only a quotation mark
        rows = [line.split("\t") for line in text.splitlines()]
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    return rows


def read_block(
    rows: Sequence[Sequence[str]], targets: Targets
) -> tuple[Form, list[Asked], list[Bad]]:
    """What a block asks for, and what in it was not understood."""
    if not rows:
        return "neither", [], [Bad(1, 1, "", "there is nothing in it")]
    if sum(len(row) for row in rows) > MOST_CELLS:
        return "neither", [], [Bad(1, 1, "", f"more than {MOST_CELLS} cells: paste it in parts")]
    head = [_ALSO_CALLED.get(name, name) for name in map(_column_name, rows[0])]
    bad: list[Bad] = []
    if "scene" in head and "character" in head:
        return "list", list(_read_list(rows, head, targets, bad)), bad
    if any(targets.find_scene(cell) is not None for cell in rows[0] if cell.strip()):
        return "grid", list(_read_grid(rows, targets, bad)), bad
    why = "the first row names no scene of the plot, nor the columns scene and character"
    return "neither", [], [Bad(1, 1, next(filter(None, rows[0]), ""), why)]


def names_columns(rows: Sequence[Sequence[str]], targets: Targets) -> bool:
    """Whether the first row says what the columns are: scenes behind the roles, or names."""
    head = [_ALSO_CALLED.get(name, name) for name in map(_column_name, rows[0])]
    if "scene" in head and "character" in head:
        return True
    found = [targets.find_scene(cell) is not None for cell in rows[0]]
    return any(found) and not found[0]


def _column_name(cell: str) -> str:
    return name_key(cell).replace(" ", "_")


def _read_grid(rows: Sequence[Sequence[str]], targets: Targets, bad: list[Bad]) -> Iterator[Asked]:
    """Roles down, scenes across; one leading column of full names, or character and guise."""
    head = list(rows[0])
    scenes = {n: targets.find_scene(cell) for n, cell in enumerate(head)}
    leading = next(n for n, scene in scenes.items() if scene is not None)
    if leading == 0:
        bad.append(Bad(1, 1, head[0], "the first column holds the roles: it has no scene above"))
        return
    seen: dict[SceneKey, int] = {}
    for n in range(leading, len(head)):
        scene = scenes[n]
        if scene is None:
            if head[n].strip():
                bad.append(Bad(1, n + 1, head[n], f"there is no scene '{tidy_name(head[n])}'"))
        elif scene in seen:
            bad.append(Bad(1, n + 1, head[n], f"the same scene as in column {seen[scene]}"))
            scenes[n] = None
        else:
            seen[scene] = n + 1
    character = ""
    named: dict[GuiseId, int] = {}
    for number, cells in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        names = [cell.strip() for cell in cells[:leading]]
        character = names[0] or (character if leading > 1 else "")
        try:
            guise = targets.find_guise(character, " ".join(names[1:]))
        except ValueError as error:
            bad.append(Bad(number, 1, names[0], str(error)))
            continue
        if guise in named:
            bad.append(Bad(number, 1, names[0], f"the same role as in row {named[guise]}"))
            continue
        named[guise] = number
        yield from _read_row(number, leading, cells, scenes, guise, targets, bad)


def _read_row(
    number: int,
    leading: int,
    cells: Sequence[str],
    scenes: dict[int, SceneKey | None],
    guise: GuiseId,
    targets: Targets,
    bad: list[Bad],
) -> Iterator[Asked]:
    for n, cell in enumerate(cells[leading:], start=leading):
        if not cell.strip():
            continue
        scene = scenes.get(n)
        if scene is None:
            if n >= len(scenes):
                bad.append(Bad(number, n + 1, cell, "no scene stands above it"))
            continue
        try:
            wishes = read_cell(cell, guise, targets.costumes_of(guise))
        except ValueError as error:
            bad.append(Bad(number, n + 1, cell, str(error)))
            continue
        yield Asked(number, n + 1, guise, scene, tuple(wishes))


def _read_list(
    rows: Sequence[Sequence[str]], head: list[str], targets: Targets, bad: list[Bad]
) -> Iterator[Asked]:
    """One appearance a row, under the columns of our own plot file."""
    for n, name in enumerate(head):
        if name and name not in LIST_COLUMNS:
            known = ", ".join(LIST_COLUMNS)
            bad.append(Bad(1, n + 1, rows[0][n], f"no such column: known are {known}"))
        elif name and name in head[:n]:
            bad.append(Bad(1, n + 1, rows[0][n], "the same column again"))
    if bad:
        return
    at = {name: n for n, name in enumerate(head) if name}
    for number, cells in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        reader = _Row(number, cells, at, targets, bad)
        asked = reader.read()
        if asked is not None:
            yield asked


class _Row:
    """One row of a list, read cell by cell; every cell that is wrong is noted."""

    def __init__(
        self,
        number: int,
        cells: Sequence[str],
        at: dict[str, int],
        targets: Targets,
        bad: list[Bad],
    ) -> None:
        self.number, self.cells, self.at, self.targets = number, cells, at, targets
        self.bad = bad
        self.is_sound = True

    def read(self) -> Asked | None:
        scene = self.targets.find_scene(self.text("scene"))
        if scene is None:
            self.fail("scene", f"there is no scene '{tidy_name(self.text('scene'))}'")
        guise: GuiseId = None
        try:
            guise = self.targets.find_guise(self.text("character"), self.text("guise"))
        except ValueError as error:
            self.fail("character", str(error))
        said: dict[str, Hashable] = {}
        for column, read in (
            ("costume", lambda text: self.costume(text, guise)),
            ("enters", lambda text: parse_minutes(text, may_be_negative=True) if text else None),
            ("leaves", lambda text: parse_minutes(text) if text else None),
            ("from_place", self.place),
            ("to_place", self.place),
            ("copies", lambda text: read_copies(text) if text else 1),
            ("hold", self.hold),
            ("rig", lambda text: "" if name_key(text) == "plain" else self.place(text)),
        ):
            if column not in self.at:
                continue
            try:
                said[_FIELDS.get(column, column)] = read(self.text(column))
            except ValueError as error:
                self.fail(column, str(error))
        if not self.is_sound or scene is None:
            return None
        wish = Wish(said, self.text("key") if "key" in self.at else "")
        return Asked(self.number, 1, guise, scene, (wish,))

    def text(self, column: str) -> str:
        n = self.at.get(column, len(self.cells))
        return self.cells[n].strip() if n < len(self.cells) else ""

    def fail(self, column: str, why: str) -> None:
        self.is_sound = False
        self.bad.append(Bad(self.number, self.at[column] + 1, self.text(column), why))

    def costume(self, text: str, guise: GuiseId) -> Hashable:
        return find_costume(text, guise, self.targets.costumes_of(guise)) if text else None

    def place(self, text: str) -> str:
        if len(text) > LONGEST_PLACE:
            raise ValueError(f"at most {LONGEST_PLACE} letters, not {len(text)}")
        return tidy_name(text)

    def hold(self, text: str) -> str:
        written = name_key(text) or HOLDS[0]
        if written not in HOLDS:
            raise ValueError(f"'{text}' is none of {', '.join(HOLDS)}")
        return written


_FIELDS = {"enters": "enters_s", "leaves": "leaves_s"}
