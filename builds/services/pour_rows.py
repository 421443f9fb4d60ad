"""The row of a pour: claimed before a press, timed by it, and written into the record."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError

from builds.models import Pour
from builds.queries.materials import Materials, casting_times
from company import clock
from company.models import Maker, User
from company.services.changes import changed_only, claim_version, record_change, snapshot

Lefts = dict[str, int]  # what is left of lots by number, as it stands in the record of changes


def start_clock(
    pour: Pour, poured_at: datetime | None, maker: Maker | None, known: Materials
) -> None:
    """It is filled: by whom, with what its mould is cast in, and its minutes by that material."""
    pour.poured_at, pour.maker, pour.material = poured_at, maker, pour.mould.casting_material
    times = casting_times(known.company, pour.material, materials=known)
    pour.drain_min, pour.open_min, pour.cure_min = times.drain_min, times.open_min, times.cure_min


def claim_pour(pour: Pour, version: int | None) -> dict[str, Any]:
    claim_version(pour, version)
    pour.refresh_from_db()
    if pour.struck_at is not None:
        raise ValidationError("This pour is struck. Nothing was recorded.")
    return snapshot(pour)


def instant_of_press(
    at: datetime | None, after: datetime | None, field: str, what: str, before: str
) -> datetime:
    """The instant given, or now; ValidationError where it is to come or too early."""
    now = clock.now()
    at = at or now
    if at > now + timedelta(minutes=1):
        raise ValidationError({field: f"That is still to come: say when it was {what}."})
    if after is not None and at < after:
        raise ValidationError({field: f"That is before it was {before}."})
    return at


def record_pour_change(
    pour: Pour,
    user: User | None,
    before: dict[str, Any],
    lots_before: Lefts | None = None,
    lots_after: Lefts | None = None,
) -> None:
    """One record of what a press changed: the pour, and what is left of each lot by its number."""
    after = snapshot(pour)
    if lots_before or lots_after:
        before, after = before | {"lots": lots_before}, after | {"lots": lots_after}
    before, after = changed_only(before, after)
    record_change(
        company=pour.mould.pattern.show.company,
        user=user,
        noun="pour",
        row=pour.pk,
        before=before,
        after=after,
    )
