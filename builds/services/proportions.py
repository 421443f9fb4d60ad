"""Proportions: a company's own sheets, and laying one over a drawing that stands."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core.full_size.proportions import ASKED, find_share_faults, start_points
from builds.models import Drawing, DrawingJoint, ProportionSheet
from company import clock
from company.access import company_of
from company.core.names import tidy_name
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot

_TENTH = Decimal("0.1")


@transaction.atomic
def lay_proportions(
    *,
    drawing: Drawing,
    user: User,
    version: int | None,
    shares: Mapping[str, float] | None = None,
    like: Drawing | None = None,
) -> Drawing:
    """Put the joints of a drawing where a sheet has them, or where another drawing has, scaled.

    How a joint stops and is held stays as it was.
    """
    claim_version(drawing, version)
    before = [snapshot(joint) for joint in drawing.joints.all()]
    rows = {joint.kind: joint for joint in drawing.joints.all()}
    for kind, place in _wanted(drawing, shares, like).items():
        row = rows.get(kind) or DrawingJoint(drawing=drawing, kind=kind)
        row.x_mm, row.y_mm, row.z_mm = (_tenth(value) for value in place)
        row.save()
    after = [snapshot(joint) for joint in DrawingJoint.objects.filter(drawing=drawing)]
    record_change(
        company=company_of(drawing),
        user=user,
        noun="drawing",
        row=drawing.pk,
        before={"joints": before},
        after={"joints": after},
        said=f"laid proportions over {drawing}",
    )
    return drawing


def _wanted(
    drawing: Drawing, shares: Mapping[str, float] | None, like: Drawing | None
) -> dict[str, tuple[float, float, float]]:
    """Joints by kind: forward, up, aside."""
    height = float(drawing.height_mm)
    if like is not None:
        scale = height / float(like.height_mm)
        return {
            joint.kind: (
                float(joint.x_mm) * scale,
                float(joint.y_mm) * scale,
                float(joint.z_mm) * scale,
            )
            for joint in like.joints.all()
        }
    return {
        point.name: (point.forward_mm, point.height_mm, point.aside_mm)
        for point in start_points(shares or {}, height)
    }


@transaction.atomic
def write_proportions(
    *,
    company: Company,
    user: User,
    name: str,
    shares: Mapping[str, float],
    sheet: ProportionSheet | None = None,
    version: int | None = None,
) -> ProportionSheet:
    """A sheet of the company's own, new or written over. Drawings made from it stay as they are.

    Raises ValidationError with all that is wrong, by the keys of ASKED.
    """
    wrong = dict(find_share_faults(shares))
    if wrong:
        raise ValidationError(wrong)
    before = snapshot(sheet) if sheet is not None else None
    if sheet is None:
        sheet = ProportionSheet(company=company)
    else:
        claim_version(sheet, version)
    sheet.name = tidy_name(name)
    sheet.shares = {key: round(float(shares[key]), 5) for key in ASKED}
    sheet.save()
    record_change(
        company=company,
        user=user,
        noun="proportions",
        row=sheet.pk,
        before=before,
        after=snapshot(sheet),
        said=f"wrote the proportions {sheet.name}",
    )
    return sheet


@transaction.atomic
def strike_proportions(*, sheet: ProportionSheet, user: User) -> ProportionSheet:
    """No longer offer a sheet. What was drawn after it stays."""
    if sheet.struck_at is None:
        before = snapshot(sheet)
        sheet.struck_at = clock.now()
        sheet.save(update_fields=["struck_at"])
        record_change(
            company=sheet.company,
            user=user,
            noun="proportions",
            row=sheet.pk,
            before=before,
            after=snapshot(sheet),
            said=f"struck the proportions {sheet.name}",
        )
    return sheet


def _tenth(value: float) -> Decimal:
    return Decimal(str(round(value, 3))).quantize(_TENTH, "ROUND_HALF_UP")
