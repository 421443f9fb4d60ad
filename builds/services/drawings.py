"""Beginning the drawing of a guise, and beginning its next version from the one that stands."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Max

from builds.core.full_size.proportions import check_height, start_points
from builds.models import Drawing, DrawingJoint
from builds.queries.drawings import CHILDREN
from company import clock
from company.access import company_of
from company.models import User
from company.services.changes import record_change, snapshot
from scenes.models import Guise

_TENTH = Decimal("0.1")


@transaction.atomic
def start_drawing(
    *,
    guise: Guise,
    user: User,
    height_mm: Decimal,
    copy_of: Drawing | None = None,
    shares: Mapping[str, float] | None = None,
) -> Drawing:
    """The guise's next drawing, which is the current one from now on.

    `copy_of` gives it all rows of another drawing, `shares` the joints of an upright figure after
    a proportion sheet. Raises ValidationError naming `height_mm`.
    """
    try:
        check_height(float(height_mm))
    except ValueError as wrong:
        raise ValidationError({"height_mm": str(wrong)}) from wrong
    Guise.objects.select_for_update().get(pk=guise.pk)
    stood = Drawing.objects.filter(guise=guise)
    last = stood.aggregate(last=Max("number"))["last"] or 0
    stood.filter(is_current=True).update(is_current=False)
    made = Drawing.objects.create(
        guise=guise, number=last + 1, height_mm=height_mm, made_at=clock.now()
    )
    if copy_of is not None:
        _copy(copy_of, made)
    elif shares is not None:
        _place_joints(made, shares)
    record_change(
        company=company_of(made),
        user=user,
        noun="drawing",
        row=made.pk,
        after=snapshot(made),
        said=f"began {made}",
    )
    return made


def _place_joints(drawing: Drawing, shares: Mapping[str, float]) -> None:
    DrawingJoint.objects.bulk_create(
        DrawingJoint(
            drawing=drawing,
            kind=point.name,
            x_mm=_tenth(point.forward_mm),
            y_mm=_tenth(point.height_mm),
            z_mm=_tenth(point.aside_mm),
        )
        for point in start_points(shares, float(drawing.height_mm))
    )


def _copy(source: Drawing, target: Drawing) -> None:
    """All that is on a drawing, row by row; a picture's file is named by both."""
    for name in ("head_share_pct", "lift_mm", "head_shrinkage_pct", "words"):
        setattr(target, name, getattr(source, name))
    target.save()
    for name in CHILDREN:
        rows: list[models.Model] = list(getattr(source, name).all())
        for row in rows:
            row.pk = None
            row.drawing = target  # type: ignore[attr-defined]
        if rows:
            type(rows[0])._default_manager.bulk_create(rows)


def _tenth(value: float) -> Decimal:
    return Decimal(str(value)).quantize(_TENTH, "ROUND_HALF_UP")
