"""Week sheets: one person's days, with what is to be done on each."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils.text import capfirst

from builds.models import PlannedStep, Step
from builds.queries.sheets.bench import plain_link
from builds.queries.sheets.care import care_for
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import SheetStep, WeekDay, WeekSheet
from builds.queries.sheets.rows import (
    drying_words,
    hours_words,
    parts_together,
    printed_from,
    remarks,
    short_day,
    subject_words,
)
from builds.queries.sheets.spans import Span, days_of, is_left_over, join_spans, spans_of
from company.core.units import format_hours
from company.models import Maker
from company.templatetags.words import and_list, counted, day, long_day

WEEK_DAYS = 7


def mondays_of(desk: Desk, maker: Maker) -> list[date]:
    """The first days of the weeks, from this one on, in which a person has work; in order.

    What is left over from before belongs to this week.
    """
    rows = desk.rows_by_maker.get(maker.pk, [])
    this_week = desk.diary.week_start(desk.today)
    found = {desk.diary.week_start(day) for day in days_of(desk, rows)}
    if _left_over(desk, maker):
        found.add(this_week)
    return sorted(monday for monday in found if monday >= this_week)


def week_sheet(desk: Desk, maker: Maker, monday: date) -> WeekSheet:
    """The sheet of a person for the seven days from `monday`.

    Of the week that it is, the days that are over are left out; what was not finished on them
    stands as still open.
    """
    is_this_week = monday <= desk.today < monday + timedelta(days=WEEK_DAYS)
    days = [monday + timedelta(days=n) for n in range(WEEK_DAYS)]
    ahead = [day for day in days if day >= desk.today] if is_this_week else days
    groups = parts_together(desk.rows_by_maker.get(maker.pk, []))
    shown = [found for day in ahead if (found := _week_day(desk, maker, groups, day))]
    still_open = _left_over(desk, maker) if is_this_week else []
    for_the_pass = _for_the_pass(desk) if is_this_week and maker.is_lead else []
    used = [
        group[0].step.stage
        for group in groups
        if set(ahead) & set(days_of(desk, group)) or group in still_open
    ]
    link = settings.SITE_URL + reverse("builds:today", args=[desk.show.pk])
    return WeekSheet(
        show=desk.show.title,
        maker=maker.name,
        monday=monday,
        week=short_day(monday),
        lede=_lede(shown, len(still_open), is_past=days[-1] < desk.today),
        code=desk.code(link),
        link=plain_link(link),
        days=tuple(shown),
        still_open=tuple(_open_step(desk, maker, group) for group in still_open),
        for_the_pass=tuple(_pass_step(desk, step) for step in for_the_pass),
        care=care_for(used),
        printed_from=printed_from(desk),
    )


def _lede(days: list[WeekDay], still_open: int, *, is_past: bool) -> str:
    busy = [found.name.split()[0] for found in days if found.steps]
    steps = {(step.name, step.subject) for found in days for step in found.steps}
    if is_past:
        return "This week is over."
    if not steps:
        said = "Nothing is planned in this week."
    else:
        said = f"{counted(len(steps), 'step')}, on {and_list(busy)}."
    if still_open:
        said += f" {counted(still_open, 'step')} still open from before."
    return said


def _left_over(desk: Desk, maker: Maker) -> list[list[PlannedStep]]:
    """What the plan had the person finish before today and is not finished."""
    groups = parts_together(desk.rows_by_maker.get(maker.pk, []))
    return [group for group in groups if is_left_over(desk, group)]


def _for_the_pass(desk: Desk) -> list[Step]:
    return [
        step
        for step in desk.steps.values()
        if step.stage.gate and step.finished_at and not step.passed_at
    ]


# Days


def _week_day(
    desk: Desk, maker: Maker, groups: Iterable[list[PlannedStep]], when: date
) -> WeekDay | None:
    steps: list[tuple[Span, SheetStep]] = []
    for group in groups:
        spans = [span for row in group for span in spans_of(desk, row) if span.day == when]
        if spans:
            steps.append((min(spans, key=lambda s: s.start), _day_step(desk, maker, group, spans)))
    diary = desk.diary.day(maker, when)
    if not steps and not diary.spans and not diary.words:
        return None
    other = and_list(dict.fromkeys(diary.words))
    if not steps and not other:
        other = "nothing planned"
    return WeekDay(
        name=long_day(when),
        hours=and_list(f"{_clock(a)} to {_clock(b)}" for a, b in diary.spans),
        lead_words=_lead_words(desk, maker, when) if diary.spans else "",
        other=capfirst(other),
        steps=tuple(step for _, step in sorted(steps, key=lambda found: found[0].start)),
    )


def _day_step(desk: Desk, maker: Maker, group: list[PlannedStep], spans: list[Span]) -> SheetStep:
    step = group[0].step
    days = days_of(desk, group)
    today, last = spans[0].day, days[-1]
    joined = join_spans(desk, group[0].maker_id, spans)
    said = list(remarks(desk, group, maker, is_costume_said=True))
    drying, dry_until = "", ""
    if today < last:
        said.append(f"goes on until {short_day(last)}")
    else:
        drying, dry_until = drying_words(desk, group)
    return SheetStep(
        name=step.stage.name,
        subject=subject_words(desk, step),
        hours=format_hours(sum(span.minutes for span in spans)),
        when=tuple(span.words for span in joined),
        remarks=tuple(said),
        note=step.note,
        drying=drying,
        dry_until=dry_until,
        is_gate=step.stage.gate,
    )


def _open_step(desk: Desk, maker: Maker, group: list[PlannedStep]) -> SheetStep:
    step = group[0].step
    return SheetStep(
        name=step.stage.name,
        subject=subject_words(desk, step),
        hours=hours_words(desk, group),
        when=(day(desk.local(group[-1].finish)),),
        remarks=remarks(desk, group, maker, is_costume_said=True),
        note=step.note,
        is_gate=step.stage.gate,
    )


def _pass_step(desk: Desk, step: Step) -> SheetStep:
    assert step.finished_at is not None
    return SheetStep(
        name=step.stage.name,
        subject=subject_words(desk, step),
        hours="",
        when=(day(desk.local(step.finished_at)),),
        is_gate=True,
    )


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _lead_words(desk: Desk, maker: Maker, when: date) -> str:
    if maker.is_lead or not desk.leads:
        return ""
    there = [lead.name for lead in desk.leads if desk.is_in(lead, when)]
    if there:
        return f"{and_list(there)} {'is' if len(there) == 1 else 'are'} in"
    names = and_list(lead.name for lead in desk.leads)
    return f"{names} {'is' if len(desk.leads) == 1 else 'are'} not in"
