"""Placing string holes, joints, marks and lines on a drawing: all of it in one go, or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django.db import transaction

from builds.loading.outlines import scale_of
from builds.models import Drawing, DrawingHole, DrawingJoint, DrawingPicture
from builds.models.drawings import Side
from builds.services.placed import KEEP_PLACES, HolePlace, JointPlace, Placing
from builds.services.placing_checks import placing_problems
from builds.services.rescaling import follow_picture, moved_scales
from company.access import company_of
from company.core.names import tidy_name
from company.models import User
from company.services.changes import claim_version, record_change, snapshot


@transaction.atomic
def place_drawing(
    *, drawing: Drawing, user: User, version: int | None, placing: Placing
) -> Drawing:
    """Keep the places as asked. What a joint's stops are and how it is held stays as it was.

    Raises ValidationError with every sentence by field, StaleEdit where somebody was quicker.
    """
    claim_version(drawing, version)
    stands = _read(drawing)
    before = _snapshot(stands)
    placing_problems(drawing=stands, placing=placing).refuse()
    old_scales = {p.view: scale_of(p) for p in stands.pictures.all()}
    pictures = _write_marks(stands, placing)
    moved = moved_scales(old_scales, {view: scale_of(p) for view, p in pictures.items()})
    if placing.rescaled == KEEP_PLACES and moved:
        placing = follow_picture(placing, stands, moved)
    stands.height_mm = placing.height_mm
    stands.head_shrinkage_pct = placing.head_shrinkage_pct
    stands.words = tidy_name(placing.words)
    stands.save(update_fields=["height_mm", "head_shrinkage_pct", "words"])
    _write_joints(stands, placing.joints)
    _write_holes(stands, placing.holes)
    after = _read(drawing)
    record_change(
        company=company_of(stands),
        user=user,
        noun="drawing",
        row=stands.pk,
        before=before,
        after=_snapshot(after),
        said=f"placed holes and joints of {stands}",
    )
    return after


def _write_marks(drawing: Drawing, placing: Placing) -> dict[str, DrawingPicture]:
    pictures = {picture.view: picture for picture in drawing.pictures.all()}
    for marks in placing.marks:
        picture = pictures[marks.view]
        for name, value in marks.values.items():
            setattr(picture, name, value)
        picture.faces_left = marks.faces_left
        picture.save()
    return pictures


def _write_joints(drawing: Drawing, places: Iterable[JointPlace]) -> None:
    rows = {joint.kind: joint for joint in drawing.joints.all()}
    for place in places:
        row = rows.get(place.kind)
        if place.x_mm is None or place.y_mm is None:
            if row is not None:
                row.delete()
            continue
        row = row or DrawingJoint(drawing=drawing, kind=place.kind)
        row.x_mm, row.y_mm = place.x_mm, place.y_mm
        row.z_mm = place.z_mm or Decimal(0)
        row.save()


def _write_holes(drawing: Drawing, places: Sequence[HolePlace]) -> None:
    """Rows not asked for go first, so that a name, or the hanging, may change hands."""
    rows = {hole.pk: hole for hole in drawing.holes.all()}
    kept = [place for place in places if place.x_mm is not None and place.y_mm is not None]
    named = {place.pk for place in kept}
    DrawingHole.objects.filter(pk__in=[pk for pk in rows if pk not in named]).delete()
    drawing.holes.filter(hangs=True).update(hangs=False)
    # A name that another hole gives up in the same press is free only once that is written.
    for pk in rows:
        if pk in named:
            drawing.holes.filter(pk=pk).update(name_key=f"\0{pk}")
    for place in kept:
        row = rows.get(place.pk) if place.pk else None
        row = row or DrawingHole(drawing=drawing)
        row.name, row.part, row.side = tidy_name(place.name), place.part, place.side
        row.hangs = place.hangs
        row.x_mm, row.y_mm = place.x_mm, place.y_mm
        row.z_mm = Decimal(0) if place.side == Side.MIDDLE else place.z_mm or Decimal(0)
        row.save()


def _read(drawing: Drawing) -> Drawing:
    """The drawing with all that is placed on it, read anew."""
    found: Drawing = (
        Drawing.objects.select_related("guise__character__show__company")
        .prefetch_related("joints", "holes", "pictures", "parts")
        .get(pk=drawing.pk)
    )
    return found


def _snapshot(drawing: Drawing) -> dict[str, Any]:
    return {
        **snapshot(drawing),
        "joints": [snapshot(row) for row in drawing.joints.all()],
        "holes": [snapshot(row) for row in drawing.holes.all()],
        "pictures": [snapshot(row) for row in drawing.pictures.all()],
    }
