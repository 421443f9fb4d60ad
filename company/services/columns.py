"""What services of people share: taking columns, saying what is wrong with them, by field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from company.core.names import tidy_name
from company.models import Company, User
from company.services.changes import record_change


def take_values(row: models.Model, values: Mapping[str, Any], columns: tuple[str, ...]) -> None:
    """Set the columns of a row that may be edited. ValueError for any other."""
    unknown = set(values) - set(columns)
    if unknown:
        raise ValueError(f"no such columns to edit: {sorted(unknown)}")
    for name, value in values.items():
        setattr(row, name, tidy_name(value) if name == "name" else value)


def wrong_columns(row: models.Model, exclude: list[str] | None = None) -> dict[str, list[str]]:
    """What is wrong with a row, by field; a rule of the whole row stands at its field too."""
    try:
        row.full_clean(exclude=exclude)
    except ValidationError as wrong:
        problems: dict[str, list[str]] = dict(wrong.message_dict)
        for sentence in problems.pop("__all__", []):
            problems.setdefault(_field_of(sentence), []).append(sentence)
        return problems
    return {}


def _field_of(sentence: str) -> str:
    """The field that a rule of the row belongs to, by its message."""
    if "this name already" in sentence:
        return "name"
    if "'Here from'" in sentence:
        return "to_date"
    if "a maker here already" in sentence:
        return "user"
    return "__all__"


def ids_of(rows: Iterable[models.Model]) -> list[int]:
    """The ids of rows, in order, for the record of changes."""
    return sorted(row.pk for row in rows)


def record(
    company: Company,
    user: User | None,
    noun: str,
    row: object,
    before: dict[str, Any] | None,
    after: dict[str, Any] | None,
) -> None:
    """One row of the record of changes."""
    record_change(company=company, user=user, noun=noun, row=row, before=before, after=after)
