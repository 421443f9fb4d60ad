"""Week sheets: one person's days, with what is to be done on each."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.conf import settings
from django.urls import reverse

from builds.loading import instant_of, minute_of
from builds.models import PlannedStep
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import SheetStep, WeekDay, WeekSheet
from builds.queries.sheets.rows import day_month, each_once, printed_from, with_words
from company.core.units import format_hours
from company.models import Maker
from company.templatetags.words import and_list, day, long_day

Span = tuple[datetime, datetime]


def mondays_of(desk: Desk, maker: Maker) -> list[date]:
    """The first days of the weeks in which the plan has work for a person, in order."""
    days = {
        day
        for row in desk.rows
        if maker.pk in (row.maker_id, row.second_id)
        for day in _days_of(desk, row)
    }
    return sorted({first_of_week(desk, day) for day in days})


def first_of_week(desk: Desk, when: date) -> date:
    """The day on which the company's week with that day in it begins."""
    return when - timedelta(days=(when.weekday() - desk.company.week_start) % 7)


def week_sheet(desk: Desk, maker: Maker, monday: date) -> WeekSheet:
    """The sheet of a person for the seven days from `monday`."""
    rows = [row for row in desk.rows if maker.pk in (row.maker_id, row.second_id)]
    days = [_week_day(desk, maker, rows, monday + timedelta(days=n)) for n in range(7)]
    shown = tuple(found for found in days if found is not None)
    used = [
        row
        for row in rows
        if any(monday <= when < monday + timedelta(days=7) for when in _days_of(desk, row))
    ]
    link = settings.SITE_URL + reverse("builds:today", args=[desk.show.pk])
    steps = len({row.step_id for row in used})
    return WeekSheet(
        show=desk.show.title,
        maker=maker.name,
        monday=monday,
        week=day_month(monday),
        lede=_lede(steps, shown),
        code=desk.code(link),
        link=link.removeprefix("https://").removeprefix("http://"),
        days=shown,
        cautions=each_once(row.step.stage.cautions for row in used),
        foot_left=f"{maker.name}, on the wall by the door",
        foot_middle=printed_from(desk),
    )


def _lede(steps: int, days: tuple[WeekDay, ...]) -> str:
    if not steps:
        return "Nothing is planned in this week."
    busy = [found.name.split()[0] for found in days if found.steps]
    noun = "step" if steps == 1 else "steps"
    return f"{steps} {noun}, on {and_list(busy)}."


def _days_of(desk: Desk, row: PlannedStep) -> list[date]:
    """The days on which somebody's hours fall into the row; its first day where none do."""
    spans = _worked(desk, row)
    return sorted({desk.local(start).date() for start, _ in spans}) or [
        desk.local(row.start).date()
    ]


def _worked(desk: Desk, row: PlannedStep) -> list[Span]:
    """The stretches actually worked on a row: the person's hours between start and finish."""
    start, finish = minute_of(row.start), minute_of(row.finish)
    return [
        (instant_of(max(a, start)), instant_of(min(b, finish)))
        for a, b in desk.work.get(row.maker_id, ())
        if a < finish and b > start
    ]


def _week_day(desk: Desk, maker: Maker, rows: list[PlannedStep], when: date) -> WeekDay | None:
    steps = []
    for row in rows:
        spans = [s for s in _worked(desk, row) if desk.local(s[0]).date() == when]
        if spans:
            steps.append(_day_step(desk, maker, row, spans, when))
    other = each_once(
        block.word
        for block in desk.other
        if block.maker_id == maker.pk and block.first <= when <= block.last
    )
    in_today = when in desk.in_on.get(maker.pk, set())
    if not steps and not other and not in_today:
        return None
    return WeekDay(
        name=long_day(when),
        hours=_hours_words(desk, maker, when),
        lead_words=_lead_words(desk, maker, when),
        other=and_list(other).capitalize() if other else "" if steps else "Nothing planned.",
        steps=tuple(steps),
    )


def _day_step(
    desk: Desk, maker: Maker, row: PlannedStep, spans: list[Span], when: date
) -> SheetStep:
    stage = row.step.stage
    minutes = sum((b - a) // timedelta(minutes=1) for a, b in spans)
    first, last = desk.local(spans[0][0]), desk.local(spans[-1][1])
    goes_on = row.finish > spans[-1][1]
    drying = ""
    if stage.wait_min and not goes_on and row.part == row.parts:
        until = desk.local(row.finish + timedelta(minutes=stage.wait_min))
        drying = f"then leave it until {day(until)} {until:%H:%M}"
    words = ", goes on" if goes_on else ", the end of it" if row.start < spans[0][0] else ""
    return SheetStep(
        name=stage.name,
        subject=row.step.subject_words,
        hours=format_hours(minutes),
        when=(f"{first:%H:%M} to {last:%H:%M}{words}",),
        looks_right=stage.looks_right,
        with_words=with_words(row, maker),
        drying=drying,
        is_gate=stage.gate,
    )


def _hours_words(desk: Desk, maker: Maker, when: date) -> str:
    spans = [
        (desk.local(instant_of(a)), desk.local(instant_of(b)))
        for a, b in desk.work.get(maker.pk, ())
        if desk.local(instant_of(a)).date() == when
    ]
    return and_list(f"{a:%H:%M} to {b:%H:%M}" for a, b in spans)


def _lead_words(desk: Desk, maker: Maker, when: date) -> str:
    lead = desk.lead
    if lead is None or lead.pk == maker.pk:
        return ""
    is_in = when in desk.in_on.get(lead.pk, set())
    return f"{lead.name} is in" if is_in else f"{lead.name} is not in"
