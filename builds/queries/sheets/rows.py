"""Planned steps as rows of a sheet, and the words for days and for what it was printed from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from django.utils.formats import date_format

from builds.models import Figure, PlannedStep, Step
from builds.models.routes import Second
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import SheetStep
from builds.queries.sheets.spans import is_left_over, when_lines
from company.core.units import format_hours
from company.models import Maker
from company.templatetags.words import and_list, day, long_day

LEAST_LEFT_MIN = 15  # begun work is never shown as nothing left: a quarter hour, as in planning


def sheet_steps(desk: Desk, rows: list[PlannedStep], maker: Maker) -> tuple[SheetStep, ...]:
    """The person's rows, the parts of one step together, in the order of the first part."""
    return tuple(_sheet_step(desk, group, maker) for group in parts_together(rows))


def parts_together(rows: Iterable[PlannedStep]) -> list[list[PlannedStep]]:
    """Rows by step, in the order of each step's first part."""
    parts: dict[int, list[PlannedStep]] = defaultdict(list)
    for row in rows:
        parts[row.step_id].append(row)
    return list(parts.values())


def _sheet_step(desk: Desk, group: list[PlannedStep], maker: Maker) -> SheetStep:
    step, stage = group[0].step, group[0].step.stage
    drying, dry_until = drying_words(desk, group)
    return SheetStep(
        name=stage.name,
        subject=subject_words(desk, step),
        hours=hours_words(desk, group),
        when=when_lines(desk, group),
        looks_right=stage.looks_right,
        tools=tools_words(step),
        remarks=remarks(desk, group, maker),
        note=step.note,
        drying=drying,
        dry_until=dry_until,
        then=_then_words(desk, step, maker),
        is_gate=stage.gate,
        leave_alone=stage.leave_alone,
        ask_if=stage.ask_if,
    )


def hours_words(desk: Desk, group: list[PlannedStep]) -> str:
    """'4 h', or of begun work '2 h of 4 h left'."""
    step = group[0].step
    planned = sum(row.minutes for row in group)
    if step.begun_at is None:
        return format_hours(planned)
    left = max(step.work_min - desk.spent.get(step.pk, 0), LEAST_LEFT_MIN)
    return f"{format_hours(left)} left"


def remarks(
    desk: Desk, group: list[PlannedStep], maker: Maker, *, is_costume_said: bool = False
) -> tuple[str, ...]:
    """Small lines under a step's name: with whom, for what, begun when, what it waits for."""
    row, step = group[0], group[0].step
    said = [with_words(row, maker)]
    if step.costume is None or not is_costume_said:
        said.append(for_words(desk, step))
    if step.begun_at is not None:
        said.append(f"begun {short_day(desk.local(step.begun_at).date())}")
    if step.stage.key.startswith("sculpt"):
        said.append(desk.sculpt_words.get(step.pattern_id or 0, ""))
    if step.needs_lead:
        said.append(f"{desk.lead_name} was asked: wait for the answer")
    return tuple(line for line in said if line)


def with_words(row: PlannedStep, maker: Maker) -> str:
    """Who works beside the person, or must be near: 'with Tomas', 'you help Ines'."""
    if row.second is not None:
        return f"with {row.second.name}" if row.maker_id == maker.pk else f"help {row.maker.name}"
    if row.step.stage.second == Second.SOMEONE_IN:
        return "somebody else must be in the workshop"
    return ""


def for_words(desk: Desk, step: Step) -> str:
    """For whom it is where that is not the whole figure: its costume, a head that others share."""
    if step.costume is not None:
        return f"the {step.costume}"
    if step.figure_id is not None:
        return ""
    figures = sharers(desk, step)
    if step.pour_id is not None:
        castings = [casting for figure in figures for casting in figure.castings.all()]
        codes = [casting.code for casting in castings if casting.pour_id == step.pour_id]
        return f"gives {and_list(codes)}" if codes else "in case another fails"
    return f"once for {and_list(figures)}" if len(figures) > 1 else ""


