"""A picture's scale set a second time: what was measured by the first, and how it may follow."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from builds.core.full_size.picture_scale import PictureScale
from builds.loading.outlines import scale_of
from builds.models import Drawing, DrawingPicture
from builds.services.placed import PictureMarks, Placing

Moved = dict[str, tuple[PictureScale, PictureScale]]


def asks_about_scale(stood: dict[str, DrawingPicture], drawing: Drawing, placing: Placing) -> bool:
    """Whether a scale that places were measured by is set a second time, and differently."""
    if not (drawing.joints.all() or drawing.holes.all()):
        return False
    old = {view: scale_of(picture) for view, picture in stood.items()}
    new = {m.view: scale_of(_with_marks(stood[m.view], m)) for m in placing.marks}
    return bool(moved_scales(old, new))


def _with_marks(picture: DrawingPicture, marks: PictureMarks) -> DrawingPicture:
    """The picture with other marks, not saved."""
    other = DrawingPicture(view=picture.view, faces_left=marks.faces_left)
    for name, value in marks.values.items():
        setattr(other, name, value)
    return other


def moved_scales(old: dict[str, PictureScale | None], new: dict[str, PictureScale | None]) -> Moved:
    """Views whose scale was and is whole, and by which places of the picture now measure anew."""
    moved = {}
    for view, after in new.items():
        before = old.get(view)
        if before is not None and after is not None and before != after:
            moved[view] = (before, after)
    return moved


def follow_picture(placing: Placing, drawing: Drawing, moved: Moved) -> Placing:
    """The same places on the picture by its new scale; a place typed anew stays as typed."""
    rows: dict[object, Any] = {joint.kind: joint for joint in drawing.joints.all()}
    rows |= {hole.pk: hole for hole in drawing.holes.all()}

    def follow(place: Any, key: object) -> Any:
        row = rows.get(key)
        if row is None or place.x_mm is None or place.y_mm is None:
            return place
        x, y, z = place.x_mm, place.y_mm, place.z_mm
        if "profile" in moved and (x, y) == (row.x_mm, row.y_mm):
            x, y = _carried(moved["profile"], row.x_mm, row.y_mm)
        if "front" in moved and z == row.z_mm:
            z, up = _carried(moved["front"], row.z_mm, row.y_mm)
            z = abs(z)
            y = up if "profile" not in moved and y == row.y_mm and len(moved) == 1 else y
        return replace(place, x_mm=x, y_mm=y, z_mm=z)

    return replace(
        placing,
        joints=tuple(follow(joint, joint.kind) for joint in placing.joints),
        holes=tuple(follow(hole, hole.pk) for hole in placing.holes),
    )


def _carried(
    scales: tuple[PictureScale, PictureScale], x_mm: Decimal, y_mm: Decimal
) -> tuple[Decimal, Decimal]:
    before, after = scales
    x, y = after.to_mm(*before.to_px(float(x_mm), float(y_mm)))
    return (Decimal(str(round(x, 1))), Decimal(str(round(y, 1))))
