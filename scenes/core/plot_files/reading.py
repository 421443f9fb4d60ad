"""Reading scenes.csv, plot.csv and changes.csv: a whole plot, or every problem at once."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from company.core.names import name_key, tidy_name
from company.core.units import parse_minutes
from scenes.core.plot import Appearance, Scene
from scenes.core.plot_files.rows import (
    HOLDS,
    AppearanceRow,
    ChangeRow,
    PlotFile,
    Problem,
    Reading,
    SceneRow,
)
from scenes.core.plot_files.tables import (
    CHANGE_COLUMNS,
    PLOT_COLUMNS,
    SCENE_COLUMNS,
    Problems,
    Row,
    quote,
    read_table,
)
from scenes.core.plot_problems import time_problem

MOST_COPIES = 999
MOST_PEOPLE = 99
LENGTHS = {
    "scene": 20, "title": 120, "act": 40, "character": 80, "guise": 80, "costume": 80,
    "from_costume": 80, "to_costume": 80, "from_place": 40, "to_place": 40, "rig": 40,
}  # fmt: skip
_YES = frozenset({"yes", "y", "true", "1", "x"})
_NO = frozenset({"", "no", "n", "false", "0"})
_SHORT_HOLDS = {"": 0, "two": 0, "2": 0, "one": 1, "1": 1, "hung": 2, "set": 3}


class Source(NamedTuple):
    """A file as it came: the name to speak of it by, and its bytes."""

    name: str
    data: bytes


def read_plot_files(scenes: Source, plot: Source, changes: Source | None = None) -> Reading:
    """Read the files of a plot together.

    A blank costume is undecided, a blank guise the one guise of a character that has no name of
    its own; blank times are the whole scene, blank places not said, blank copies 1. Names are
    matched trimmed, in one Unicode form and without regard to case, within their parent, and keep
    the spelling met first. Problems come by file and line; with any problem there is no plot.

    >>> scenes = Source("scenes.csv", b"scene,minutes\\n1,4:30\\n")
    >>> plot = Source("plot.csv", b"scene;character;guise;costume\\n1;Heron;;grey\\n2;Heron;;\\n")
    >>> [str(problem) for problem in read_plot_files(scenes, plot).problems]
    ["plot.csv:3: scene: there is no scene '2' in scenes.csv"]
    """
    reader = _Reader(scenes.name)
    reader.read_scenes(scenes)
    reader.read_plot(plot)
    if changes is not None:
        reader.read_changes(changes)
    if reader.problems:
        return Reading(None, tuple(reader.problems))
    return Reading(PlotFile(tuple(reader.scenes), tuple(reader.appearances), tuple(reader.changes)))


@dataclass(slots=True)
class _Cells:
    """The cells of one row, read with all their problems; `is_sound` when there were none."""

    row: Row
    problems: Problems
    spellings: dict[tuple[str, ...], str]
    is_sound: bool = True

    def fail(self, text: str) -> None:
        self.problems.add(self.row.line, text)
        self.is_sound = False

    def name(self, column: str, *within: str, may_be_blank: bool = True) -> str:
        """A name in its first spelling; `within` says what it is unique in."""
        written = tidy_name(self.row[column])
        if not written and not may_be_blank:
            self.fail(f"{column} is blank")
        if len(written) > LENGTHS[column]:
            self.fail(f"{column}: {quote(written)} is longer than {LENGTHS[column]} letters")
        return self.spellings.setdefault((*within, name_key(written)), written)

    def seconds(
        self, column: str, *, blank: int | None, may_be_negative: bool = False
    ) -> int | None:
        """Minutes as seconds."""
        if not self.row[column] and blank is not None:
            return blank
        try:
            return parse_minutes(self.row[column], may_be_negative=may_be_negative)
        except ValueError as error:
            self.fail(f"{column}: {error}")
            return None

    def number(self, column: str, least: int, most: int) -> int:
        """A whole number; blank is 1."""
        written = self.row[column] or "1"
        if not (written.isascii() and written.isdigit() and len(written) < 9):
            self.fail(f"{column}: {quote(written)} is not a whole number")
        elif not least <= int(written) <= most:
            self.fail(f"{column}: {written} is not between {least} and {most}")
        else:
            return int(written)
        return least


@dataclass(slots=True)
class _Reader:
    """What is read so far, and what is wrong with it."""

    scenes_file: str
    scenes: list[SceneRow] = field(default_factory=list)
    appearances: list[AppearanceRow] = field(default_factory=list)
    changes: list[ChangeRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    spellings: dict[tuple[str, ...], str] = field(default_factory=dict)
    scene_lines: dict[str, int] = field(default_factory=dict)
    core_scenes: dict[str, Scene] = field(default_factory=dict)
    keys: dict[str, int] = field(default_factory=dict)
    change_lines: dict[tuple[str, ...], int] = field(default_factory=dict)
    knows_scenes: bool = False

    def read_scenes(self, source: Source) -> None:
        problems = Problems(source.name)
        rows = read_table(source.data, SCENE_COLUMNS, problems)
        self.knows_scenes = rows is not None
        self._each(rows, problems, self._read_scene)

    def read_plot(self, source: Source) -> None:
        problems = Problems(source.name)
        self._each(read_table(source.data, PLOT_COLUMNS, problems), problems, self._read_appearance)

    def read_changes(self, source: Source) -> None:
        problems = Problems(source.name)
        self._each(read_table(source.data, CHANGE_COLUMNS, problems), problems, self._read_change)

    def _each(
        self, rows: list[Row] | None, problems: Problems, read: Callable[[_Cells], None]
    ) -> None:
        for row in rows or ():
            read(_Cells(row, problems, self.spellings))
        self.problems.extend(problems.in_order())

    def _read_scene(self, cells: _Cells) -> None:
        label = cells.name("scene", "scene", may_be_blank=False)
        key = name_key(label)
        if key in self.scene_lines:
            cells.fail(f"scene: {quote(label)} is there already, in line {self.scene_lines[key]}")
        elif label:
            self.scene_lines[key] = cells.row.line
        length_s = cells.seconds("minutes", blank=None)
        if length_s == 0:
            cells.fail("minutes: a scene lasts longer than 0 minutes")
        gap_s = cells.seconds("gap_after", blank=0)
        title = tidy_name(cells.row["title"])
        if len(title) > LENGTHS["title"]:
            cells.fail(f"title: {quote(title)} is longer than {LENGTHS['title']} letters")
        act = cells.name("act", "act")
        is_interval = self._read_yes(cells, "interval")
        needed_by = self._read_date(cells, "needed_by")
        if cells.is_sound and length_s is not None and gap_s is not None:
            self.scenes.append(SceneRow(label, length_s, title, act, gap_s, is_interval, needed_by))
            self.core_scenes[key] = Scene(key, label, length_s, gap_s)

    def _read_appearance(self, cells: _Cells) -> None:
        row = cells.row
        scene_key = name_key(row["scene"])
        if not scene_key:
            cells.fail("scene is blank")
        elif self.knows_scenes and scene_key not in self.scene_lines:
            cells.fail(f"scene: there is no scene {quote(row['scene'])} in {self.scenes_file}")
        character, guise = self._read_guise(cells)
        within = ("costume", name_key(character), name_key(guise))
        appearance = AppearanceRow(
            scene=self.spellings.get(("scene", scene_key), row["scene"]),
            character=character,
            guise=guise,
            costume=cells.name("costume", *within),
            enters_s=cells.seconds("enters", blank=None, may_be_negative=True)
            if row["enters"]
            else None,
            leaves_s=cells.seconds("leaves", blank=None) if row["leaves"] else None,
            from_place=cells.name("from_place", "place"),
            to_place=cells.name("to_place", "place"),
            copies=cells.number("copies", 1, MOST_COPIES),
            hold=self._read_hold(cells),
            rig=self._read_rig(cells),
            key=self._read_key(cells),
        )
        if cells.is_sound and scene_key in self.core_scenes:
            times = Appearance("", "", None, scene_key, appearance.enters_s, appearance.leaves_s)
            if what := time_problem(self.core_scenes[scene_key], times):
                cells.fail(f"leaves: {what}")
        if cells.is_sound:
            self.appearances.append(appearance)

    def _read_change(self, cells: _Cells) -> None:
        character, guise = self._read_guise(cells)
        within = (name_key(character), name_key(guise))
        first = cells.name("from_costume", "costume", *within, may_be_blank=False)
        second = cells.name("to_costume", "costume", *within, may_be_blank=False)
        pair = (*within, name_key(first), name_key(second))
        if first and first == second:
            cells.fail(f"to_costume: {quote(second)} to itself is no change")
        elif pair in self.change_lines:
            cells.fail(f"this change is there already, in line {self.change_lines[pair]}")
        self.change_lines.setdefault(pair, cells.row.line)
        change_s = cells.seconds("minutes", blank=None)
        people = cells.number("people", 0, MOST_PEOPLE)
        if cells.is_sound and change_s is not None:
            self.changes.append(ChangeRow(character, guise, first, second, change_s, people))

    def _read_guise(self, cells: _Cells) -> tuple[str, str]:
        character = cells.name("character", "character", may_be_blank=False)
        return character, cells.name("guise", "guise", name_key(character))

    def _read_hold(self, cells: _Cells) -> str:
        written = name_key(cells.row["hold"])
        if written in HOLDS:
            return written
        if written in _SHORT_HOLDS:
            return HOLDS[_SHORT_HOLDS[written]]
        cells.fail(f"hold: {quote(written)} is none of {', '.join(HOLDS)}")
        return HOLDS[0]

    def _read_rig(self, cells: _Cells) -> str:
        """'plain' is no rig."""
        return "" if name_key(cells.row["rig"]) == "plain" else cells.name("rig", "rig")

    def _read_key(self, cells: _Cells) -> str:
        """The key that an export gave the appearance, so that an import knows it again."""
        written = cells.row["key"].casefold()
        if not written:
            return ""
        try:
            key = str(uuid.UUID(written))
        except ValueError:
            cells.fail(f"key: {quote(written)} is not a key that an export gave: leave it blank")
            return ""
        if key in self.keys:
            cells.fail(f"key: the same as in line {self.keys[key]}: leave it blank in a new line")
        self.keys.setdefault(key, cells.row.line)
        return key

    def _read_yes(self, cells: _Cells, column: str) -> bool:
        written = name_key(cells.row[column])
        if written not in _YES | _NO:
            cells.fail(f"{column}: {quote(written)} is neither yes nor no")
        return written in _YES

    def _read_date(self, cells: _Cells, column: str) -> date | None:
        written = cells.row[column]
        if not written:
            return None
        try:
            return date.fromisoformat(written)
        except ValueError:
            cells.fail(f"{column}: {quote(written)} is not a date: write it as 2026-03-31")
            return None