def sharers(desk: Desk, step: Step) -> list[Figure]:
    """The figures that a shared step is done for."""
    if step.pour_id is not None:
        return [f for f in desk.figures if any(c.pour_id == step.pour_id for c in f.castings.all())]
    if step.pattern_id is not None:
        guises = desk.guises_of_pattern.get(step.pattern_id, [])
        return [figure for figure in desk.figures if figure.guise_id in guises]
    return list(desk.figures_of_guise.get(step.guise_id or 0, []))


def subject_words(desk: Desk, step: Step) -> str:
    """What a step is for, with its number first: 'J4, Jory Tarrow at sixty', 'J4, pilot coat'."""
    owner = desk.figure_by_id.get(desk.owner.get(step.pk, 0))
    if owner is None:
        return step.subject_words
    if step.costume is not None:
        return f"{owner.tag}, {owner.guise}: {step.costume}"
    others = [figure.tag for figure in sharers(desk, step)] if step.figure_id is None else []
    return f"{and_list(others) if len(others) > 1 else owner.tag}, {owner.guise}"


def tools_words(step: Step) -> str:
    """Tools and material, and the equipment it is done at."""
    stage = step.stage
    at = f"At the {stage.equipment.name}." if stage.equipment else ""
    return " ".join(part for part in (at, stage.tools) if part)


def drying_words(desk: Desk, group: list[PlannedStep]) -> tuple[str, str]:
    """How long it is left alone afterwards, and until when: ('5 days', 'Sun 16 May 12:00')."""
    last, wait_min = group[-1], desk.wait_after_min(group[-1].step)
    if not wait_min or last.part != last.parts:
        return "", ""
    days, rest = divmod(wait_min, 24 * 60)
    length = format_hours(wait_min) if rest else f"{days} day{'' if days == 1 else 's'}"
    if is_left_over(desk, group):
        return length, ""
    until = desk.local(last.finish + timedelta(minutes=wait_min))
    return length, f"{day(until)} {until:%H:%M}"


def next_row(desk: Desk, step: Step) -> PlannedStep | None:
    """Whoever is first to take up what waits for a step."""
    after = [
        row for pk in desk.followers.get(step.pk, ()) for row in desk.rows_by_step.get(pk, [])[:1]
    ]
    return min(after, key=lambda row: (row.start, row.pk), default=None)


def _then_words(desk: Desk, step: Step, maker: Maker) -> str:
    """'Then Ines, Thu 14 May: Neck block and anchors', where it goes into other hands."""
    row = next_row(desk, step)
    if row is None or maker.pk in (row.maker_id, row.second_id):
        return ""
    start = desk.local(row.start)
    when = f", {day(start)}" if start.date() >= desk.today else ""
    return f"Then {row.maker.name}{when}: {row.step.stage.name}"


# Days


def days_words(days: list[date]) -> str:
    """Up to four days by name, more as a span with their number."""
    if len(days) <= 4:
        return and_list(long_day(when) for when in days)
    return f"{len(days)} days from {long_day(days[0])} to {long_day(days[-1])}"


def short_day(when: date) -> str:
    """'5 May'."""
    return date_format(when, "j M")


def each_once(texts: Iterable[str]) -> tuple[str, ...]:
    """Each text once, blanks left out, in order."""
    return tuple(dict.fromkeys(text.strip() for text in texts if text.strip()))


def source_words(desk: Desk) -> str:
    """The plan and the draft of the plot that a sheet comes from."""
    plan = desk.plan
    if plan.is_pinned_up and plan.pinned_up_at:
        words = f"pinned-up plan of {short_day(desk.local(plan.pinned_up_at).date())}"
    else:
        words = f"draft plan of {short_day(desk.local(plan.made_at).date())}, not pinned up"
    if plan.draft_number:
        words += f", plot draft {plan.draft_number}"
    return words


def printed_from(desk: Desk) -> str:
    """What a sheet was printed from: the plan, the draft, the day."""
    return f"{source_words(desk)}, printed {date_format(desk.today, 'j M Y')}"
