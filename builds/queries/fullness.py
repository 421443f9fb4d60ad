"""Which person or craft is full in which weeks, from the plan's rows. People are never ranked."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from builds.drawings.fullness import Load, WeekLoad
from builds.models import Plan
from builds.queries.boards import room_min
from builds.queries.pieces import Pieces, read_pieces, week_of
from company import clock
from company.models import Maker
from company.queries import makers_of
from company.templatetags.words import and_list, counted, short_day
from scenes.models import Show

NAMED = 3  # so many weeks are named, more are counted
Planned = dict[tuple[int, int], int]  # minutes by week and maker


@dataclass(frozen=True, slots=True)
class Fullness:
    """People in the order of the house, then the crafts that have work left."""

    loads: tuple[Load, ...]

    @property
    def lede(self) -> str:
        """Who is full, in a sentence."""
        full = [
            (load.is_craft, f"{load.name} in {_say_weeks(load)}")
            for load in self.loads
            if any(week.is_full for week in load.weeks)
        ]
        people = [words for is_craft, words in full if not is_craft]
        crafts = [words for is_craft, words in full if is_craft]
        said = "Nobody is full in any week: there is room beside the plan."
        if people:
            said = f"Full to the brim: {and_list(people)}."
        if crafts:
            said += f" No hours are left for these crafts: {and_list(crafts)}."
        return said


def _say_weeks(load: Load) -> str:
    full = [week for week in load.weeks if week.is_full]
    worked = [week for week in load.weeks if week.room_min]
    if len(full) == len(worked) > 1:
        return f"every one of {counted(len(worked), 'week')}"
    if len(full) <= NAMED:
        days = and_list(short_day(week.first) for week in full)
        return f"the week{'s' if len(full) > 1 else ''} of {days}"
    return f"{len(full)} of {counted(len(worked), 'week')}"


def read_fullness(show: Show, plan: Plan) -> Fullness:
    """From this week to the one in which all is ready, in a flat number of queries."""
    first = week_of(clock.today(show.company), show.company.week_start)
    far = first + timedelta(days=7 * 60)
    read = read_pieces(show, plan, first, far)
    last = max((piece.day for piece in read.pieces), default=first)
    weeks = [first + timedelta(days=7 * n) for n in range((last - first).days // 7 + 1)]
    makers = makers_of(show.company)
    room = {
        (n, maker.pk): room_min(read, maker.pk, max(week, read.today), week + timedelta(days=6))
        for n, week in enumerate(weeks)
        for maker in makers
    }
    own, by_craft = _planned(read, first)
    people = [
        Load(
            maker.name,
            False,
            tuple(
                WeekLoad(week, own[n, maker.pk], room[n, maker.pk]) for n, week in enumerate(weeks)
            ),
        )
        for maker in makers
    ]
    crafts = [
        _craft(name, by_craft[name], own, room, weeks, makers)
        for name in sorted(by_craft, key=str.casefold)
    ]
    return Fullness((*people, *crafts))


def _planned(read: Pieces, first: date) -> tuple[Planned, dict[str, Planned]]:
    own: Planned = defaultdict(int)
    by_craft: dict[str, Planned] = defaultdict(lambda: defaultdict(int))
    for piece in read.pieces:
        week = (piece.day - first).days // 7
        for pk in {piece.row.maker_id, piece.row.second_id} - {None}:
            own[week, pk] += piece.minutes
        craft = piece.row.step.stage.craft
        if craft is not None:
            by_craft[craft.name][week, piece.row.maker_id] += piece.minutes
    return own, by_craft


def _craft(
    name: str,
    done: Planned,
    own: Planned,
    room: Planned,
    weeks: list[date],
    makers: list[Maker],
) -> Load:
    """A craft's room is what those who can have left beside their other work."""
    able = [m.pk for m in makers if any(craft.name == name for craft in m.crafts.all())]
    return Load(
        name,
        True,
        tuple(
            WeekLoad(
                week,
                sum(minutes for (at, _), minutes in done.items() if at == n),
                sum(
                    max(done[n, pk], room[n, pk] - own[n, pk] + done[n, pk])
                    for pk in {*able, *(maker for at, maker in done if at == n)}
                    if (n, pk) in room
                ),
            )
            for n, week in enumerate(weeks)
        ),
    )
