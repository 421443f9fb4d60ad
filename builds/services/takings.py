"""Taking a pour's mix out of the lots on the shelf, and giving it back."""

from __future__ import annotations

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db.models import F

from builds.core.casting.taking import convert
from builds.models import Lot, Pour, Taking
from builds.queries.materials import Materials
from builds.queries.takings import Asked, TakePlan, asked_of, density_of, lots_of, plan_taking
from builds.services.pour_rows import Lefts
from company import clock
from company.models import Company


def plan_lots(
    pour: Pour, named: str, asked: Asked | None, at: datetime, known: Materials
) -> TakePlan:
    """What a pour takes from the lots named, with those rows locked. Call it in a transaction.

    `asked` None: what the mix takes by what was measured.
    """
    cast = pour.material or pour.mould.casting_material
    if not named.strip():
        return TakePlan(asked)
    rows = lots_of(known.company, cast, known)
    locked = list(Lot.objects.select_for_update().filter(pk__in=[lot.pk for lot in rows]))
    asked = asked or asked_of(pour.mould, known, cast)
    return plan_taking(locked, named, asked, at, density_of(cast, known))


def taking_problems(plan: TakePlan, company: Company, was_so: bool) -> dict[str, str]:
    """What is wrong with taking so, by field; a shortage is no problem once somebody says so."""
    if plan.unlike:
        return {"takes": plan.unlike_words()}
    if plan.missing and not was_so:
        return {
            "was_so": f"{plan.short_words(company)} Name another lot beside it, as in "
            "'N-1, N-2', or say that it was so."
        }
    return {}


def take_out_of_lots(pour: Pour, plan: TakePlan, density: float | None) -> tuple[Lefts, Lefts]:
    """Write what the plan says; what was left of each lot, and what is."""
    before, after = {}, {}
    last = len(plan.shares) - 1
    for n, (lot, amount) in enumerate(plan.shares):
        short = 0
        if n == last and plan.missing and plan.asked is not None:
            short = round(convert(plan.missing, plan.asked.unit, lot.unit, density))
        if not amount and not short:
            continue
        Taking.objects.create(pour=pour, lot=lot, amount=amount, short=short, at=clock.now())
        before[lot.code] = lot.left
        after[lot.code] = lot.left = lot.left - amount
        _write_left(lot)
    return before, after


def give_back(pour: Pour) -> tuple[Lefts, Lefts]:
    """What a pour took goes back to its lots, unless their rest was written down since."""
    before, after = {}, {}
    now = clock.now()
    for taking in Taking.objects.filter(pour=pour, struck_at=None):
        lot = Lot.objects.select_for_update().get(pk=taking.lot_id)
        taking.struck_at = now
        taking.save(update_fields=["struck_at"])
        if lot.counted_at is not None and lot.counted_at > taking.at:
            continue  # somebody has looked into the bucket since, and that stands
        before[lot.code] = lot.left
        after[lot.code] = lot.left = lot.left + taking.amount
        _write_left(lot)
    return before, after


def take_anew(
    pour: Pour, named: str, asked: Asked | None, was_so: bool, known: Materials
) -> tuple[Lefts, Lefts]:
    """The record of a pour is corrected: all it took goes back, and it takes anew.

    ValidationError by field where it cannot; the caller's transaction is turned back then.
    """
    before, after = give_back(pour)
    assert pour.poured_at is not None
    plan = plan_lots(pour, named, asked, pour.poured_at, known)
    if wrong := taking_problems(plan, known.company, was_so):
        raise ValidationError(wrong)
    density = density_of(pour.material or pour.mould.casting_material, known)
    first, then = take_out_of_lots(pour, plan, density)
    return first | before, after | then


def _write_left(lot: Lot) -> None:
    """What is left, as a new version: who has the old one on the screen is told."""
    Lot.objects.filter(pk=lot.pk).update(left=lot.left, version=F("version") + 1)
