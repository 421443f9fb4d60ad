"""What a mould is sculpted, moulded and cast in, and the amounts typed for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core.casting.amounts import Amounts, work_out
from builds.core.casting.values import Kind
from builds.models import Mould, MouldAmounts
from builds.queries.materials import Materials
from builds.queries.mould_amounts import rounded_ml, setting_of, typed_of
from builds.services.plans import steps_changed
from company import clock
from company.models import User
from company.services.changes import StaleEdit, claim_version, record_change, snapshot

TYPED = (
    "way",
    "known_ml",
    "before_ml",
    "after_ml",
    "mass_g",
    "density_kg_m3",
    "length_mm",
    "width_mm",
    "height_mm",
    "box_length_mm",
    "box_width_mm",
    "box_height_mm",
    "second_per_100",
    "waste_percent",
    "stays_percent",
)
# The core speaks of shares and of g per ml; the fields are in hundredths and g per litre.
_FIELD_OF = {"stays": "stays_percent", "density": "density_kg_m3"}


@transaction.atomic
def choose_materials(
    *,
    mould: Mould,
    user: User | None,
    version: int | None,
    sculpt: str,
    moulded: str,
    cast: str,
    shrinkage_permille: int | None = None,
) -> Mould:
    """Choose what it is sculpted, moulded and cast in; the maker decides, whatever warns.

    `shrinkage_permille` is that of a trial bar, None to go by the material.
    """
    before = snapshot(mould)
    company = mould.pattern.show.company
    known = Materials(company)
    _refuse_unknown(known, mould, sculpt, moulded, cast, shrinkage_permille)
    claim_version(mould, version)
    if (moulded, cast) != (mould.material, mould.casting_material):
        steps_changed(mould.pattern.show)  # another material dries, opens and cures otherwise
    mould.sculpt_material, mould.material, mould.casting_material = sculpt, moulded, cast
    mould.shrinkage_permille = shrinkage_permille
    row = MouldAmounts.objects.filter(mould=mould).first()
    if row is not None:
        # What was measured stays true of another material; what goes in and stays does not.
        _write_filling(mould, work_out(typed_of(row, mould), setting_of(mould, known)))
    mould.save(
        update_fields=[
            "sculpt_material",
            "material",
            "casting_material",
            "shrinkage_permille",
            "fill_ml",
            "stays_ml",
        ]
    )
    record_change(
        company=company,
        user=user,
        noun="mould",
        row=mould.pk,
        before=before,
        after=snapshot(mould),
    )
    return mould


def _refuse_unknown(
    known: Materials,
    mould: Mould,
    sculpt: str,
    moulded: str,
    cast: str,
    shrinkage_permille: int | None,
) -> None:
    wrong: dict[str, list[str]] = {}
    for field, kind, key, stands in (
        ("sculpt", Kind.SCULPT, sculpt, mould.sculpt_material),
        ("moulded", Kind.MOULD, moulded, mould.material),
        ("cast", Kind.CAST, cast, mould.casting_material),
    ):
        if key and key != stands and known.find(kind, key) is None:
            wrong[field] = ["Choose one of the materials."]
    if not moulded:
        wrong["moulded"] = ["Say what it is moulded in."]
    if shrinkage_permille is not None and not -500 < shrinkage_permille < 500:
        wrong["shrinkage_permille"] = ["A shrinkage lies between -49.9 and 49.9 %."]
    if wrong:
        raise ValidationError(wrong)


@transaction.atomic
def set_amounts(
    *, mould: Mould, user: User | None, version: int | None, values: Mapping[str, Any]
) -> MouldAmounts:
    """Keep what was typed, and write what goes in and what stays on the mould itself.

    ValidationError by field where a number cannot be right: nothing is kept then. `version` is
    that of the amounts, 0 where there were none; StaleEdit where somebody was quicker.
    """
    row = MouldAmounts.objects.select_for_update().filter(mould=mould).first()
    before = snapshot(row) if row else None
    if row is None:
        if version:
            raise StaleEdit(mould)
        row = MouldAmounts(mould=mould)
    elif version == 0:
        raise StaleEdit(row)
    else:
        claim_version(row, version)
    for name in TYPED:
        if name in values:
            setattr(row, name, values[name])
    if row.waste_percent is None:
        row.waste_percent = 0
    amounts = _refuse_absurd(row, mould)
    row.at, row.by = clock.now(), user
    row.save()
    stood = (mould.fill_ml, mould.stays_ml)
    _write_filling(mould, amounts)
    if (mould.fill_ml, mould.stays_ml) != stood:
        claim_version(mould, None)
        mould.save(update_fields=["fill_ml", "stays_ml"])
    record_change(
        company=mould.pattern.show.company,
        user=user,
        noun="mould amounts",
        row=mould.pk,
        before=before,
        after=snapshot(row) | {"fill_ml": mould.fill_ml, "stays_ml": mould.stays_ml},
    )
    return row


def _write_filling(mould: Mould, amounts: Amounts) -> None:
    """What goes in and what stays, where it was measured; a guess is never written down."""
    fill = amounts.fill
    if fill is not None and not amounts.is_guess:
        mould.fill_ml, mould.stays_ml = rounded_ml(fill.fill_ml), rounded_ml(fill.stays_ml)


def _refuse_absurd(row: MouldAmounts, mould: Mould) -> Amounts:
    wrong = _out_of_reach(row)
    if wrong:
        raise ValidationError(wrong)
    known = Materials(mould.pattern.show.company)
    try:
        amounts = work_out(typed_of(row, mould), setting_of(mould, known))
    except ValueError as absurd:
        raise ValidationError(str(absurd)) from absurd
    if amounts.faults:
        raise ValidationError(
            {_FIELD_OF.get(name, name): [words] for name, words in amounts.faults.items()}
        )
    return amounts


def _out_of_reach(row: MouldAmounts) -> dict[str, list[str]]:
    """Numbers that no part of a puppet has."""
    reach: dict[str, tuple[int, int, str]] = {
        "known_ml": (1, 200_000, "A part holds between 1 ml and 200 litres."),
        "before_ml": (0, 400_000, "A bucket holds between nothing and 400 litres."),
        "after_ml": (1, 400_000, "A bucket holds between 1 ml and 400 litres."),
        "mass_g": (1, 100_000, "A sculpt weighs between 1 g and 100 kg."),
        "density_kg_m3": (10, 25_000, "A density runs from 10 to 25 000 g per litre."),
        "waste_percent": (0, 100, "The waste runs from 0 to 100 of a hundred."),
        "stays_percent": (1, 100, "Of a hundred parts 1 to 100 stay in the mould."),
    }
    for name, noun in (
        ("length_mm", "A part is"),
        ("width_mm", "A part is"),
        ("height_mm", "A part is"),
        ("box_length_mm", "A mould box is"),
        ("box_width_mm", "A mould box is"),
        ("box_height_mm", "A mould box is"),
    ):
        reach[name] = (1, 2000, f"{noun} between 1 mm and 2 m.")
    wrong = {}
    for name, (least, most, words) in reach.items():
        value = getattr(row, name)
        if value is not None and not least <= value <= most:
            wrong[name] = [words]
    return wrong
