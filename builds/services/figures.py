"""What people write on a figure and on a step themselves: notes, places, dates, own hours."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Figure, Step
from builds.queries.hindrances import closed_to
from builds.services.hours import own_role
from builds.services.plans import steps_changed
from company import clock
from company.models import Maker, Role, User
from company.services.changes import changed_only, claim_version, record_change, snapshot

LONGEST_OWN_MIN = 400 * 60
LONGEST_NOTE = 4000


@transaction.atomic
def edit_figure(*, figure: Figure, user: User | None, version: int | None, **values: Any) -> Figure:
    """Write place, note, needed_by or weight of a figure; only those given.

    Raises StaleEdit where somebody else wrote meanwhile, ValidationError naming the fields.
    """
    _only(values, ("place", "note", "needed_by", "weight"))
    claim_version(figure, version)
    figure.refresh_from_db()
    before = snapshot(figure)
    for name, value in values.items():
        setattr(figure, name, value.strip() if isinstance(value, str) else value)
    wrong: dict[str, str] = {}
    if len(figure.place) > 80:
        wrong["place"] = f"At most 80 letters, not {len(figure.place)}."
    if len(figure.note) > LONGEST_NOTE:
        wrong["note"] = f"At most {LONGEST_NOTE} letters, not {len(figure.note)}."
    if not 1 <= figure.weight <= 9:
        wrong["weight"] = "How much its date matters runs from 1 to 9."
    opening = figure.show.opening
    if "needed_by" in values and figure.needed_by and opening and figure.needed_by > opening:
        wrong["needed_by"] = f"That is after the opening on {opening.day} {opening:%B %Y}."
    first = figure.show.first_day
    if "needed_by" in values and figure.needed_by and first and figure.needed_by < first:
        wrong["needed_by"] = (
            f"That is before the first day, {first.day} {first:%B %Y}: nothing could be built by "
            "then."
        )
    if wrong:
        raise ValidationError(wrong)
    figure.save()
    _record(figure.show.company, user, "figure", figure, before)
    if {"needed_by", "weight"} & values.keys():
        steps_changed(figure.show)
    return figure


@transaction.atomic
def edit_step(*, step: Step, user: User, version: int | None, **values: Any) -> Step:
    """Write the note of a step; for the lead also own_min, pinned_maker and not_before.

    Only what is given is written, and none of it is ever written by making steps again. Raises
    StaleEdit, and ValidationError naming the fields.
    """
    _only(values, ("note", "own_min", "pinned_maker", "not_before"))
    claim_version(step, version)
    step.refresh_from_db()
    before = snapshot(step)
    wrong: dict[str, str] = {}
    if values.keys() - {"note"} and own_role(user, step) is not Role.LEAD:
        wrong["__all__"] = "Hours, pins and dates of a step are the lead's to set."
    for name, value in values.items():
        setattr(step, name, value.strip() if isinstance(value, str) else value)
    wrong |= _step_problems(step, values)
    if wrong:
        raise ValidationError(wrong)
    step.save()
    _record(step.show.company, user, "step", step, before)
    if values.keys() - {"note"}:
        steps_changed(step.show)
    return step


def _step_problems(step: Step, values: dict[str, Any]) -> dict[str, str]:
    wrong = {}
    if len(step.note) > LONGEST_NOTE:
        wrong["note"] = f"At most {LONGEST_NOTE} letters, not {len(step.note)}."
    if step.own_min is not None and not 0 <= step.own_min <= LONGEST_OWN_MIN:
        wrong["own_min"] = "From 0 to 400 hours."
    if values.get("pinned_maker") is not None:
        said = _pin_problem(step, values["pinned_maker"])
        if said:
            wrong["pinned_maker"] = said
    opening = step.show.opening
    if values.get("not_before") and opening and values["not_before"] > opening:
        wrong["not_before"] = f"That is after the opening on {opening.day} {opening:%B %Y}."
    return wrong


def _pin_problem(step: Step, maker: Maker) -> str:
    """Why this maker cannot have the step, or ''."""
    if maker.company_id != step.show.company_id or maker.struck_at is not None:
        return "Choose somebody of this company."
    if maker.to_date and maker.to_date < clock.today(step.show.company):
        return f"{maker} has left."
    if closed := closed_to(step, maker, Role.MAKER):
        return closed
    craft = step.stage.craft
    if craft is not None and not maker.crafts.filter(pk=craft.pk).exists():
        return f"{maker} is not marked with the craft '{craft}': add it on the Company page first."
    return ""


def _only(values: dict[str, Any], names: tuple[str, ...]) -> None:
    unknown = values.keys() - set(names)
    if unknown:
        raise TypeError(f"cannot write {sorted(unknown)!r} here")


def _record(company: Any, user: User | None, noun: str, row: Any, before: dict[str, Any]) -> None:
    before, after = changed_only(before, snapshot(row))
    record_change(company=company, user=user, noun=noun, row=row.pk, before=before, after=after)
