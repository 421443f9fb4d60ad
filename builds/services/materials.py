"""A company's own materials and pairs: added, changed, struck. Nothing is deleted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from builds.core.casting.materials import find_material
from builds.core.casting.pairs import Verdict
from builds.models import Mould, OwnMaterial, OwnPair
from builds.models.materials import MaterialKind
from builds.queries.materials import Materials
from builds.services.plans import steps_changed
from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Show

MATERIAL_COLUMNS = (
    "kind",
    "name",
    "like",
    "density_kg_m3",
    "shrinkage_permille",
    "second_per_100",
    "mix_by",
    "measured_by",
    "pot_min",
    "drain_min",
    "open_min",
    "ready_min",
    "stays_percent",
    "life",
    "care",
    "gloves",
    "has_latex",
    "is_adults_only",
    "source",
)
PLANNED_BY = ("like", "drain_min", "open_min", "ready_min", "has_latex", "is_adults_only")
PAIR_COLUMNS = ("table", "first", "second", "verdict", "reason", "way")
LONGEST_MIN = 366 * 24 * 60
TABLE_KINDS = {
    OwnPair.Table.SCULPT: (MaterialKind.SCULPT, MaterialKind.MOULD),
    OwnPair.Table.CAST: (MaterialKind.MOULD, MaterialKind.CAST),
}


@transaction.atomic
def add_own_material(
    *, company: Company, user: User | None, values: Mapping[str, Any]
) -> OwnMaterial:
    """Add a material of the company's own. ValidationError by field for all that is wrong."""
    row = OwnMaterial(company=company, **_only(values, MATERIAL_COLUMNS))
    _refuse_material(row)
    row.save()
    _record("own material", row, user)
    return row


@transaction.atomic
def edit_own_material(
    *, material: OwnMaterial, user: User | None, version: int | None, values: Mapping[str, Any]
) -> OwnMaterial:
    """Change what a data sheet says. The kind stays: moulds and pours know it by that."""
    before = snapshot(material)
    claim_version(material, version)
    for name, value in _only(values, MATERIAL_COLUMNS).items():
        if name != "kind":
            setattr(material, name, value)
    _refuse_material(material)
    material.save()
    _record("own material", material, user, before)
    if any(getattr(material, name) != before[name] for name in PLANNED_BY):
        _plan_anew(material)
    return material


def _plan_anew(material: OwnMaterial) -> None:
    """Shows that mould or cast in it wait by its clock, and give it to whom it is open."""
    used = Mould.objects.for_company(material.company).exclude(state=Mould.State.RETIRED)
    used = used.filter(Q(material=material.key) | Q(casting_material=material.key))
    for show in Show.objects.filter(pk__in=used.values("pattern__show")):
        steps_changed(show)


@transaction.atomic
def strike_own_material(*, material: OwnMaterial, user: User | None) -> OwnMaterial:
    """Strike it: it is no longer offered, and keeps its name where it was used."""
    before = snapshot(material)
    claim_version(material, None)
    material.struck_at = clock.now()
    material.save(update_fields=["struck_at"])
    _record("own material", material, user, before)
    return material


@transaction.atomic
def take_back_own_material(*, material: OwnMaterial, user: User | None) -> OwnMaterial:
    """Offer a struck material again."""
    before = snapshot(material)
    material.struck_at = None
    _refuse_material(material)
    claim_version(material, None)
    material.save(update_fields=["struck_at"])
    _record("own material", material, user, before)
    return material


@transaction.atomic
def add_own_pair(*, company: Company, user: User | None, values: Mapping[str, Any]) -> OwnPair:
    """Write down what the company found out about a pair. It goes before the published word."""
    row = OwnPair(company=company, **_only(values, PAIR_COLUMNS))
    _refuse_pair(row)
    row.save()
    _record("own pair", row, user)
    return row


@transaction.atomic
def edit_own_pair(
    *, pair: OwnPair, user: User | None, version: int | None, values: Mapping[str, Any]
) -> OwnPair:
    """Change verdict, reason and way round; the two materials stay."""
    before = snapshot(pair)
    claim_version(pair, version)
    for name, value in _only(values, ("verdict", "reason", "way")).items():
        setattr(pair, name, value)
    _refuse_pair(pair)
    pair.save()
    _record("own pair", pair, user, before)
    return pair


@transaction.atomic
def strike_own_pair(*, pair: OwnPair, user: User | None) -> OwnPair:
    """Strike an own pair: the published word holds again."""
    before = snapshot(pair)
    claim_version(pair, None)
    pair.struck_at = clock.now()
    pair.save(update_fields=["struck_at"])
    _record("own pair", pair, user, before)
    return pair


