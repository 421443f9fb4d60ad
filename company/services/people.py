"""The company's own columns, and its makers: adding, editing, striking, taking back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from typing import Any
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.db import transaction

from company import clock
from company.core.names import name_key
from company.models import Company, Craft, Maker, User
from company.services.changes import claim_version, snapshot
from company.services.columns import ids_of, record, take_values, wrong_columns

COMPANY_COLUMNS = ("name", "time_zone", "units", "paper", "currency", "week_start")
MAKER_COLUMNS = (
    *("name", "is_lead", "is_saw_trained", "has_latex_allergy", "is_under_18"),
    *("from_date", "to_date", "user"),
)
_NO_LEAD = "A company needs a lead at the bench: make somebody else lead first."
_PINNED = {"plan__is_pinned_up": True, "step__struck_at": None, "step__finished_at": None}


@transaction.atomic
def edit_company(
    *, company: Company, user: User | None, version: int | None, values: Mapping[str, Any]
) -> Company:
    """Change name, time zone, units, paper, currency or first day of the week."""
    before = snapshot(company)
    problems = company_problems(company, values)
    if problems:
        raise ValidationError(problems)
    take_values(company, values, COMPANY_COLUMNS)
    company.currency = company.currency.upper()
    claim_version(company, version)
    company.save()
    record(company, user, "company", company.pk, before, snapshot(company))
    return company


def company_problems(company: Company, values: Mapping[str, Any]) -> dict[str, list[str]]:
    """What would be wrong with the company if it had these values, by field."""
    row = copy(company)
    take_values(row, values, COMPANY_COLUMNS)
    row.name_key = name_key(row.name)
    problems = wrong_columns(row, exclude=["slug"])
    if row.time_zone not in available_timezones():
        problems["time_zone"] = [f"'{row.time_zone}' is no time zone: write Europe/London."]
    if not (len(row.currency) == 3 and row.currency.isalpha()):
        problems["currency"] = ["A currency is three letters, as in EUR, GBP or USD."]
    return problems


@transaction.atomic
def add_maker(
    *,
    company: Company,
    user: User | None,
    values: Mapping[str, Any],
    crafts: Iterable[Craft] = (),
) -> Maker:
    """Add somebody who works at the bench. `values`: columns in MAKER_COLUMNS."""
    maker = Maker(company=company)
    return _save_maker(maker, user, values, list(crafts), None, None)


@transaction.atomic
def edit_maker(
    *,
    maker: Maker,
    user: User | None,
    version: int | None,
    values: Mapping[str, Any],
    crafts: Iterable[Craft] | None = None,
) -> Maker:
    """Change a maker's columns and, where given, crafts. A struck craft they had stays theirs."""
    before = _told(maker)
    return _save_maker(
        maker, user, values, None if crafts is None else list(crafts), before, version
    )


def _save_maker(
    maker: Maker,
    user: User | None,
    values: Mapping[str, Any],
    crafts: list[Craft] | None,
    before: dict[str, Any] | None,
    version: int | None,
) -> Maker:
    problems = maker_problems(maker, values, crafts)
    if problems:
        raise ValidationError(problems)
    take_values(maker, values, MAKER_COLUMNS)
    if maker.pk is not None:
        claim_version(maker, version)
    maker.save()
    if crafts is not None:
        struck = list(maker.crafts.filter(struck_at__isnull=False)) if before else []
        maker.crafts.set([*crafts, *struck])
    record(maker.company, user, "maker", maker.pk, before, _told(maker))
    return maker


def maker_problems(
    maker: Maker, values: Mapping[str, Any], crafts: Iterable[Craft] | None = None
) -> dict[str, list[str]]:
    """What would be wrong with the maker if they had these values and crafts, by field."""
    row = copy(maker)
    take_values(row, values, MAKER_COLUMNS)
    row.name_key = name_key(row.name)
    problems = wrong_columns(row)
    if any(craft.company_id != row.company_id for craft in crafts or ()):
        problems.setdefault("crafts", []).append("That craft is not of this company.")
    linked = row.user
    if linked is not None and not linked.memberships.filter(company=row.company).exists():
        problems.setdefault("user", []).append(f"{linked} has no access to this company.")
    if maker.pk and maker.is_lead and not row.is_lead and not _other_leads(row):
        problems.setdefault("is_lead", []).append(_NO_LEAD)
    return problems


@transaction.atomic
def strike_maker(*, maker: Maker, user: User | None) -> Maker:
    """Strike a maker with nothing planned. What they did stays in the record under their name."""
    reasons = reasons_to_keep(maker)
    if reasons:
        raise ValidationError(reasons)
    before = snapshot(maker)
    maker.struck_at = clock.now()
    maker.save(update_fields=["struck_at"])
    claim_version(maker, None)
    record(maker.company, user, "maker", maker.pk, before, snapshot(maker))
    return maker


@transaction.atomic
def take_back_maker(*, maker: Maker, user: User | None) -> Maker:
    """Take a struck maker back."""
    before = snapshot(maker)
    maker.struck_at = None
    problems = wrong_columns(maker)
    if problems:
        raise ValidationError([words for found in problems.values() for words in found])
    maker.save(update_fields=["struck_at"])
    claim_version(maker, None)
    record(maker.company, user, "maker", maker.pk, before, snapshot(maker))
    return maker


def reasons_to_keep(maker: Maker) -> list[str]:
    """Why a maker cannot be struck now, as sentences; [] where they can.

    Steps and plans are rows of the workshop: they are met only through the maker's own names.
    """
    found = []
    planned = [
        *maker.planned.filter(**_PINNED),  # type: ignore[attr-defined]
        *maker.planned_second.filter(**_PINNED),  # type: ignore[attr-defined]
    ]
    if planned:
        found.append(
            f"{maker} stands in the plan that is pinned up: set 'here until', plan again, pin "
            "that up, then strike."
        )
    begun = maker.begun_steps.filter(struck_at=None, finished_at=None)  # type: ignore[attr-defined]
    if begun.exists():
        count = begun.count()
        word = "a step that is" if count == 1 else f"{count} steps that are"
        found.append(f"{maker} has begun {word} not finished: hand over first.")
    pinned = maker.pinned_steps.filter(struck_at=None, finished_at=None)  # type: ignore[attr-defined]
    if pinned.exists():
        found.append(f"Work is kept for {maker} by hand: give it to somebody else first.")
    if maker.is_lead and not _other_leads(maker):
        found.append(_NO_LEAD)
    return found


def _other_leads(maker: Maker) -> bool:
    others = Maker.objects.filter(company=maker.company, is_lead=True, struck_at=None)
    return others.exclude(pk=maker.pk).exists()


def _told(maker: Maker) -> dict[str, Any]:
    row = Maker.objects.get(pk=maker.pk)
    return snapshot(row) | {"crafts": ids_of(row.crafts.all())}
