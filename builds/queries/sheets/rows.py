"""Planned steps as rows of a sheet, and the words for their days."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.utils.formats import date_format

from builds.models import PlannedStep
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import SheetStep
from company import clock
from company.core.units import format_hours
from company.models import Maker
from company.templatetags.words import and_list, day, long_day


def sheet_steps(desk: Desk, rows: list[PlannedStep], maker: Maker) -> tuple[SheetStep, ...]:
    """The person's rows, the parts of one step together, in the order of the first part."""
    parts: dict[int, list[PlannedStep]] = defaultdict(list)
    for row in rows:
        parts[row.step_id].append(row)
    return tuple(_sheet_step(desk, group, maker) for group in parts.values())


def _sheet_step(desk: Desk, group: list[PlannedStep], maker: Maker) -> SheetStep:
    step, stage = group[0].step, group[0].step.stage
    end = group[-1].finish
    when = tuple(span_words(desk.local(row.start), desk.local(row.finish)) for row in group)
    drying = ""
    if stage.wait_min and group[-1].part == group[-1].parts:
        until = desk.local(end + timedelta(minutes=stage.wait_min))
        drying = f"then leave it until {day(until)} {until:%H:%M}"
    return SheetStep(
        name=stage.name,
        subject=step.subject_words,
        hours=format_hours(sum(row.minutes for row in group)),
        when=when,
        looks_right=stage.looks_right,
        with_words=with_words(group[0], maker),
        note=step.note,
        drying=drying,
        is_gate=stage.gate,
    )


def with_words(row: PlannedStep, maker: Maker) -> str:
    """Who works beside the person: 'with Tomas', or nothing."""
    if row.second is None:
        return ""
    return f"with {row.second.name if row.maker_id == maker.pk else row.maker.name}"


def span_words(start: datetime, finish: datetime) -> str:
    """'Tue 11 May 9:30 to 12:00', or with both days where it runs over."""
    if start.date() == finish.date():
        return f"{day(start)} {start:%H:%M} to {finish:%H:%M}"
    return f"{day(start)} {start:%H:%M} to {day(finish)} {finish:%H:%M}"


def days_words(days: list[date]) -> str:
    """Up to four days by name, more as a span with their number."""
    if len(days) <= 4:
        return and_list(long_day(when) for when in days)
    return f"{len(days)} days from {long_day(days[0])} to {long_day(days[-1])}"


def day_month(when: date) -> str:
    """'5 May'."""
    return date_format(when, "j M")


def each_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Each text once, blanks left out, in order."""
    return tuple(dict.fromkeys(text.strip() for text in texts if text.strip()))


def printed_from(desk: Desk) -> str:
    """What a sheet was printed from: the plan, the draft, the day."""
    plan = desk.plan
    if plan.is_pinned_up and plan.pinned_up_at:
        words = f"pinned-up plan of {day_month(desk.local(plan.pinned_up_at).date())}"
    else:
        words = f"draft plan of {day_month(desk.local(plan.made_at).date())}, not pinned up"
    if plan.draft_number:
        words += f", draft {plan.draft_number}"
    return f"{words}, printed {date_format(clock.today(desk.company), 'j M Y')}"
