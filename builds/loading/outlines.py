"""Rows of a drawing to what is drawn of it: outlines, points, and photos at true scale."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from builds.core.full_size.part_outlines import (
    PartShape,
    front_polygon,
    profile_polygon,
)
from builds.core.full_size.picture_scale import PictureScale, find_scale_faults, measure_scale
from builds.drawings.outline_values import (
    FigureOutline,
    OutlinePart,
    OutlinePicture,
    OutlinePoint,
)
from builds.loading.part_columns import part_columns, read_outline
from builds.models import Drawing, DrawingHole, DrawingJoint, DrawingPart, DrawingPicture
from builds.models.drawings import PartKind

# The joints at the upper and lower end of each part, which say how far from the middle it lies.
_ENDS = {
    PartKind.HEAD: ("", "neck"),
    PartKind.UPPER_ARM: ("shoulder", "elbow"),
    PartKind.FORE_ARM: ("elbow", "wrist"),
    PartKind.HAND: ("wrist", "wrist"),
    PartKind.THIGH: ("hip", "knee"),
    PartKind.SHANK: ("knee", "ankle"),
    PartKind.FOOT: ("ankle", "ankle"),
}
# What the posture hangs on, beside the hole that the figure hangs from.
KEY_JOINTS = ("shoulder", "hip", "ankle")
_MIDDLE_JOINTS = ("neck",)

Address = Callable[[DrawingPicture], str]


def load_outline(drawing: Drawing, address: Address | None = None) -> FigureOutline:
    """The drawing as it is drawn. Its holes, joints, parts and pictures should be prefetched.

    `address` says where a photo is found; without it photos are left out.
    """
    pictures = list(drawing.pictures.all())
    profile = next((p for p in pictures if p.view == DrawingPicture.View.PROFILE), None)
    return FigureOutline(
        height_mm=float(drawing.height_mm),
        parts=load_parts(drawing.parts.all(), drawing.joints.all()),
        points=(
            *(_hole(hole) for hole in drawing.holes.all()),
            *(_joint(joint) for joint in drawing.joints.all()),
        ),
        pictures=tuple(_pictures(pictures, address)) if address else (),
        faces_left=profile.faces_left if profile is not None else True,
    )


def scale_of(picture: DrawingPicture) -> PictureScale | None:
    """The way from the picture's points to mm; None until its marks and line are set."""
    numbers = (
        picture.mark_a_x_px,
        picture.mark_a_y_px,
        picture.mark_b_x_px,
        picture.mark_b_y_px,
        picture.marks_mm,
        picture.axis_x_px,
        picture.floor_y_px,
    )
    if any(number is None for number in numbers):
        return None
    ax, ay, bx, by, apart, foot_x, foot_y = (float(n) for n in numbers if n is not None)
    top = None
    if picture.axis_top_x_px is not None and picture.axis_top_y_px is not None:
        top = (float(picture.axis_top_x_px), float(picture.axis_top_y_px))
    if find_scale_faults((ax, ay), (bx, by), apart, (foot_x, foot_y), top):
        return None
    is_profile = picture.view == DrawingPicture.View.PROFILE
    return measure_scale(
        (ax, ay),
        (bx, by),
        apart,
        foot_px=(foot_x, foot_y),
        top_px=top,
        faces_left=is_profile and picture.faces_left,
    )


def load_parts(
    parts: Iterable[DrawingPart], joints: Iterable[DrawingJoint]
) -> tuple[OutlinePart, ...]:
    """Outlines of the parts from both sides, each with its grain."""
    aside = {joint.kind: float(joint.z_mm) for joint in joints}
    return tuple(_part(part, aside) for part in parts)


def _part(part: DrawingPart, aside: dict[str, float]) -> OutlinePart:
    kind = PartKind(part.kind)
    upper, lower = _ENDS.get(kind, ("", ""))
    is_pair = kind.is_pair
    shape = PartShape(
        **part_columns(part),
        z_top=aside.get(upper, 0.0) if is_pair else 0.0,
        z_bottom=aside.get(lower, aside.get(upper, 0.0)) if is_pair else 0.0,
        front_outline=read_outline(part.front_outline),
    )
    return OutlinePart(
        kind=kind.value,
        profile=profile_polygon(shape),
        front=front_polygon(shape),
        is_pair=is_pair,
        grain=_grain(part, shape) if part.made_of == DrawingPart.MadeOf.WOOD else None,
    )


def _grain(part: DrawingPart, shape: PartShape) -> tuple[tuple[float, float], tuple[float, float]]:
    """An arrow over the middle half of the part: along its axis, or across it."""
    (x1, y1), (x2, y2) = shape.top, shape.low
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    along = ((x2 - x1) / 4, (y2 - y1) / 4)
    if part.grain == DrawingPart.Grain.ACROSS:
        length = max((along[0] ** 2 + along[1] ** 2) ** 0.5, 1e-9)
        reach = shape.depth_mm * 0.35 / length
        along = (-along[1] * reach, along[0] * reach)
    return (
        (middle[0] - along[0], middle[1] - along[1]),
        (middle[0] + along[0], middle[1] + along[1]),
    )


def _hole(hole: DrawingHole) -> OutlinePoint:
    return OutlinePoint(
        name=hole.name,
        x_mm=float(hole.x_mm),
        y_mm=float(hole.y_mm),
        z_mm=float(hole.z_mm),
        is_hole=True,
        side=hole.side,
        is_key=hole.hangs,
        part=hole.part,
    )


def _joint(joint: DrawingJoint) -> OutlinePoint:
    return OutlinePoint(
        name=joint.kind,
        x_mm=float(joint.x_mm),
        y_mm=float(joint.y_mm),
        z_mm=float(joint.z_mm),
        side="middle" if joint.kind in _MIDDLE_JOINTS else "pair",
        is_key=joint.kind in KEY_JOINTS,
    )


def _pictures(pictures: Iterable[DrawingPicture], address: Address) -> Iterable[OutlinePicture]:
    for picture in pictures:
        scale = scale_of(picture)
        if scale is not None:
            yield OutlinePicture(
                view=picture.view,
                href=address(picture),
                width_px=picture.width_px,
                height_px=picture.height_px,
                matrix=scale.matrix(),
            )
