"""Materials as a company has them: the known ones, its own over them, its pairs, its stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from builds.core.casting.amounts import PLASTERS
from builds.core.casting.materials import find_material, materials_of, own_material
from builds.core.casting.pairs import Pair, Verdict
from builds.core.casting.values import Kind, Mark, Material, Mix
from builds.core.casting.will_it_set import Answer, OwnPairs, judge
from builds.models import OwnMaterial, OwnPair
from builds.models.materials import OWN
from company.models import Company

Stock = tuple[str, str]  # what for and which: how a lot on the shelf is known
SHELF_PLASTER: Stock = (Kind.MOULD.value, "plaster")  # one bag serves moulds and castings
CLOSED_WORDS = {
    Mark.LATEX_ALLERGY: "anyone with a latex allergy",
    Mark.UNDER_18: "anyone under 18",
}


@dataclass(frozen=True)
class CastingTimes:
    """The clock of a casting material, in minutes: drained after pouring, opened after that."""

    label: str = ""
    drain_min: int | None = None
    open_min: int | None = None
    cure_min: int | None = None
    rest_min: int | None = None
    has_latex: bool = False
    dry_every: int | None = None
    shrinkage: float | None = None

    @property
    def one_a_day(self) -> bool:
        """Whether a mould rests until the next day between pours of it."""
        return self.rest_min is not None

    @property
    def shrinkage_permille(self) -> int | None:
        """Thousandths of a length; None where it is not known."""
        return None if self.shrinkage is None else round(self.shrinkage * 1000)


@dataclass(frozen=True)
class MouldFacts:
    """What a mould material asks for: minutes until first use, castings it is good for."""

    label: str = ""
    dry_min: int | None = None
    life: int | None = None


class Materials:
    """The materials of a company, read once: two queries, and only when they are asked for."""

    def __init__(self, company: Company) -> None:
        self.company = company

    @cached_property
    def own(self) -> dict[str, OwnMaterial]:
        """Own materials by key, struck ones too: what was poured in one keeps its name."""
        return {row.key: row for row in OwnMaterial.objects.for_company(self.company)}

    @cached_property
    def pairs(self) -> list[OwnPair]:
        """Own pairs not struck."""
        return list(OwnPair.objects.for_company(self.company).filter(struck_at=None))

    @cached_property
    def own_pairs(self) -> OwnPairs:
        """Own pairs as the core judges by them."""
        tables: Mapping[str, dict[tuple[str, str], Pair]] = {"sculpt": {}, "cast": {}}
        for row in self.pairs:
            pair = Pair(Verdict(row.verdict), row.reason, row.way, "written down by the company")
            tables[row.table][(row.first, row.second)] = pair
        return OwnPairs(tables["sculpt"], tables["cast"])

    @cached_property
    def likes(self) -> dict[str, str]:
        """What each own material is like, by key."""
        return {key: row.like for key, row in self.own.items() if row.like}

    def stock_of(self, kind: Kind | str, key: str) -> Stock:
        """Under which material its lots stand on the shelf."""
        like = self.likes.get(key, key) if key.startswith(OWN) else key
        return SHELF_PLASTER if like in PLASTERS else (Kind(kind).value, key)

    def find(self, kind: Kind | str, key: str) -> Material | None:
        """The material, the company's own numbers over the known ones."""
        if not key.startswith(OWN):
            return find_material(kind, key)
        row = self.own.get(key)
        return _own_value(row) if row is not None and row.kind == kind else None

    def label(self, kind: Kind | str, key: str) -> str:
        """What the maker calls it; '' where nothing is chosen, the key where nobody knows it."""
        material = self.find(kind, key)
        return material.name if material else key

    def choices(self, kind: Kind | str, *, keep: str = "") -> list[tuple[str, str]]:
        """Keys and names to choose from, own ones first; `keep` stays though it is struck."""
        own = [
            (row.key, row.name)
            for row in self.own.values()
            if row.kind == kind and (row.struck_at is None or row.key == keep)
        ]
        return own + [(material.key, material.name) for material in materials_of(kind)]

    def of_kind(self, kind: Kind | str) -> list[Material]:
        """The materials to choose from."""
        found = [self.find(kind, key) for key, _ in self.choices(kind)]
        return [material for material in found if material is not None]

    def judge(self, sculpt: str, mould: str, cast: str) -> Answer:
        """Will it set: the answer for the keys chosen, '' where nothing is."""
        return judge(
            self.find(Kind.SCULPT, sculpt),
            self.find(Kind.MOULD, mould),
            self.find(Kind.CAST, cast),
            own=self.own_pairs,
            likes=self.likes,
        )


