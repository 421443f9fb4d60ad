"""What the pages and the planner ask about people: who works when, who is here, who signs in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from company import clock
from company.core.working_time import (
    UNIX_EPOCH,
    Block,
    Calendar,
    Clock,
    Interval,
    Intervals,
    Stretch,
    WeekPattern,
    capped_working_time,
    total_min,
    working_time,
)
from company.models import Company, Craft, DayOff, Hours, Maker, Membership, OtherWork, Role

WEEK_DAYS = 7


@dataclass(frozen=True)
class MakerTime:
    """When one maker works, in whole minutes from the epoch asked for.

    `work` is all of it, and what one gets going through it. `by_craft` has an entry (by craft id)
    only for those of the maker's crafts that have a daily cap: the first minutes of each day, up
    to the cap.
    """

    work: Intervals
    by_craft: dict[int, Intervals] = field(default_factory=dict)

    def __iter__(self) -> Iterator[Interval]:
        return iter(self.work)

    def __len__(self) -> int:
        return len(self.work)


def makers_of(company: Company) -> list[Maker]:
    """The makers not struck, lead first, with their crafts. Two queries."""
    found = Maker.objects.for_company(company).filter(struck_at=None)
    return list(found.select_related("user").prefetch_related("crafts"))


def working_time_of(
    company: Company, first: date, last: date, *, epoch: datetime = UNIX_EPOCH
) -> dict[int, MakerTime]:
    """When each maker not struck works from the day `first` to the day `last`, both included.

    By maker id. Intervals are sorted, disjoint [start, end) in whole minutes from `epoch` (with
    its zone; 1970-01-01 00:00 UTC unless given): weekly hours in force on each day, less other
    work, days off and holidays, within 'here from' and 'here until', by the clock of the
    company's time zone, summer time settled. A maker without hours has empty `work`. Five
    queries, whatever the number of makers and days.
    """
    makers = makers_of(company)
    diary = Diary(company, makers)
    wall = Clock(ZoneInfo(company.time_zone), first, last, epoch)
    return {
        maker.pk: MakerTime(
            working_time(diary.calendar(maker), wall, first, last),
            {
                craft.pk: capped_working_time(
                    diary.calendar(maker), wall, first, last, craft.daily_cap_min
                )
                for craft in maker.crafts.all()
                if craft.daily_cap_min is not None and craft.struck_at is None
            },
        )
        for maker in makers
    }


@dataclass(frozen=True)
class DayOfMaker:
    """One day of one maker: the hours that remain, and in words what takes the rest."""

    day: date
    spans: tuple[Interval, ...]
    usual: tuple[Interval, ...]
    words: tuple[str, ...] = ()
    is_today: bool = False

    @property
    def minutes(self) -> int:
        """Minutes at the bench."""
        return total_min(self.spans)


@dataclass(frozen=True)
class WeekOfMaker:
    """Seven days of one maker."""

    maker: Maker
    days: tuple[DayOfMaker, ...]

    @property
    def first(self) -> date:
        """Its first day."""
        return self.days[0].day

    @property
    def minutes(self) -> int:
        """Minutes at the bench in the week."""
        return sum(day.minutes for day in self.days)

    @property
    def usual_minutes(self) -> int:
        """Minutes by the weekly pattern alone."""
        return sum(total_min(day.usual) for day in self.days)

    @property
    def words(self) -> tuple[str, ...]:
        """What is in the way this week, each thing once."""
        return tuple(dict.fromkeys(word for day in self.days for word in day.words))


class Diary:
    """The days of a company's makers, read once: hours with what is in their way in words."""

    def __init__(self, company: Company, makers: list[Maker]) -> None:
        self.company = company
        self.makers = makers
        self.today = clock.today(company)
        self._calendars: dict[int, Calendar] = {}
        self._words: dict[int | None, list[tuple[Block, str]]] = defaultdict(list)
        stretches: dict[int, dict[date | None, list[Stretch]]] = defaultdict(
            lambda: defaultdict(list)
        )
        for h in Hours.objects.for_company(company):
            stretches[h.maker_id][h.from_date].append(Stretch(h.weekday, h.start_min, h.end_min))
        for work in OtherWork.objects.for_company(company):
            block = Block(work.first, work.last, work.start_min, work.end_min)
            self._words[work.maker_id].append((block, work.word))
        for off in DayOff.objects.for_company(company):
            word = off.word or ("day off" if off.maker_id else "holiday")
            self._words[off.maker_id].append((Block(off.first, off.last), word))
        for maker in makers:
            away = [block for block, _ in (*self._words[maker.pk], *self._words[None])]
            patterns = tuple(WeekPattern(b, tuple(s)) for b, s in stretches[maker.pk].items())
            self._calendars[maker.pk] = Calendar(
                patterns, tuple(away), maker.from_date, maker.to_date
            )

    def week_start(self, day: date) -> date:
        """The first day of the company's week that holds a day."""
        return day - timedelta(days=(day.weekday() - self.company.week_start) % WEEK_DAYS)

    def calendar(self, maker: Maker) -> Calendar:
        """The maker's calendar."""
        return self._calendars[maker.pk]

    def day(self, maker: Maker, day: date) -> DayOfMaker:
        """One day of a maker."""
        calendar = self._calendars[maker.pk]
        usual = calendar.usual_day(day)
        words = [
            word
            for block, word in (*self._words[maker.pk], *self._words[None])
            if usual and any(_meets(block.minutes_of(day), span) for span in usual)
        ]
        return DayOfMaker(day, calendar.day(day), usual, tuple(words), day == self.today)

    def week(self, maker: Maker, first: date) -> WeekOfMaker:
        """Seven days of a maker from `first`."""
        return WeekOfMaker(
            maker, tuple(self.day(maker, first + timedelta(days=i)) for i in range(WEEK_DAYS))
        )

    def usual_min(self, maker: Maker) -> int:
        """Minutes of a usual week: by the pattern in force today, or the first one to come."""
        return sum(total_min(spans) for spans in self.usual_week(maker))

    def usual_week(self, maker: Maker) -> tuple[Intervals, ...]:
        """Monday to Sunday by the pattern in force today, or the first one to come."""
        calendar = Calendar(self._calendars[maker.pk].patterns)
        pattern = calendar.pattern_of(max(self.today, maker.from_date or self.today))
        if pattern is None and calendar.patterns:
            pattern = min(calendar.patterns, key=lambda p: p.from_date or date.min)
        plain = Calendar((WeekPattern(None, pattern.stretches),) if pattern else ())
        monday = self.today - timedelta(days=self.today.weekday())
        return tuple(plain.day(monday + timedelta(days=i)) for i in range(WEEK_DAYS))


