"""The parts of a drawing, its joints' stops, its ballast: what the lead writes about the body."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction

from builds.core.statics.checks import MOST_PART_G, part_faults, stop_faults
from builds.core.statics.usual import USUAL_STOPS, UsualPart, usual_parts
from builds.loading.statics import hanging_hole, load_part
from builds.models import Ballast, Drawing, DrawingJoint, DrawingPart
from builds.models.drawings import PartKind
from builds.queries.drawings import CHILDREN
from company.access import company_of
from company.models import User
from company.services.changes import claim_version, record_change, snapshot
from scenes.services.problems import EVERYWHERE, Problems

_TENTH = Decimal("0.1")
MOST_BALLAST_G = 5000


@transaction.atomic
def save_part(
    *, drawing: Drawing, user: User, version: int | None, kind: str, values: Mapping[str, Any]
) -> DrawingPart:
    """Write one part. Raises ValidationError with all that is wrong, StaleEdit."""
    stands = claim_drawing(drawing, version)
    row = DrawingPart.objects.filter(drawing=stands, kind=kind).first()
    before = snapshot(row) if row else None
    row = row or DrawingPart(drawing=stands, kind=kind)
    for name, value in values.items():
        setattr(row, name, value)
    part_problems(row).refuse()
    row.save()
    _record(stands, user, before, snapshot(row), f"gave the {row} of {stands} its sizes")
    return row


def part_problems(row: DrawingPart) -> Problems:
    """All that is wrong with a part as it would stand."""
    problems = Problems()
    for field, sentence in part_faults(load_part(row)):
        problems.add(field, sentence)
    return problems


@transaction.atomic
def save_part_outline(
    *,
    drawing: Drawing,
    user: User,
    version: int | None,
    kind: str,
    outline: list[list[float]],
    front_outline: list[list[float]] | None = None,
) -> DrawingPart:
    """Give a part that has sizes already an outline of its own, in drawing millimetres."""
    values = {
        "shape": DrawingPart.Shape.OUTLINE,
        "outline": outline,
        "front_outline": front_outline,
    }
    if not DrawingPart.objects.filter(drawing=drawing, kind=kind).exists():
        refused = Problems()
        refused.add(EVERYWHERE, f"The {PartKind(kind).label} has no sizes yet.")
        refused.refuse()
    return save_part(drawing=drawing, user=user, version=version, kind=kind, values=values)


@transaction.atomic
def remove_part(*, drawing: Drawing, user: User, version: int | None, kind: str) -> None:
    """Take a part off the drawing; nothing happens where there is none."""
    stands = claim_drawing(drawing, version)
    row = DrawingPart.objects.filter(drawing=stands, kind=kind).first()
    if row is None:
        return
    before = snapshot(row)
    row.delete()
    _record(stands, user, before, None, f"took the {row} off {stands}")


@transaction.atomic
def lay_usual_parts(
    *, drawing: Drawing, user: User, version: int | None, material: str = "lime"
) -> list[DrawingPart]:
    """Parts of usual sizes between the joints, for every kind that has none yet.

    Joints without stops get the usual ones.

    Raises ValidationError where the joints between which they would lie are not placed.
    """
    stands = claim_drawing(drawing, version)
    there = {part.kind for part in stands.parts.all()}
    joints = {joint.kind: (float(joint.x_mm), float(joint.y_mm)) for joint in stands.joints.all()}
    hole = hanging_hole(stands)
    top = (float(hole.x_mm), float(hole.y_mm)) if hole is not None else None
    usual = usual_parts(joints, float(stands.height_mm), top)
    problems = Problems()
    if "torso" not in usual and "torso" not in there:
        problems.add(EVERYWHERE, "Place neck, shoulder and hip on the drawing first.")
    problems.refuse()
    made = [
        _usual_row(stands, kind, part, material)
        for kind, part in usual.items()
        if kind not in there
    ]
    DrawingPart.objects.bulk_create(made)
    for joint in stands.joints.all():
        if joint.stop_back_deg is None and joint.stop_forward_deg is None and not joint.is_held:
            joint.stop_back_deg, joint.stop_forward_deg = USUAL_STOPS.get(joint.kind, (None, None))
            joint.save(update_fields=["stop_back_deg", "stop_forward_deg"])
    after = {row.kind: snapshot(row) for row in made}
    _record(stands, user, None, after, f"gave {stands} parts of usual sizes")
    return made


def _usual_row(drawing: Drawing, kind: str, part: UsualPart, material: str) -> DrawingPart:
    is_head = kind == PartKind.HEAD
    return DrawingPart(
        drawing=drawing,
        kind=kind,
        shape=part.shape,
        top_x_mm=_tenth(part.top[0]),
        top_y_mm=_tenth(part.top[1]),
        bottom_x_mm=_tenth(part.low[0]),
        bottom_y_mm=_tenth(part.low[1]),
        width_mm=_tenth(part.width_mm),
        depth_mm=_tenth(part.depth_mm),
        width_low_mm=None if part.width_low_mm is None else _tenth(part.width_low_mm),
        depth_low_mm=None if part.depth_low_mm is None else _tenth(part.depth_low_mm),
        made_of=DrawingPart.MadeOf.CASTING if is_head else DrawingPart.MadeOf.WOOD,
        material="neoprene slip" if is_head else material,
        wall_mm=Decimal(3) if is_head else None,
    )


@transaction.atomic
def save_hanging(
    *,
    drawing: Drawing,
    user: User,
    version: int | None,
    head_share_pct: int,
    lift_mm: Decimal,
    stops: Mapping[str, tuple[bool, int | None, int | None]],
) -> Drawing:
    """Write how much of the head its strings carry, how high it hangs, and the joints' stops.

    `stops` by joint: held, back, forward. Raises ValidationError with fields like 'knee-back'.
    """
    stands = claim_drawing(drawing, version)
    hanging_problems(head_share_pct, lift_mm, stops).refuse()
    joints = {joint.kind: joint for joint in stands.joints.all()}
    before = {"drawing": snapshot(stands), **{k: snapshot(j) for k, j in joints.items()}}
    stands.head_share_pct, stands.lift_mm = head_share_pct, lift_mm
    stands.save(update_fields=["head_share_pct", "lift_mm"])
    for kind, (is_held, back, forward) in stops.items():
        joint: DrawingJoint | None = joints.get(kind)
        if joint is not None:
            joint.is_held, joint.stop_back_deg, joint.stop_forward_deg = is_held, back, forward
            joint.save()
    after = {"drawing": snapshot(stands), **{k: snapshot(j) for k, j in joints.items()}}
    _record(stands, user, before, after, f"set the stops of {stands}")
    return stands


def hanging_problems(
    head_share_pct: int, lift_mm: Decimal, stops: Mapping[str, tuple[bool, int | None, int | None]]
) -> Problems:
    """All that is wrong with stops, head and height as they would stand."""
    problems = Problems()
    if not 0 <= head_share_pct <= 100:
        problems.add("head_share_pct", "From 0 (off its strings) to 100 per cent.")
    if not 0 <= lift_mm <= 2000:
        problems.add("lift_mm", "Nought or more above the drawn height, at most 2000 mm.")
    for kind, (_, back, forward) in stops.items():
        for field, sentence in stop_faults(back, forward, kind):
            name = "back" if field == "stop_back_deg" else "forward"
            problems.add(f"{kind}-{name}", sentence)
    return problems


@transaction.atomic
def put_ballast(
    *,
    drawing: Drawing,
    user: User,
    version: int | None,
    x_mm: Decimal,
    y_mm: Decimal,
    mass_g: Decimal,
    metal: str,
    words: str = "",
    part: str = PartKind.TORSO,
) -> Ballast:
    """Let metal into a part. Raises ValidationError with all that is wrong, StaleEdit."""
    stands = claim_drawing(drawing, version)
    problems = Problems()
    if not 0 < mass_g <= MOST_BALLAST_G:
        problems.add("mass_g", f"More than nought and at most {MOST_BALLAST_G} g.")
    if metal not in Ballast.Metal.values:
        problems.add("metal", "Choose a metal.")
    if abs(x_mm) > stands.height_mm:
        problems.add("x_mm", "That is further off than the figure is high.")
    if not 0 <= y_mm <= stands.height_mm:
        problems.add("y_mm", "Between the floor and the crown.")
    if part not in {row.kind for row in stands.parts.all()}:
        problems.add("part", "The drawing has no such part.")
    problems.refuse()
    row = Ballast.objects.create(
        drawing=stands, part=part, words=words, x_mm=x_mm, y_mm=y_mm, mass_g=mass_g, metal=metal
    )
    _record(stands, user, None, snapshot(row), f"let {mass_g:g} g of {metal} into {stands}")
    return row


@transaction.atomic
def take_ballast_out(*, ballast: Ballast, user: User) -> None:
    """Take a piece of ballast out again."""
    stands = claim_drawing(ballast.drawing, None)
    before = snapshot(ballast)
    ballast.delete()
    _record(stands, user, before, None, f"took ballast out of {stands}")


def claim_drawing(drawing: Drawing, version: int | None) -> Drawing:
    """The current drawing with its children, claimed for an edit. Raises StaleEdit.

    One that is kept under an older number is not written on any more.
    """
    claim_version(drawing, version)
    stands: Drawing = (
        Drawing.objects.select_related("guise__character__show__company")
        .prefetch_related(*CHILDREN)
        .get(pk=drawing.pk)
    )
    if not stands.is_current:
        problems = Problems()
        problems.add(EVERYWHERE, f"Drawing {stands.number} is kept as it is; a newer one stands.")
        problems.refuse()
    return stands


def _record(drawing: Drawing, user: User, before: Any, after: Any, said: str) -> None:
    record_change(
        company=company_of(drawing),
        user=user,
        noun="drawing",
        row=drawing.pk,
        before=before,
        after=after,
        said=said,
    )


def _tenth(value: float) -> Decimal:
    return Decimal(str(value)).quantize(_TENTH, "ROUND_HALF_UP")


__all__ = [
    "MOST_PART_G",
    "claim_drawing",
    "hanging_problems",
    "lay_usual_parts",
    "part_problems",
    "put_ballast",
    "remove_part",
    "save_hanging",
    "save_part",
    "save_part_outline",
    "take_ballast_out",
]
