"""The wall plan of a show: slips by day, dates to begin by, what is late, and the list form."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from django.urls import reverse

from builds.drawings.wall import Slip, WallDay, WallPlan, WallWeek
from builds.models import Figure, Plan, PlannedStep
from builds.queries.needed import NeededBy, needed_by_dates
from builds.queries.pieces import Piece, read_pieces, step_words, week_of
from builds.queries.plans import FigureDates, figure_dates
from company import clock
from company.models import DayOff, Maker, OtherWork
from company.templatetags.words import and_list, short_day
from scenes.models import Show

WEEKS_SHOWN = 6
WEEKS_OFFERED = (2, 4, 6, 12)
BEGIN_SHOWN = 8
MOST_WORDS = 3  # steps named on one slip; the rest are counted
WORKDAYS = 5


@dataclass(frozen=True, slots=True)
class LateFigure:
    """A figure that misses its date."""

    figure: Figure
    needed: NeededBy
    dates: FigureDates


@dataclass(frozen=True, slots=True)
class Wall:
    """What the page shows."""

    plan: WallPlan
    first: date
    last: date
    earlier: date | None
    later: date | None
    rows: tuple[PlannedStep, ...]
    begin_by: tuple[PlannedStep, ...]
    late: tuple[LateFigure, ...]


def read_wall(show: Show, plan: Plan, first: date | None = None, weeks: int = WEEKS_SHOWN) -> Wall:
    """So many weeks of the plan from a day on, in a flat number of queries."""
    today = clock.today(show.company)
    first = week_of(first or today, show.company.week_start)
    last = first + timedelta(days=7 * weeks - 1)
    read = read_pieces(show, plan, first, last)
    late = read_late(show, plan)
    start = week_of(today, show.company.week_start)
    step = timedelta(days=7 * weeks)
    return Wall(
        plan=WallPlan(_weeks(show, read.pieces, first, weeks, late)),
        first=first,
        last=last,
        earlier=max(first - step, start) if first > start else None,
        later=first + step if last < read.final else None,
        rows=tuple(read.rows),
        begin_by=_begin_by(read.rows),
        late=late,
    )


def read_whole_wall(show: Show, plan: Plan) -> WallPlan:
    """The whole plan from this week to its last one, or to that of the opening."""
    today = clock.today(show.company)
    zone = ZoneInfo(show.company.time_zone)
    start = week_of(today, show.company.week_start)
    final = plan.ready.astimezone(zone).date() if plan.ready else today
    if show.opening and (show.opening - final).days < 28:
        final = max(final, show.opening)
    weeks = max(1, -(-((final - start).days + 1) // 7))
    read = read_pieces(show, plan, start, start + timedelta(days=7 * weeks - 1))
    return WallPlan(_weeks(show, read.pieces, start, weeks, read_late(show, plan)))


def _weeks(
    show: Show, pieces: list[Piece], first: date, count: int, late_ones: Iterable[LateFigure]
) -> tuple[WallWeek, ...]:
    today = clock.today(show.company)
    late = {one.figure.pk: one.needed.day for one in late_ones}
    by_day: dict[date, dict[int, list[Piece]]] = defaultdict(lambda: defaultdict(list))
    order = _thread_order(pieces)
    for piece in pieces:
        by_day[piece.day][piece.row.maker_id].append(piece)
    other = _other_work(show)
    off = {
        first_day + timedelta(days=n): row.word or "holiday"
        for row in DayOff.objects.for_company(show.company).filter(maker=None)
        for first_day in [row.first]
        for n in range((row.last - row.first).days + 1)
    }
    days = [first + timedelta(days=n) for n in range(7 * count)]
    worked = {day.weekday() for day in days if by_day.get(day) or other.get(day)}
    columns = [
        n for n in range(7) if (first.weekday() + n) % 7 in worked or (first.weekday() + n) % 7 < 5
    ]
    weeks = []
    for week in range(count):
        monday = first + timedelta(days=7 * week)
        wall_days = []
        for column in columns:
            day = monday + timedelta(days=column)
            slips = [_slip(show, found, order, late) for found in by_day[day].values()]
            slips += [
                Slip(maker.name, word, is_other_work=True) for maker, word in other.get(day, [])
            ]
            mark = "opening" if day == show.opening else ""
            if day == show.needed_by:
                mark = "first rehearsal"
            wall_days.append(
                WallDay(
                    day,
                    tuple(sorted(slips, key=lambda s: (s.is_other_work, s.maker))),
                    is_today=day == today,
                    off=off.get(day, ""),
                    mark=mark,
                )
            )
        weeks.append(WallWeek(short_day(monday), tuple(wall_days)))
    return tuple(weeks)


def _thread_order(pieces: list[Piece]) -> dict[tuple[int, date], int]:
    """Place on the red thread of each maker's day that is on it, counted from 1."""
    on_it = sorted(
        {(p.start, p.row.maker_id, p.day) for p in pieces if p.row.is_on_thread},
    )
    order: dict[tuple[int, date], int] = {}
    for _, maker, day in on_it:
        order.setdefault((maker, day), len(order) + 1)
    return order


