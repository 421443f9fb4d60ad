"""Bench sheets: one figure for one person, with all that is left to do on it."""

from __future__ import annotations

from datetime import date

from django.conf import settings
from django.urls import reverse

from builds.models import Figure, PlannedStep
from builds.queries.sheets.care import care_for, told
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.facts import facts_of, mass_unit, photos_of, sketch_of
from builds.queries.sheets.papers import BenchSheet
from builds.queries.sheets.rows import days_words, next_row, printed_from, sheet_steps
from builds.queries.sheets.spans import days_of
from company.models import Maker
from company.templatetags.words import and_list, long_day


def bench_sheets(desk: Desk, figure: Figure) -> list[BenchSheet]:
    """The sheets of one figure, one for each person with work left on it, lead last."""
    return [bench_sheet(desk, figure, maker) for maker in makers_of_figure(desk, figure)]


def makers_of_figure(desk: Desk, figure: Figure) -> list[Maker]:
    """Everybody with work left on a figure, by name, the lead last."""
    makers: dict[int, Maker] = {}
    for row in desk.rows_by_figure.get(figure.pk, ()):
        for maker in (row.maker, row.second):
            if maker is not None:
                makers.setdefault(maker.pk, maker)
    return sorted(makers.values(), key=lambda maker: (maker.is_lead, maker.name_key))


def bench_sheet(desk: Desk, figure: Figure, maker: Maker) -> BenchSheet:
    """The sheet of one figure for one person."""
    rows = rows_for(desk, figure, maker)
    stages = [row.step.stage for row in rows]
    days = [day for day in days_of(desk, rows) if day >= desk.today]
    link = figure_link(figure)
    return BenchSheet(
        show=desk.show.title,
        tag=figure.tag,
        figure=figure_title(figure),
        maker=maker.name,
        days=days_words(days) if days else "left over from earlier days",
        lead=desk.lead_name,
        lead_words=lead_words(desk, maker, days or [desk.today]),
        is_for_lead=maker.is_lead,
        code=desk.code(link),
        link=plain_link(link),
        sketch=sketch_of(desk, figure),
        photos=photos_of(desk, figure),
        facts=(*facts_of(desk, figure), *desk.bodies.facts(figure, stages)),
        steps=sheet_steps(desk, rows, maker),
        leave_alone=told(stages, lambda stage: stage.leave_alone),
        ask_if=told(stages, lambda stage: stage.ask_if),
        care=care_for(stages),
        next_words=_next_words(desk, rows, maker),
        back_words=figure.place,
        mass_unit=mass_unit(desk.company),
        printed_from=printed_from(desk),
        body=desk.bodies.picture(figure, stages),
    )


def rows_for(desk: Desk, figure: Figure, maker: Maker) -> list[PlannedStep]:
    """A person's rows on a figure, as first or second pair of hands."""
    return [
        row
        for row in desk.rows_by_figure.get(figure.pk, ())
        if maker.pk in (row.maker_id, row.second_id)
    ]


def figure_title(figure: Figure) -> str:
    """'Jory Tarrow at sixty, pilot coat'."""
    worn = [row.costume.name for row in figure.costumes.all() if row.struck_at is None]
    return ", ".join([str(figure.guise), *worn])


def figure_link(figure: Figure) -> str:
    """The link for ever to a figure's page, behind sign-in."""
    return settings.SITE_URL + reverse("builds:figure_link", args=[figure.public_key])


def plain_link(link: str) -> str:
    """A link as it is read aloud, without its scheme."""
    return link.removeprefix("https://").removeprefix("http://")


def _next_words(desk: Desk, rows: list[PlannedStep], maker: Maker) -> str:
    """Who has the piece once the person's last step on it is done."""
    last = max(rows, key=lambda row: (row.finish, row.pk))
    row = next_row(desk, last.step)
    if row is None:
        return "Nobody has it next in this plan."
    who = "You go on yourself" if row.maker_id == maker.pk else f"{row.maker.name} has it next"
    day = desk.local(row.start).date()
    when = f", {long_day(day)}" if day >= desk.today else ""
    return f"{who}{when}: {row.step.stage.name}."


def lead_words(desk: Desk, maker: Maker, days: list[date]) -> str:
    """Who leads on the person's days, and on which of them nobody does."""
    leads = [lead for lead in desk.leads if lead.pk != maker.pk]
    if maker.is_lead:
        return "You lead."
    if not leads:
        return "Nobody leads on these days: ask beforehand."
    by_day = {day: [lead.name for lead in leads if desk.is_in(lead, day)] for day in days}
    alone = [day for day in days if not by_day[day]]
    names = and_list(dict.fromkeys(name for found in by_day.values() for name in found))
    if not alone and len(leads) == 1:
        every = {1: "that day", 2: "both days"}.get(len(days), "on all of them")
        return f"{names} leads and is in {every}."
    if not alone:
        said = [f"{and_list(found)} on {long_day(day)}" for day, found in by_day.items()]
        return f"Who leads: {'; '.join(said) if len(said) <= 4 else names}."
    who = and_list(lead.name for lead in leads)
    verb = "leads" if len(leads) == 1 else "lead"
    if len(alone) == len(days):
        return (
            f"{who} {verb}, but {'is' if len(leads) == 1 else 'are'} not in then: ask beforehand."
        )
    return f"{who} {verb}; nobody is there to ask on {_some_days(alone)}: ask beforehand."


def _some_days(days: list[date]) -> str:
    return days_words(days) if len(days) <= 4 else f"{len(days)} of them"
