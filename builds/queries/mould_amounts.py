"""The amounts of one mould: what was typed for it and what it is made of, for the core."""

from __future__ import annotations

from builds.core.casting.amounts import PLASTERS, Amounts, Setting, Typed, work_out
from builds.core.casting.values import Kind
from builds.core.casting.weighing import round_as_weighed
from builds.models import Mould, MouldAmounts, Part
from builds.queries.materials import Materials
from builds.queries.sculpting import sculpt_scale_of


def amounts_of(mould: Mould) -> MouldAmounts | None:
    """What was typed for a mould, if anything."""
    found: MouldAmounts | None = getattr(mould, "amounts", None)
    return found


def wanted_size(mould: Mould) -> int | None:
    """The finished height of the part in mm, where the guise tells it: only a head's is told."""
    return mould.pattern.made_for.head_mm if mould.pattern.part == Part.HEAD else None


def setting_of(mould: Mould, materials: Materials) -> Setting:
    """What is poured into what, for the core."""
    at = sculpt_scale_of(mould, materials)
    like = materials.likes.get(mould.material, mould.material)
    return Setting(
        mould=materials.find(Kind.MOULD, mould.material),
        cast=materials.find(Kind.CAST, mould.casting_material),
        sculpt=materials.find(Kind.SCULPT, mould.sculpt_material),
        parts=mould.parts,
        cavities=mould.cavities,
        is_plaster=like in PLASTERS,
        shrinkage=at.scale.shrinkage if at else None,
    )


def typed_of(row: MouldAmounts | None, mould: Mould) -> Typed:
    """What was typed, as the core takes it."""
    head_mm = wanted_size(mould)
    if row is None:
        return Typed(head_mm=head_mm)
    return Typed(
        way=row.way,
        known_ml=row.known_ml,
        before_ml=row.before_ml,
        after_ml=row.after_ml,
        mass_g=row.mass_g,
        density=row.density_kg_m3 / 1000 if row.density_kg_m3 else None,
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        height_mm=row.height_mm,
        box_length_mm=row.box_length_mm,
        box_width_mm=row.box_width_mm,
        box_height_mm=row.box_height_mm,
        second_per_100=float(row.second_per_100) if row.second_per_100 is not None else None,
        waste=row.waste_percent / 100,
        stays=row.stays_percent / 100 if row.stays_percent else None,
        head_mm=head_mm,
    )


def fill_of(mould: Mould, amounts: Amounts) -> tuple[float | None, float | None]:
    """What goes in and what stays, in ml: as written on the mould, else as worked out."""
    fill = amounts.fill
    fill_ml = mould.fill_ml if mould.fill_ml is not None else fill.fill_ml if fill else None
    stays_ml = mould.stays_ml if mould.stays_ml is not None else fill.stays_ml if fill else None
    if fill_ml is not None and stays_ml is not None:
        stays_ml = min(stays_ml, fill_ml)
    return fill_ml, stays_ml


def rounded_ml(volume_ml: float | None) -> int | None:
    """A volume as poured, for a column."""
    return None if volume_ml is None else round(round_as_weighed(volume_ml))


def worked_out(mould: Mould, known: Materials) -> Amounts:
    """All amounts of a mould, by what was typed for it."""
    return work_out(typed_of(amounts_of(mould), mould), setting_of(mould, known))
