"""Lots on the shelf: put there, opened, used up, struck."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Lot
from builds.models.materials import MaterialKind
from builds.queries.materials import Materials
from company import clock
from company.core.measures import HEAVIEST_G, LARGEST_ML
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot

COLUMNS = (
    "kind",
    "material",
    "code",
    "unit",
    "left",
    "opened_on",
    "best_before",
    "place",
    "note",
)


@transaction.atomic
def add_lot(*, company: Company, user: User | None, values: Mapping[str, Any]) -> Lot:
    """Put a lot on the shelf. ValidationError by field for all that is wrong."""
    lot = Lot(company=company, **{name: values[name] for name in COLUMNS if name in values})
    lot.counted_at = clock.now()
    _refuse_wrong(lot)
    lot.save()
    record_change(company=company, user=user, noun="lot", row=lot.pk, after=snapshot(lot))
    return lot


@transaction.atomic
def edit_lot(*, lot: Lot, user: User | None, version: int | None, values: Mapping[str, Any]) -> Lot:
    """What is left, opened when, best before; its material stays.

    What is left was counted then: what a pour took before it is not given back to it any more.
    """
    before = snapshot(lot)
    claim_version(lot, version)
    if values.get("left", lot.left) != lot.left:
        lot.counted_at = clock.now()
    for name in COLUMNS:
        if name in values and name not in ("kind", "material", "unit"):
            setattr(lot, name, values[name])
    _refuse_wrong(lot)
    lot.save()
    _record(lot, user, before)
    return lot


@transaction.atomic
def strike_lot(*, lot: Lot, user: User | None) -> Lot:
    """Take a lot off the shelf: used up or thrown out. Pours keep its number.

    Two people who do it at once have done it once.
    """
    if lot.struck_at is not None:
        return lot
    before = snapshot(lot)
    claim_version(lot, None)
    lot.struck_at = clock.now()
    lot.save(update_fields=["struck_at"])
    _record(lot, user, before)
    return lot


def lot_problems(lot: Lot) -> dict[str, list[str]]:
    """Everything wrong with a lot, by field."""
    wrong: dict[str, list[str]] = {}
    lot.code = " ".join((lot.code or "").split())
    if lot.kind not in MaterialKind.values or not _is_known(lot):
        wrong["material"] = ["Choose one of the materials."]
    if not lot.code:
        wrong["code"] = ["Write the lot from the label, or a number of your own."]
    elif len(lot.code) > 40:
        wrong["code"] = [f"At most 40 letters, not {len(lot.code)}."]
    most = HEAVIEST_G if lot.unit == Lot.Unit.G else LARGEST_ML
    if lot.left is None:
        wrong["left"] = ["Say how much is left."]
    elif not 0 <= lot.left <= most:
        wrong["left"] = ["What is left is nought or more, and no lorry load."]
    today = clock.today(lot.company)
    if lot.opened_on is not None and lot.opened_on > today:
        wrong["opened_on"] = ["It cannot have been opened on a day to come."]
    others = Lot.objects.for_company(lot.company).filter(
        kind=lot.kind, material=lot.material, code=lot.code, struck_at=None
    )
    if not wrong and others.exclude(pk=lot.pk).exists():
        wrong["code"] = ["This lot stands on the shelf already: change that line."]
    return wrong


def _is_known(lot: Lot) -> bool:
    return Materials(lot.company).find(lot.kind, lot.material) is not None


def _refuse_wrong(lot: Lot) -> None:
    if wrong := lot_problems(lot):
        raise ValidationError(wrong)


def _record(lot: Lot, user: User | None, before: dict[str, Any]) -> None:
    record_change(
        company=lot.company,
        user=user,
        noun="lot",
        row=lot.pk,
        before=before,
        after=snapshot(lot),
    )
