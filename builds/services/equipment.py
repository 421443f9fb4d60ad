"""Equipment that only so many steps can hold at once: the stringing frame, a spray booth."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Equipment, Stage
from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, User
from company.services.changes import record_change, snapshot

MOST_OF_ONE = 20


@transaction.atomic
def add_equipment(
    *, company: Company, user: User | None, name: str, capacity: int = 1
) -> Equipment:
    """Add equipment. ValidationError by field where the name is taken or the number is odd."""
    gear = Equipment(company=company, name=tidy_name(name), capacity=capacity)
    _refuse_wrong(gear)
    gear.save()
    record_change(company=company, user=user, noun="equipment", row=gear.pk, after=snapshot(gear))
    return gear


@transaction.atomic
def edit_equipment(
    *, equipment: Equipment, user: User | None, name: str, capacity: int
) -> Equipment:
    """Rename equipment, or say how many steps it serves at once."""
    before = snapshot(equipment)
    equipment.name, equipment.capacity = tidy_name(name), capacity
    _refuse_wrong(equipment)
    equipment.save()
    record_change(
        company=equipment.company,
        user=user,
        noun="equipment",
        row=equipment.pk,
        before=before,
        after=snapshot(equipment),
    )
    return equipment


@transaction.atomic
def strike_equipment(*, equipment: Equipment, user: User | None) -> Equipment:
    """Strike equipment that no stage asks for any more."""
    stages = Stage.objects.filter(equipment=equipment, struck_at=None).select_related("route")
    if stages:
        said = ", ".join(f"'{stage}' of {stage.route}" for stage in stages)
        raise ValidationError(f"{said} still asks for it: take it off there first.")
    before = snapshot(equipment)
    equipment.struck_at = clock.now()
    equipment.save(update_fields=["struck_at"])
    record_change(
        company=equipment.company,
        user=user,
        noun="equipment",
        row=equipment.pk,
        before=before,
        after=snapshot(equipment),
    )
    return equipment


def _refuse_wrong(gear: Equipment) -> None:
    problems: dict[str, list[str]] = {}
    gear.name_key = name_key(gear.name)
    if not gear.name:
        problems["name"] = ["Give it a name."]
    elif len(gear.name) > 80:
        problems["name"] = [f"At most 80 letters, not {len(gear.name)}."]
    others = Equipment.objects.filter(
        company=gear.company, name_key=gear.name_key, struck_at=None
    ).exclude(pk=gear.pk)
    if gear.name and others.exists():
        problems["name"] = ["There is equipment of this name already."]
    if not 1 <= gear.capacity <= MOST_OF_ONE:
        problems["capacity"] = [f"It serves 1 to {MOST_OF_ONE} steps at once."]
    if problems:
        raise ValidationError(problems)