def material_problems(row: OwnMaterial) -> dict[str, list[str]]:
    """Everything wrong with an own material, by field."""
    wrong: dict[str, list[str]] = {}
    row.name = tidy_name(row.name or "")
    row.name_key = name_key(row.name)
    if not row.name:
        wrong["name"] = ["Give it the name that stands on the bucket."]
    elif len(row.name) > 60:
        wrong["name"] = [f"At most 60 letters, not {len(row.name)}."]
    if row.kind not in MaterialKind.values:
        wrong["kind"] = ["Say what it is for: to sculpt, to mould or to cast in."]
        return wrong
    others = OwnMaterial.objects.for_company(row.company).filter(
        kind=row.kind, name_key=row.name_key, struck_at=None
    )
    if "name" not in wrong and others.exclude(pk=row.pk).exists():
        wrong["name"] = ["There is a material of this name already."]
    if row.like and find_material(row.kind, row.like) is None:
        wrong["like"] = ["Choose one of the known materials of the same use, or none."]
    wrong |= _number_problems(row)
    return wrong


def _number_problems(row: OwnMaterial) -> dict[str, list[str]]:
    reach: dict[str, tuple[float, float, str]] = {
        "density_kg_m3": (10, 25_000, "A density runs from 10 to 25 000 g per litre."),
        "shrinkage_permille": (-499, 499, "A shrinkage lies between -49.9 and 49.9 %."),
        "second_per_100": (0.01, 1000, "The second part to 100 of the first: above 0, at most "
                           "1000."),
        "stays_percent": (1, 100, "Of a hundred parts 1 to 100 stay in the mould."),
        "life": (1, 10_000, "A mould is good for 1 to 10 000 castings."),
        "pot_min": (1, LONGEST_MIN, "A pot life is at least a minute, at most a year."),
        "drain_min": (1, LONGEST_MIN, "It is poured out after a minute at least, a year at most."),
        "open_min": (1, LONGEST_MIN, "It is opened after a minute at least, a year at most."),
        "ready_min": (0, LONGEST_MIN, "It is hard at once, or after a year at most."),
    }  # fmt: skip
    wrong = {}
    for name, (least, most, words) in reach.items():
        value = getattr(row, name)
        if value is not None and not least <= value <= most:
            wrong[name] = [words]
    if row.second_per_100 is not None and not row.mix_by and not _like_has_mix(row):
        wrong["mix_by"] = ["Say whether its parts go by weight or by volume."]
    return wrong


def _like_has_mix(row: OwnMaterial) -> bool:
    like = find_material(row.kind, row.like) if row.like else None
    return like is not None and like.mix is not None


def pair_problems(row: OwnPair) -> dict[str, list[str]]:
    """Everything wrong with an own pair, by field."""
    wrong: dict[str, list[str]] = {}
    if row.table not in OwnPair.Table.values:
        return {"table": ["Say which two meet: sculpt and mould, or mould and casting."]}
    known = Materials(row.company)
    first, second = TABLE_KINDS[OwnPair.Table(row.table)]
    for name, kind in (("first", first), ("second", second)):
        if known.find(kind, getattr(row, name)) is None:
            wrong[name] = ["Choose one of the materials."]
    if row.verdict not in list(Verdict):
        wrong["verdict"] = ["Say what comes of it: yes, seal first, test a patch or no."]
    if not (row.reason or "").strip():
        wrong["reason"] = ["Say how you know: what was tried, when, with which lot."]
    elif len(row.reason) > 200:
        wrong["reason"] = [f"At most 200 letters, not {len(row.reason)}."]
    if len(row.way or "") > 200:
        wrong["way"] = [f"At most 200 letters, not {len(row.way)}."]
    others = OwnPair.objects.for_company(row.company).filter(
        table=row.table, first=row.first, second=row.second, struck_at=None
    )
    if not wrong and others.exclude(pk=row.pk).exists():
        wrong["second"] = ["This pair is written down already: change that line."]
    return wrong


def _refuse_material(row: OwnMaterial) -> None:
    if wrong := material_problems(row):
        raise ValidationError(wrong)


def _refuse_pair(row: OwnPair) -> None:
    if wrong := pair_problems(row):
        raise ValidationError(wrong)


def _only(values: Mapping[str, Any], columns: tuple[str, ...]) -> dict[str, Any]:
    return {name: values[name] for name in columns if name in values}


def _record(
    noun: str,
    row: OwnMaterial | OwnPair,
    user: User | None,
    before: dict[str, Any] | None = None,
) -> None:
    record_change(
        company=row.company, user=user, noun=noun, row=row.pk, before=before, after=snapshot(row)
    )
