"""When makers come: weekly hours, other work, days off, and holidays of the whole company."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from company.core.names import tidy_name
from company.core.stretches import Span, format_stretches
from company.core.units import QUARTER_MIN
from company.models import Company, DayOff, Hours, Maker, OtherWork, User
from company.services.changes import snapshot
from company.services.columns import record

LONGEST_BLOCK_DAYS = 2 * 366
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
Week = Mapping[int, Sequence[Span]]


@transaction.atomic
def set_hours(
    *, maker: Maker, user: User | None, from_date: date | None, week: Week
) -> list[Hours]:
    """Set the weekly hours that hold from a day on (None: from the start), until the next set.

    `week` gives the stretches of each weekday (0 is Monday) in minutes after midnight. Replaces
    the set that begins on the same day, and no other: weeks before it stay as they were.
    """
    problems: dict[str, list[str]] = {}
    for weekday, spans in week.items():
        wrong = wrong_spans(spans)
        if wrong:
            problems[f"day_{weekday}"] = wrong
    if not any(week.values()) and not problems:
        problems["__all__"] = [
            "Write hours for one day at least. For somebody who comes no more, set 'here until'; "
            "for a time away, write days off."
        ]
    if problems:
        raise ValidationError(problems)
    before = _week_of(maker, from_date)
    Hours.objects.filter(maker=maker, from_date=from_date).delete()
    rows = Hours.objects.bulk_create(
        Hours(maker=maker, from_date=from_date, weekday=weekday, start_min=a, end_min=b)
        for weekday, spans in sorted(week.items())
        for a, b in spans
    )
    record(maker.company, user, "hours", maker.pk, before, _week_of(maker, from_date))
    return rows


@transaction.atomic
def drop_hours(*, maker: Maker, user: User | None, from_date: date | None) -> None:
    """Take away the weekly hours that begin on a day; those before hold on."""
    before = _week_of(maker, from_date)
    gone, _ = Hours.objects.filter(maker=maker, from_date=from_date).delete()
    if not gone:
        raise ValidationError("There are no hours that begin on that day.")
    record(maker.company, user, "hours", maker.pk, before, None)


def wrong_spans(spans: Sequence[Span]) -> list[str]:
    """What is wrong with the stretches of one day, as sentences."""
    found = []
    for a, b in spans:
        said = f"{a // 60}:{a % 60:02d} to {b // 60}:{b % 60:02d}"
        if not 0 <= a < b <= 24 * 60:
            found.append(f"{said} is no stretch of a day.")
        elif a % QUARTER_MIN or b % QUARTER_MIN:
            found.append(f"{said} is not on the quarter hour.")
    ordered = sorted(spans)
    for (_, end), (start, _) in itertools.pairwise(ordered):
        if start < end:
            found.append("Two stretches overlap.")
    return found


@transaction.atomic
def add_other_work(
    *,
    maker: Maker,
    user: User | None,
    word: str,
    first: date,
    last: date | None = None,
    start_min: int | None = None,
    end_min: int | None = None,
) -> OtherWork:
    """Write a block of other work, on whole days or from a time to a time on each of the days."""
    row = OtherWork(maker=maker)
    _take_block(row, word=word, first=first, last=last, start_min=start_min, end_min=end_min)
    row.save()
    record(maker.company, user, "other work", row.pk, None, snapshot(row))
    return row


@transaction.atomic
def edit_other_work(
    *,
    block: OtherWork,
    user: User | None,
    word: str,
    first: date,
    last: date | None = None,
    start_min: int | None = None,
    end_min: int | None = None,
) -> OtherWork:
    """Change a block of other work."""
    before = snapshot(block)
    _take_block(block, word=word, first=first, last=last, start_min=start_min, end_min=end_min)
    block.save()
    record(block.maker.company, user, "other work", block.pk, before, snapshot(block))
    return block


@transaction.atomic
def drop_other_work(*, block: OtherWork, user: User | None) -> None:
    """Take a block of other work out of the calendar."""
    before = snapshot(block)
    row = block.pk
    block.delete()
    record(block.maker.company, user, "other work", row, before, None)


def _take_block(
    row: OtherWork,
    *,
    word: str,
    first: date,
    last: date | None,
    start_min: int | None,
    end_min: int | None,
) -> None:
    row.word, row.first, row.last = tidy_name(word), first, last or first
    row.start_min, row.end_min = start_min, end_min
    problems = block_problems(row)
    same = OtherWork.objects.filter(
        maker=row.maker,
        word=row.word,
        first=row.first,
        last=row.last,
        start_min=start_min,
        end_min=end_min,
    ).exclude(pk=row.pk)
    if not problems and same.exists():
        problems["__all__"] = [f"'{row.word}' stands on these days already."]
    if problems:
        raise ValidationError(problems)


def block_problems(row: OtherWork) -> dict[str, list[str]]:
    """What is wrong with a block of other work as it stands, by field."""
    start_min, end_min = row.start_min, row.end_min
    problems = _wrong_range(row.first, row.last)
    if not row.word:
        problems["word"] = ["Say what it is: writing, rehearsal, touring, set."]
    elif len(row.word) > 80:
        problems["word"] = [f"At most 80 letters, not {len(row.word)}."]
    if (start_min is None) != (end_min is None):
        field = "start_min" if start_min is None else "end_min"
        problems[field] = ["Write both times, or neither for whole days."]
    elif start_min is not None and end_min is not None:
        wrong = wrong_spans([(start_min, end_min)])
        if wrong:
            problems["end_min"] = (
                ["The block ends before it starts."] if end_min <= start_min else wrong
            )
    return problems


@transaction.atomic
def add_day_off(
    *,
    company: Company,
    user: User | None,
    first: date,
    last: date | None = None,
    maker: Maker | None = None,
    word: str = "",
) -> DayOff:
    """Write days off of a maker, or with no maker a holiday of the whole company."""
    row = DayOff(company=company, maker=maker, first=first, last=last or first)
    row.word = tidy_name(word)
    problems = _wrong_range(row.first, row.last)
    if len(row.word) > 80:
        problems["word"] = [f"At most 80 letters, not {len(row.word)}."]
    same = DayOff.objects.filter(company=company, maker=maker, first=row.first, last=row.last)
    if not problems and same.exists():
        problems["first"] = ["These days are written down already."]
    if problems:
        raise ValidationError(problems)
    row.save()
    record(company, user, "day off", row.pk, None, snapshot(row))
    return row


@transaction.atomic
def add_holidays(
    *, company: Company, user: User | None, days: Iterable[tuple[date, str]]
) -> list[DayOff]:
    """Take over single days as holidays of the company; those there already are passed over."""
    there = set(DayOff.objects.filter(company=company, maker=None).values_list("first", "last"))
    made = []
    for day, word in days:
        if (day, day) not in there:
            made.append(add_day_off(company=company, user=user, first=day, word=word[:80]))
            there.add((day, day))
    return made


@transaction.atomic
def drop_day_off(*, day_off: DayOff, user: User | None) -> None:
    """Take days off out of the calendar."""
    before = snapshot(day_off)
    row = day_off.pk
    day_off.delete()
    record(day_off.company, user, "day off", row, before, None)


def _wrong_range(first: date, last: date) -> dict[str, list[str]]:
    if last < first:
        return {"last": ["The last day comes before the first."]}
    if last - first > timedelta(days=LONGEST_BLOCK_DAYS):
        return {"last": ["That is more than two years: write 'here until' instead."]}
    return {}


def _week_of(maker: Maker, from_date: date | None) -> dict[str, Any] | None:
    """The weekly hours that begin on a day, as the record keeps them."""
    rows = list(Hours.objects.filter(maker=maker, from_date=from_date))
    if not rows:
        return None
    days: dict[str, Any] = {"from": from_date.isoformat() if from_date else None}
    for weekday, name in enumerate(DAY_NAMES):
        spans = tuple((r.start_min, r.end_min) for r in rows if r.weekday == weekday)
        if spans:
            days[name] = format_stretches(spans)
    return days