def _slip(
    show: Show,
    pieces: list[Piece],
    order: Mapping[tuple[int, date], int],
    late: Mapping[int, date],
) -> Slip:
    """One person's day: what is done on it, in the order it is done.

    Late is work on a figure after the day (`late`, by figure) on whose evening it was needed.
    """
    pieces = sorted(pieces, key=lambda piece: piece.start)
    maker, day = pieces[0].row.maker, pieces[0].day
    words = list(dict.fromkeys(step_words(piece.row) for piece in pieces))
    full = "; ".join(
        f"{piece.start:%H:%M} to {piece.finish:%H:%M} {step_words(piece.row)}" for piece in pieces
    )
    said = ", ".join(words[:MOST_WORDS])
    if len(words) > MOST_WORDS:
        said += f" and {len(words) - MOST_WORDS} more"
    seconds = dict.fromkeys(p.row.second.name for p in pieces if p.row.second is not None)
    return Slip(
        maker=maker.name,
        words=said,
        work_min=sum(piece.minutes for piece in pieces),
        url=reverse("builds:plan_slip", args=[show.pk, maker.pk, day.isoformat()]),
        sets_date=order.get((maker.pk, day)),
        late=_say_late(pieces, day, late),
        second=and_list(seconds) if seconds else "",
        full_words=full,
    )


def _say_late(pieces: list[Piece], day: date, late: Mapping[int, date]) -> str:
    figures = [piece.row.step.figure for piece in pieces]
    tags = dict.fromkeys(
        figure.tag for figure in figures if figure is not None and day > late.get(figure.pk, day)
    )
    return f"{and_list(tags)} late" if tags else ""


def _other_work(show: Show) -> dict[date, list[tuple[Maker, str]]]:
    """Other work by day, longer blocks day by day."""
    found: dict[date, list[tuple[Maker, str]]] = defaultdict(list)
    blocks = OtherWork.objects.for_company(show.company).filter(maker__struck_at=None)
    for block in blocks.select_related("maker"):
        for n in range((block.last - block.first).days + 1):
            found[block.first + timedelta(days=n)].append((block.maker, block.word))
    return found


def _begin_by(rows: list[PlannedStep]) -> tuple[PlannedStep, ...]:
    """Of each figure, and of what is made for several, the step not begun that must begin first.

    One step each: else the most pressing figure fills the list, and the others are out of sight.
    """
    waiting = [
        row
        for row in rows
        if row.step.begun_at is None and row.part == 1 and row.latest_start is not None
    ]
    first: dict[object, PlannedStep] = {}
    for row in sorted(waiting, key=lambda row: (row.latest_start, row.in_hand_min or 0)):
        whose = row.step.figure_id or row.step.subject_words.partition(", pour")[0]
        first.setdefault(whose, row)
    return tuple(first.values())[:BEGIN_SHOWN]


def read_late(show: Show, plan: Plan) -> tuple[LateFigure, ...]:
    """The figures that miss their date, the latest first."""
    dates = figure_dates(plan, ZoneInfo(show.company.time_zone))
    figures = Figure.objects.filter(show=show).select_related("guise__character")
    late = [figure for figure in figures if figure.pk in dates and dates[figure.pk].late_min > 0]
    needed = needed_by_dates(show, late) if late else {}
    found = [
        LateFigure(figure, needed[figure.pk], dates[figure.pk])
        for figure in late
        if figure.pk in needed
    ]
    return tuple(sorted(found, key=lambda one: -one.dates.late_min))
