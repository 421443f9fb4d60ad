"""The plan by person and by figure: a row for each, a column for each day or week."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.urls import reverse

from builds.loading import end_of_day
from builds.models import Plan, PlannedStep
from builds.queries.pieces import Piece, Pieces, read_pieces, step_words, week_of
from builds.queries.wall import LateFigure, read_late
from company import clock
from company.core.working_time import total_min
from company.models import Maker
from company.queries import makers_of
from company.templatetags.words import day as day_words
from company.templatetags.words import short_day
from scenes.models import Show

DAYS_UP_TO_WEEKS = 2  # of so few weeks each day has a column, of more each week
MOST_LINES = 4  # in one cell; the rest are counted
BY = ("person", "figure")


@dataclass(frozen=True, slots=True)
class Line:
    """One step in a cell: what it is, whose, and the way to its slip."""

    words: str
    minutes: int
    url: str
    sets_date: bool = False
    is_late: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """A row on one day or in one week; `room_min` is given where it is a person's."""

    lines: tuple[Line, ...] = ()
    more: int = 0
    minutes: int = 0
    room_min: int | None = None
    words: str = ""  # what its column is called
    first: date | None = None  # its column's first day

    @property
    def is_full(self) -> bool:
        """Whether less than a twentieth of the hours is free."""
        return bool(self.room_min) and self.minutes * 20 >= (self.room_min or 0) * 19


@dataclass(frozen=True, slots=True)
class BoardRow:
    """A person or a figure."""

    name: str
    note: str
    url: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """The days a column stands for."""

    words: str
    first: date
    last: date
    is_today: bool


@dataclass(frozen=True, slots=True)
class Board:
    """What the page shows."""

    by: str
    columns: tuple[Column, ...]
    rows: tuple[BoardRow, ...]


def read_board(show: Show, plan: Plan, by: str, first: date | None, weeks: int) -> Board:
    """So many weeks of the plan from a day on, in a flat number of queries."""
    today = clock.today(show.company)
    first = week_of(first or today, show.company.week_start)
    read = read_pieces(show, plan, first, first + timedelta(days=7 * weeks - 1))
    columns = _columns(read, first, weeks)
    if by == "person":
        rows = _people(show, read, columns)
    else:
        rows = _figures(show, read, columns, read_late(show, plan))
    return Board(by, columns, rows)


def _columns(read: Pieces, first: date, weeks: int) -> tuple[Column, ...]:
    if weeks > DAYS_UP_TO_WEEKS:
        starts = [first + timedelta(days=7 * n) for n in range(weeks)]
        spans = [(start, start + timedelta(days=6)) for start in starts]
    else:
        worked = {piece.day.weekday() for piece in read.pieces} | set(range(5))
        days = [first + timedelta(days=n) for n in range(7 * weeks)]
        spans = [(day, day) for day in days if day.weekday() in worked]
    return tuple(
        Column(day_words(a) if a == b else short_day(a), a, b, a <= read.today <= b)
        for a, b in spans
    )


def _people(show: Show, read: Pieces, columns: tuple[Column, ...]) -> tuple[BoardRow, ...]:
    done: dict[int, list[Piece]] = defaultdict(list)
    for piece in read.pieces:
        for maker in {piece.row.maker_id, piece.row.second_id} - {None}:
            done[maker].append(piece)
    return tuple(
        BoardRow(
            maker.name,
            "lead" if maker.is_lead else ", ".join(str(craft) for craft in maker.crafts.all()),
            reverse("builds:today", args=[show.pk]) + f"?maker={maker.pk}",
            tuple(_person_cell(show, read, maker, done[maker.pk], column) for column in columns),
        )
        for maker in makers_of(show.company)
    )


def _person_cell(
    show: Show, read: Pieces, maker: Maker, pieces: list[Piece], column: Column
) -> Cell:
    own = [piece for piece in pieces if column.first <= piece.day <= column.last]
    cell = _cell(show, own, with_who=False)
    # What has gone of this week, and the days before it, hold nothing any more.
    first = max(column.first, read.today)
    room = room_min(read, maker.pk, first, column.last) if first <= column.last else None
    return replace(cell, room_min=room, words=column.words, first=column.first)


def room_min(read: Pieces, maker_pk: int, first: date, last: date) -> int:
    """Minutes that somebody is in from one day to another."""
    time = read.times.get(maker_pk)
    if time is None:
        return 0
    a, b = end_of_day(first - timedelta(days=1), read.zone), end_of_day(last, read.zone)
    return total_min((max(a, x), min(b, y)) for x, y in time.work if x < b and y > a)


def _figures(
    show: Show, read: Pieces, columns: tuple[Column, ...], late: Iterable[LateFigure]
) -> tuple[BoardRow, ...]:
    rows: dict[tuple[int, str], list[Piece]] = defaultdict(list)
    for piece in read.pieces:
        rows[_subject(piece.row)].append(piece)
    wanted = {one.figure.pk: one.needed.day for one in late}
    return tuple(
        BoardRow(
            name,
            _figure_note(pieces[0].row),
            _figure_url(pieces[0].row),
            tuple(_figure_cell(show, pieces, column, wanted) for column in columns),
        )
        for (_, name), pieces in sorted(rows.items(), key=lambda row: row[0])
    )


def _subject(row: PlannedStep) -> tuple[int, str]:
    """Figures first, then what is made for several of them."""
    step = row.step
    if step.figure:
        return (0, step.figure.tag)
    return (1, step.subject_words.partition(", pour")[0])


def _figure_note(row: PlannedStep) -> str:
    return str(row.step.figure.guise) if row.step.figure else "for all of them"


def _figure_url(row: PlannedStep) -> str:
    return row.step.figure.get_absolute_url() if row.step.figure else ""


def _figure_cell(
    show: Show, pieces: list[Piece], column: Column, wanted: Mapping[int, date]
) -> Cell:
    own = [piece for piece in pieces if column.first <= piece.day <= column.last]
    cell = _cell(show, own, with_who=True, wanted=wanted)
    return replace(cell, words=column.words, first=column.first)


def _cell(
    show: Show, pieces: list[Piece], *, with_who: bool, wanted: Mapping[int, date] | None = None
) -> Cell:
    """The steps of a cell, each once, in the order in which they are worked on."""
    found: dict[int, list[Piece]] = defaultdict(list)
    for piece in sorted(pieces, key=lambda piece: piece.start):
        found[piece.row.step_id].append(piece)
    lines = [
        Line(
            _line_words(parts[0].row, with_who),
            sum(part.minutes for part in parts),
            slip_url(show, parts[0].row.maker_id, parts[0].day),
            any(part.row.is_on_thread for part in parts),
            any(
                part.day > (wanted or {}).get(part.row.step.figure_id or 0, part.day)
                for part in parts
            ),
        )
        for parts in found.values()
    ]
    more = len(lines) - MOST_LINES
    shown = tuple(lines[:MOST_LINES]) if more > 1 else tuple(lines)
    return Cell(shown, more if more > 1 else 0, sum(piece.minutes for piece in pieces))


def _line_words(row: PlannedStep, with_who: bool) -> str:
    if not with_who:
        return step_words(row)
    name = row.step.stage.name
    who = row.maker.name + (f" and {row.second.name}" if row.second else "")
    return f"{name[:1].lower()}{name[1:]}, {who}"


def slip_url(show: Show, maker_pk: int, day: date) -> str:
    """The address of what somebody does on a day."""
    return reverse("builds:plan_slip", args=[show.pk, maker_pk, day.isoformat()])
