"""What the page of a guise's drawing says: what is placed, what is missing, what looks wrong."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.full_size.checks import (
    PlacedPoint,
    find_loose_joints,
    find_off_line,
)
from builds.core.full_size.picture_scale import PictureScale
from builds.loading.outlines import KEY_JOINTS, load_outline, scale_of
from builds.models import Drawing, DrawingJoint, DrawingPicture, ProportionSheet
from builds.models.drawings import JointKind
from company.models import Company
from company.templatetags.words import and_list
from scenes.models import Guise

# What a figure cannot hang by the drawing without.
NEEDED_JOINTS = (JointKind.NECK, JointKind.SHOULDER, JointKind.HIP, JointKind.KNEE, JointKind.ANKLE)


@dataclass(frozen=True)
class Remarks:
    """Sentences beside a drawing."""

    missing: tuple[str, ...]
    off_line: tuple[str, ...]
    loose: tuple[str, ...]
    pictures: tuple[str, ...]

    def __bool__(self) -> bool:
        return bool(self.missing or self.off_line or self.loose or self.pictures)


def read_remarks(drawing: Drawing) -> Remarks:
    """What is still to be placed, and what a maker would look at twice."""
    joints = {joint.kind: joint for joint in drawing.joints.all()}
    holes = list(drawing.holes.all())
    missing = [str(kind.label) for kind in NEEDED_JOINTS if kind not in joints]
    hanging = next((hole for hole in holes if hole.hangs), None)
    if hanging is None:
        missing.append("the hole it hangs from")
    key = [_placed(joint) for kind, joint in joints.items() if kind in KEY_JOINTS]
    if hanging is not None:
        name = f"{hanging.name} hole"
        key.insert(0, PlacedPoint("", name, float(hanging.x_mm), float(hanging.y_mm)))
    outlines = {part.kind: part.profile for part in load_outline(drawing).parts}
    loose = find_loose_joints(map(_placed, joints.values()), outlines)
    return Remarks(
        missing=tuple(missing),
        off_line=tuple(_off_line(name, x) for name, x in find_off_line(key)),
        loose=tuple(sentence for _, sentence in loose),
        pictures=tuple(_of_pictures(drawing)),
    )


def say_drawing(drawing: Drawing, remarks: Remarks) -> str:
    """'Drawn 600 mm tall: 5 string holes and 7 joints are placed.'"""
    holes, joints = len(drawing.holes.all()), len(drawing.joints.all())
    if not holes and not joints:
        return f"Drawn {float(drawing.height_mm):g} mm tall; nothing is placed yet."
    said = f"Drawn {float(drawing.height_mm):g} mm tall: {_count(holes, 'string hole')} and "
    said += f"{_count(joints, 'joint')} are placed"
    if remarks.missing:
        verb = "is" if len(remarks.missing) == 1 else "are"
        return f"{said}, {and_list(remarks.missing)} {verb} still to place."
    return f"{said}."


def sheets_of(company: Company) -> list[ProportionSheet]:
    """The company's own proportions."""
    return list(ProportionSheet.objects.filter(company=company, struck_at=None))


def other_drawings(guise: Guise) -> list[Drawing]:
    """Current drawings of the company's other guises that have joints to take over."""
    company = guise.character.show.company
    found = (
        Drawing.objects.filter(is_current=True, joints__isnull=False)
        .for_company(company)
        .exclude(guise=guise)
        .select_related("guise__character")
        .prefetch_related("joints")
        .order_by("guise__character__name_key", "guise__name_key")
        .distinct()
    )
    return list(found)


def earlier_drawings(drawing: Drawing) -> list[Drawing]:
    """The drawings of the guise before this one, newest first."""
    return list(Drawing.objects.filter(guise=drawing.guise_id, number__lt=drawing.number))


def _placed(joint: DrawingJoint) -> PlacedPoint:
    return PlacedPoint(
        joint.kind, joint.kind, float(joint.x_mm), float(joint.y_mm), float(joint.z_mm)
    )


def _off_line(name: str, x_mm: float) -> str:
    side = "in front of" if x_mm > 0 else "behind"
    return f"The {name} lies {abs(x_mm):g} mm {side} the line of balance."


def _of_pictures(drawing: Drawing) -> list[str]:
    said = []
    for picture in drawing.pictures.all():
        scale = scale_of(picture)
        if scale is None:
            said.append(
                f"The picture of the {picture.view} has no scale yet: set two marks, how far they "
                f"are apart, and where its {_line(picture)} stands on the floor."
            )
        else:
            said += _of_scale(picture, scale, float(drawing.height_mm))
    return said


def _of_scale(picture: DrawingPicture, scale: PictureScale, height_mm: float) -> list[str]:
    """A picture that cannot hold the figure was mostly measured wrong."""
    room = scale.to_mm(scale.foot_px[0], 0)[1]
    if room < 0.9 * height_mm:
        return [
            f"By its marks the picture of the {picture.view} ends {room:.0f} mm above the floor, "
            f"below the crown of a figure {height_mm:g} mm tall: look at the marks again."
        ]
    return []


def _line(picture: DrawingPicture) -> str:
    return "line of balance" if picture.view == "profile" else "middle line"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
