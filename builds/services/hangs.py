"""What makers record of a figure that hangs: weighed parts, trial hangs, how a costume sits."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.loading.statics import dress_figure, load_figure
from builds.loading.trials import keep_hung
from builds.models import CostumeFit, Figure, TrialHang, Weighing
from builds.models.drawings import PartKind
from builds.queries.drawings import drawing_of
from builds.queries.hangs import find_lacks, fit_of, read_weighed
from company import clock
from company.models import User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Costume
from scenes.services.problems import EVERYWHERE, Problems

MOST_PART_G = 20_000


@transaction.atomic
def weigh_part(
    *,
    figure: Figure,
    user: User,
    part: str,
    mass_g: Decimal,
    centre_x_mm: Decimal | None = None,
    centre_y_mm: Decimal | None = None,
    note: str = "",
) -> Weighing:
    """Record what one piece weighs. Raises ValidationError naming every field that is wrong."""
    problems = Problems()
    if part not in PartKind.values:
        problems.add("part", "Choose a part.")
    if not 0 < mass_g <= MOST_PART_G:
        problems.add("mass_g", "More than nought and at most 20 kg.")
    if (centre_x_mm is None) is not (centre_y_mm is None):
        problems.add("centre_y_mm", "A balance point has both numbers, or neither.")
    height = _height_of(figure)
    for name, value in (("centre_x_mm", centre_x_mm), ("centre_y_mm", centre_y_mm)):
        if value is not None and height is not None and abs(value) > height:
            problems.add(name, "That is further off than the figure is high.")
    if len(note) > 200:
        problems.add("note", f"At most 200 letters, not {len(note)}.")
    problems.refuse()
    row = Weighing.objects.create(
        figure=figure,
        part=part,
        mass_g=mass_g,
        centre_x_mm=centre_x_mm,
        centre_y_mm=centre_y_mm,
        note=note,
        at=clock.now(),
    )
    said = f"weighed the {row.get_part_display()} of {figure}"
    _record(figure, user, "weighing", row, None, snapshot(row), said)
    return row


@transaction.atomic
def strike_weighing(*, weighing: Weighing, user: User) -> None:
    """Strike a weight that was read wrong; the one before it stands again."""
    _strike(weighing, user, "weighing", f"struck a weight of {weighing.figure}")


@transaction.atomic
def record_trial(
    *,
    figure: Figure,
    user: User,
    lean_deg: Decimal,
    within_deg: Decimal = Decimal(1),
    costume: Costume | None = None,
    head_share_pct: int | None = None,
    note: str = "",
) -> TrialHang:
    """Record a measured lean, forward of the drawing above nought. Masses and centres follow it.

    Raises ValidationError naming every field that is wrong.
    """
    drawing = drawing_of(figure.guise)
    problems = Problems()
    lacks = find_lacks(drawing)
    if lacks:
        problems.add(EVERYWHERE, lacks)
    if not -90 <= lean_deg <= 90:
        problems.add("lean_deg", "From 90° back (-90) to 90° forward.")
    if not Decimal("0.1") <= within_deg <= 20:
        problems.add("within_deg", "Between 0.1° and 20°.")
    if costume is not None and costume.guise_id != figure.guise_id:
        problems.add("costume", "Choose a costume of this guise.")
    if head_share_pct is not None and not 0 <= head_share_pct <= 100:
        problems.add("head_share_pct", "From 0 (off its strings) to 100 per cent.")
    if len(note) > 300:
        problems.add("note", f"At most 300 letters, not {len(note)}.")
    problems.refuse()
    assert drawing is not None
    share = drawing.head_share_pct if head_share_pct is None else head_share_pct
    hung = load_figure(drawing, read_weighed(figure.guise, figure), head_share=share / 100)
    assert hung is not None
    if costume is not None:
        hung = dress_figure(hung, costume, fit_of(costume))
    row = TrialHang.objects.create(
        figure=figure,
        drawing=drawing,
        costume=costume,
        lean_deg=lean_deg,
        within_deg=within_deg,
        head_share_pct=share,
        hung=keep_hung(hung),
        note=note,
        at=clock.now(),
    )
    _record(figure, user, "trial hang", row, None, snapshot(row), f"hung {figure} on trial")
    return row


@transaction.atomic
def strike_trial(*, trial: TrialHang, user: User) -> None:
    """Strike a trial hang that was measured wrong."""
    _strike(trial, user, "trial hang", f"struck a trial hang of {trial.figure}")


@transaction.atomic
def save_fit(
    *, costume: Costume, user: User, version: int | None, values: dict[str, Any]
) -> CostumeFit:
    """Say how a costume's weight sits on the body, and what it holds. Shares make 100 per cent."""
    row = CostumeFit.objects.filter(costume=costume).first()
    before = snapshot(row) if row else None
    if row is not None:
        claim_version(row, version)
        row.refresh_from_db()
    row = row or CostumeFit(costume=costume)
    for name, value in values.items():
        setattr(row, name, value)
    fit_problems(row).refuse()
    row.save()
    record_change(
        company=costume.guise.character.show.company,
        user=user,
        noun="costume fit",
        row=row.pk,
        before=before,
        after=snapshot(row),
        said=f"said how the {costume} sits",
    )
    return row


def fit_problems(row: CostumeFit) -> Problems:
    """All that is wrong with how a costume would sit."""
    problems = Problems()
    shares = (row.torso_pct, row.head_pct, row.arms_pct, row.legs_pct)
    if sum(shares) != 100:
        problems.add(EVERYWHERE, f"The shares make {sum(shares)} per cent: they must make 100.")
    if abs(row.forward_mm) > 500:
        problems.add("forward_mm", "At most 500 mm either way.")
    return problems


def _height_of(figure: Figure) -> Decimal | None:
    drawing = drawing_of(figure.guise)
    return drawing.height_mm if drawing is not None else None


def _strike(row: Weighing | TrialHang, user: User, noun: str, said: str) -> None:
    if row.struck_at is not None:
        raise ValidationError("It is struck already.")
    before = snapshot(row)
    row.struck_at = clock.now()
    row.save(update_fields=["struck_at"])
    _record(row.figure, user, noun, row, before, snapshot(row), said)


def _record(
    figure: Figure, user: User, noun: str, row: Any, before: Any, after: Any, said: str
) -> None:
    record_change(
        company=figure.show.company,
        user=user,
        noun=noun,
        row=row.pk,
        before=before,
        after=after,
        said=said,
    )