def _own_value(row: OwnMaterial) -> Material:
    like = find_material(row.kind, row.like) if row.like else None
    marks = [Mark.LATEX_ALLERGY] * row.has_latex + [Mark.UNDER_18] * row.is_adults_only
    value: Material = own_material(
        row.key,
        row.name,
        row.kind,
        like=like,
        density=row.density_kg_m3 / 1000 if row.density_kg_m3 else None,
        shrinkage=row.shrinkage_permille / 1000 if row.shrinkage_permille is not None else None,
        mix=_own_mix(row, like),
        pot_min=row.pot_min,
        drain_min=row.drain_min,
        open_min=row.open_min,
        ready_min=row.ready_min,
        measured_by=row.measured_by,
        stays=row.stays_percent / 100 if row.stays_percent else None,
        life=row.life,
        care=row.care,
        gloves=row.gloves,
        closed_to=marks,
    )
    return value


def _own_mix(row: OwnMaterial, like: Material | None) -> Mix | None:
    if row.second_per_100 is None:
        return None
    known = like.mix if like else None
    names = known.names if known and len(known.names) == 2 else ("part A", "part B")
    by = row.mix_by or (known.by if known else "weight")
    least_g = known.least_g if known else 0
    return Mix(names, (100.0, float(row.second_per_100)), by, row.source or "data sheet", least_g)


def casting_times(
    company: Company, key: str, *, materials: Materials | None = None
) -> CastingTimes:
    """The clock of a casting material; all unknown where the key is."""
    material = (materials or Materials(company)).find(Kind.CAST, key)
    if material is None:
        return CastingTimes(label=key)
    times = material.times
    return CastingTimes(
        label=material.name,
        drain_min=times.drain_min,
        open_min=times.open_min,
        cure_min=times.ready_min,
        rest_min=times.rest_min,
        has_latex=Mark.LATEX_ALLERGY in material.care.closed_to,
        dry_every=material.dry_every,
        shrinkage=material.shrinkage.usual if material.shrinkage else None,
    )


def mould_facts(company: Company, key: str, *, materials: Materials | None = None) -> MouldFacts:
    """What a mould material asks for: drying, else curing, before its first use."""
    material = (materials or Materials(company)).find(Kind.MOULD, key)
    if material is None:
        return MouldFacts(label=key)
    waits = material.times.ready_min
    return MouldFacts(
        label=material.name,
        dry_min=waits if waits is not None else material.times.open_min,
        life=round(material.life.usual) if material.life else None,
    )


def material_choices(
    company: Company, kind: str, *, keep: str = "", materials: Materials | None = None
) -> list[tuple[str, str]]:
    """Keys and names of a kind to choose from, the company's own first."""
    return (materials or Materials(company)).choices(kind, keep=keep)


def material_label(
    company: Company, kind: str, key: str, *, materials: Materials | None = None
) -> str:
    """What the maker calls the material of this key."""
    return (materials or Materials(company)).label(kind, key)


def closed_words(material: Material) -> list[str]:
    """To whom a material is closed, in words."""
    return [words for mark, words in CLOSED_WORDS.items() if mark in material.care.closed_to]
