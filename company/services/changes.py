"""The one way to write the record of changes, and the refusal of a stale edit."""

from __future__ import annotations

import json
from typing import Any

from django.db import models
from django.db.models import F

from company import clock
from company.models import Change, Company, User

MOST_SAID = 200


class StaleEdit(Exception):
    """Somebody else changed the row since it was read. `row` holds what stands now."""

    def __init__(self, row: models.Model) -> None:
        super().__init__(f"{row} was changed meanwhile.")
        self.row = row


def snapshot(row: models.Model) -> dict[str, Any]:
    """The row's own columns as plain JSON values, for `before` and `after`."""
    values = {f.attname: f.value_from_object(row) for f in row._meta.concrete_fields}
    plain: dict[str, Any] = json.loads(json.dumps(values, default=str))
    return plain


def claim_version(row: models.Model, version: int | None) -> None:
    """Take the next version of a row that was read at `version`, inside the transaction.

    None means the caller did not read first (a command, an import). Raises StaleEdit with the
    row as it stands now where somebody was quicker.
    """
    rows = type(row)._default_manager.filter(pk=row.pk)
    if version is not None:
        rows = rows.filter(version=version)
    if not rows.update(version=F("version") + 1):
        row.refresh_from_db()
        raise StaleEdit(row)
    row.version = rows.model._default_manager.values_list("version", flat=True).get(pk=row.pk)  # type: ignore[attr-defined]


def changed_only(
    before: dict[str, Any], after: dict[str, Any]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Both sides of a change with only the columns that differ, for `before` and `after`."""
    names = [name for name in after if after[name] != before[name]]
    return {name: before[name] for name in names}, {name: after[name] for name in names}


def record_change(
    *,
    company: Company,
    user: User | None,
    noun: str,
    row: object,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
    undoes: Change | None = None,
    where: str = "",
    said: str = "",
) -> Change:
    """Write one row of the record, inside the service's own transaction.

    `where` and `said` are for changes that can be undone: in what, and what was done.
    """
    return Change.objects.create(
        company=company,
        user=user,
        at=clock.now(),
        noun=noun,
        row=str(row),
        before=before,
        after=after,
        undoes=undoes,
        where=where,
        said=said[:MOST_SAID],
    )
