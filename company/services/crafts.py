"""Crafts: adding, renaming and capping them, who has them, striking them."""

from __future__ import annotations

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, Craft, Maker, User
from company.services.changes import snapshot
from company.services.columns import ids_of, record, wrong_columns

MOST_CAP_MIN = 24 * 60


@transaction.atomic
def add_craft(
    *,
    company: Company,
    user: User | None,
    name: str,
    daily_cap_min: int | None = None,
    makers: Iterable[Maker] = (),
) -> Craft:
    """Add a craft. `daily_cap_min`: at most so many minutes of it a day for one person."""
    chosen = list(makers)
    craft = Craft(company=company, name=tidy_name(name), daily_cap_min=daily_cap_min)
    problems = craft_problems(craft)
    if problems:
        raise ValidationError(problems)
    craft.save()
    craft.makers.set(_of_company(craft, chosen))
    record(company, user, "craft", craft.pk, None, snapshot(craft) | {"makers": ids_of(chosen)})
    return craft


@transaction.atomic
def edit_craft(
    *,
    craft: Craft,
    user: User | None,
    name: str,
    daily_cap_min: int | None,
    makers: Iterable[Maker] | None = None,
) -> Craft:
    """Rename a craft, change its cap and, where given, who has it."""
    before = snapshot(craft) | {"makers": ids_of(craft.makers.all())}
    craft.name, craft.daily_cap_min = tidy_name(name), daily_cap_min
    problems = craft_problems(craft)
    if problems:
        raise ValidationError(problems)
    craft.save()
    if makers is not None:
        struck = list(craft.makers.filter(struck_at__isnull=False))
        craft.makers.set([*_of_company(craft, list(makers)), *struck])
    after = snapshot(craft) | {"makers": ids_of(craft.makers.all())}
    record(craft.company, user, "craft", craft.pk, before, after)
    return craft


@transaction.atomic
def strike_craft(*, craft: Craft, user: User | None) -> Craft:
    """Strike a craft that no stage of a route asks for any more."""
    # Stages are rows of the workshop: they are met only through the craft's own names for them.
    asking = [
        stage
        for name in ("stages", "second_stages")
        for stage in getattr(craft, name).filter(struck_at=None).select_related("route")
    ]
    if asking:
        said = ", ".join(f"'{stage}' of {stage.route}" for stage in asking[:4])
        more = f" and {len(asking) - 4} more" if len(asking) > 4 else ""
        verb = "asks" if len(asking) == 1 else "ask"
        raise ValidationError(f"{said}{more} still {verb} for it: change the route first.")
    before = snapshot(craft)
    craft.struck_at = clock.now()
    craft.save(update_fields=["struck_at"])
    record(craft.company, user, "craft", craft.pk, before, snapshot(craft))
    return craft


def _of_company(craft: Craft, makers: list[Maker]) -> list[Maker]:
    if any(maker.company_id != craft.company_id for maker in makers):
        raise ValidationError({"makers": ["That maker is not of this company."]})
    return makers


def craft_problems(craft: Craft) -> dict[str, list[str]]:
    """What is wrong with a craft as it stands, by field."""
    craft.name_key = name_key(craft.name)
    problems = wrong_columns(craft)
    cap = craft.daily_cap_min
    if cap is not None and not 1 <= cap <= MOST_CAP_MIN:
        problems["daily_cap_min"] = ["At most so much a day: between 1 minute and 24 hours."]
    return problems
