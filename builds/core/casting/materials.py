"""Finding a material by its key, and laying a company's own numbers over a known one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from builds.core.casting.moulding import MOULDING
from builds.core.casting.pouring import POURING
from builds.core.casting.sculpting import SCULPTING
from builds.core.casting.values import (
    Care,
    Kind,
    Mark,
    Material,
    Mix,
    Span,
    exactly,
)

BY_KIND: Mapping[Kind, Mapping[str, Material]] = {
    Kind.SCULPT: {material.key: material for material in SCULPTING},
    Kind.MOULD: {material.key: material for material in MOULDING},
    Kind.CAST: {material.key: material for material in POURING},
}
DATA_SHEET = "the maker's own data sheet"


def find_material(kind: Kind | str, key: str) -> Material | None:
    """The material of this kind and key, or None where there is none.

    A key is known within its kind: plaster is sculpted, moulded in and cast.

    >>> find_material("cast", "neoprene slip").shrinkage.usual
    0.1
    >>> find_material("mould", "neoprene slip") is None
    True
    """
    return BY_KIND[Kind(kind)].get(key)


def materials_of(kind: Kind | str) -> tuple[Material, ...]:
    """Every known material of a kind, in the order in which they are offered.

    >>> [material.key for material in materials_of("mould")][:2]
    ['plaster', 'sealed plaster']
    """
    return tuple(BY_KIND[Kind(kind)].values())


def own_material(
    key: str,
    name: str,
    kind: Kind | str,
    *,
    like: Material | None = None,
    density: float | None = None,
    shrinkage: float | None = None,
    mix: Mix | None = None,
    pot_min: int | None = None,
    drain_min: int | None = None,
    open_min: int | None = None,
    ready_min: int | None = None,
    measured_by: str = "",
    stays: float | None = None,
    life: int | None = None,
    care: str = "",
    gloves: str = "",
    closed_to: Iterable[Mark] = (),
) -> Material:
    """A company's own material: what it says itself, and for the rest what it is `like`.

    What is given (density in g per ml, shrinkage as a share, times in minutes) is from the data
    sheet and overrides; cautions are added to those of `like`, never put in their place, and so
    are the people to whom it is closed.

    >>> clay = find_material("sculpt", "oil clay")
    >>> own = own_material("own:1", "Grey clay", "sculpt", like=clay, density=1.5)
    >>> own.name, own.density.usual, own.care == clay.care
    ('Grey clay', 1.5, True)
    """
    base = like or Material(key, name, Kind(kind), Care(""))
    if base.kind != Kind(kind):
        raise ValueError(f"like is a material to {base.kind}, not to {kind}")
    times = base.times
    if any(minutes is not None for minutes in (pot_min, drain_min, open_min, ready_min)):
        times = replace(
            times,
            pot_min=_first(pot_min, times.pot_min),
            drain_min=_first(drain_min, times.drain_min),
            open_min=_first(open_min, times.open_min),
            ready_min=_first(ready_min, times.ready_min),
            words="",
            source=DATA_SHEET,
        )
    return replace(
        base,
        key=key,
        name=name,
        density=_over(base.density, density),
        shrinkage=_over(base.shrinkage, shrinkage),
        mix=mix or base.mix,
        times=times,
        measured_by=measured_by or base.measured_by,
        stays=base.stays if stays is None else stays,
        life=_over(base.life, life),
        care=Care(
            " ".join(words for words in (base.care.words, care) if words),
            gloves or base.care.gloves,
            base.care.closed_to | frozenset(closed_to),
        ),
    )


def _first(given: int | None, known: int | None) -> int | None:
    return known if given is None else given


def _over(known: Span | None, given: float | None) -> Span | None:
    return known if given is None else exactly(given, DATA_SHEET)
