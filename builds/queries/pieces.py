"""The plan's rows, and what of them is worked on each day: what every look at the plan draws on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from builds.loading import instant_of, minute_of
from builds.models import Plan, PlannedStep
from builds.models.routes import Second
from company import clock
from company.core.working_time import Intervals, join, meet
from company.queries import MakerTime, working_time_of
from scenes.models import Show


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a planned step that is worked on one day."""

    row: PlannedStep
    day: date
    minutes: int
    start: datetime
    finish: datetime


@dataclass(frozen=True, slots=True)
class Pieces:
    """The plan's rows, and what of them is worked on from one day to another."""

    rows: list[PlannedStep]
    pieces: list[Piece]
    times: Mapping[int, MakerTime]
    zone: ZoneInfo
    today: date

    @property
    def final(self) -> date:
        """The day on which the last work is done."""
        return max(
            (row.finish.astimezone(self.zone).date() for row in self.rows), default=self.today
        )


def planned_rows(plan: Plan, *, with_finished: bool = False) -> list[PlannedStep]:
    """The plan's rows with all that names them, in order of start; finished ones where asked."""
    rows = PlannedStep.objects.filter(plan=plan, step__struck_at=None)
    if not with_finished:
        rows = rows.filter(step__finished_at=None)
    return list(
        rows.select_related(
            "maker",
            "second",
            "step__stage__craft",
            "step__stage__equipment",
            "step__guise__character",
            "step__pattern",
            "step__mould__pattern",
            "step__mould__pattern",
            "step__pour__mould__pattern",
            "step__figure__guise__character",
            "step__costume",
        ).order_by("start", "pk")
    )


def read_pieces(show: Show, plan: Plan, first: date, last: date) -> Pieces:
    """The plan's rows with the pieces of the days from `first` to `last`, both included."""
    company = show.company
    zone = ZoneInfo(company.time_zone)
    rows = planned_rows(plan)
    times = working_time_of(company, first, last)
    now = clock.now()
    pieces = [p for row in rows for p in pieces_of(row, times, zone, now) if first <= p.day <= last]
    return Pieces(rows, pieces, times, zone, clock.today(company))


def week_of(day: date, week_start: int) -> date:
    """The first day of the week with that day in it; `week_start` 0 is Monday."""
    return day - timedelta(days=(day.weekday() - week_start) % 7)


def pieces_of(
    row: PlannedStep,
    times: Mapping[int, MakerTime],
    zone: ZoneInfo,
    now: datetime | None = None,
) -> list[Piece]:
    """A row cut into what is worked on each day, from the maker's hours for its craft.

    With `now`, begun work counts from there on: what lies before it is done.
    """
    start = minute_of(max(row.start, now) if now and row.step.begun_at else row.start)
    finish = minute_of(row.finish)
    spans: dict[date, list[tuple[int, int]]] = defaultdict(list)
    for a, b in _hours_for(row, times, start, finish):
        if a < finish and b > start:
            span = (max(a, start), min(b, finish))
            spans[instant_of(span[0]).astimezone(zone).date()].append(span)
    return [
        Piece(
            row,
            day,
            sum(b - a for a, b in found),
            instant_of(found[0][0]).astimezone(zone),
            instant_of(found[-1][1]).astimezone(zone),
        )
        for day, found in spans.items()
    ]


def _hours_for(
    row: PlannedStep, times: Mapping[int, MakerTime], start: int, finish: int
) -> Intervals:
    """The hours in which a row's people can be at it: those of both, or while somebody is in."""
    time = times.get(row.maker_id, MakerTime(()))
    hours = time.by_craft.get(row.step.stage.craft_id or 0, time.work)
    own = tuple((a, b) for a, b in hours if a < finish and b > start)
    if row.second_id is not None:
        return meet(own, times.get(row.second_id, MakerTime(())).work)
    if row.step.stage.second == Second.SOMEONE_IN:
        others = (span for pk, other in times.items() if pk != row.maker_id for span in other.work)
        return meet(own, join(others))
    return own


def step_words(row: PlannedStep) -> str:
    """'carve J4', 'sculpt the head Jory Tarrow at sixty'."""
    name = row.step.stage.name
    return f"{name[:1].lower()}{name[1:]} {row.step.subject_words}"