def _meets(one: Interval | None, other: Interval) -> bool:
    return one is not None and one[0] < other[1] and other[0] < one[1]


def has_left(maker: Maker, today: date) -> bool:
    """Whether the maker's last day lies behind."""
    return maker.to_date is not None and maker.to_date < today


def crafts_of(company: Company) -> list[Craft]:
    """The crafts not struck, with the makers who have them. Two queries."""
    found = Craft.objects.for_company(company).filter(struck_at=None)
    return list(found.prefetch_related("makers"))


def holidays_of(company: Company) -> list[DayOff]:
    """The days on which nobody of the company works, earliest first."""
    return list(DayOff.objects.for_company(company).filter(maker=None).order_by("first", "last"))


def members_of(company: Company) -> list[Membership]:
    """The people who sign in, leads first, with the maker each of them is here."""
    order = [Role.LEAD, Role.MAKER, Role.READER]
    makers = {
        m.user_id: m
        for m in Maker.objects.for_company(company).filter(struck_at=None, user__isnull=False)
    }
    members = list(Membership.objects.for_company(company).select_related("user"))
    for member in members:
        member.maker = makers.get(member.user_id)  # type: ignore[attr-defined]
    return sorted(members, key=lambda m: (order.index(Role(m.role)), m.user.name.casefold()))
