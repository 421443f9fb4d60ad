"""Where a lot went: its pours, castings and figures; and the lots used lately."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Max, Q

from builds.models import Casting, Figure, Mould, Pour
from scenes.models import Show

MOST_LOTS = 40
MOST_OFFERED = 8


@dataclass(frozen=True)
class LotUse:
    """A lot with the number of pours it went into."""

    lot: str
    pours: int


@dataclass(frozen=True)
class Lots:
    """What is known of the lots of a company's shows, or of the one that was asked for."""

    lots: tuple[LotUse, ...]
    pours: tuple[Pour, ...]
    figures: tuple[Figure, ...]
    lying: tuple[Casting, ...]
    thrown: int
    lede: str


def read_lots(show: Show, asked: str) -> Lots:
    """Pours of the lots whose name holds `asked`, in all shows of the company; flat queries."""
    poured = Pour.objects.for_company(show.company).filter(poured_at__isnull=False)
    rows = poured.exclude(lot="").values_list("lot").annotate(n=Count("pk"), last=Max("poured_at"))
    lots = tuple(LotUse(lot, number) for lot, number, _ in rows.order_by("-last")[:MOST_LOTS])
    if not asked:
        return Lots(lots, (), (), (), 0, _no_lot_words(lots))
    found = list(
        poured.filter(lot__icontains=asked)
        .select_related("mould__pattern__show", "maker")
        .prefetch_related("castings__pattern", "castings__figure__guise__character")
        .order_by("-poured_at")
    )
    castings = [c for p in found for c in p.castings.all() if c.struck_at is None]
    figures = {c.figure.pk: c.figure for c in castings if c.figure is not None}
    lying = tuple(c for c in castings if c.place and c.result != Casting.Result.THROWN)
    thrown = sum(c.result == Casting.Result.THROWN for c in castings)
    return Lots(
        lots,
        tuple(found),
        tuple(sorted(figures.values(), key=lambda f: (f.letters, f.number))),
        lying,
        thrown,
        _words(asked, len(found), len(figures), len(lying), thrown),
    )


def _no_lot_words(lots: tuple[LotUse, ...]) -> str:
    if not lots:
        return "No lot is on record yet: it is written down with a pour."
    return "Which lot? A bad one lists every figure it is in."


def _words(asked: str, pours: int, figures: int, lying: int, thrown: int) -> str:
    if not pours:
        return f"No pour of a lot '{asked}' is on record."
    said = [_counted(figures, "figure"), _counted(lying, "casting") + " on the shelf"]
    if thrown:
        said.append(f"{thrown} thrown out")
    return f"Lot '{asked}' went into {_counted(pours, 'pour')}: {', '.join(said)}."


def _counted(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'' if number == 1 else 's'}"


def last_used(mould: Mould) -> tuple[list[str], list[str]]:
    """Lots and mixes used lately for the mould's casting material, this mould's own first."""
    rows = (
        Pour.objects.for_company(mould.pattern.show.company)
        .filter(Q(mould=mould) | Q(material=mould.casting_material), poured_at__isnull=False)
        .filter(struck_at=None)
        .order_by("-poured_at")
        .values_list("mould_id", "lot", "mix")[:50]
    )
    own_first = sorted(rows, key=lambda row: row[0] != mould.pk)
    lots = list(dict.fromkeys(lot for _, lot, _ in own_first if lot))
    mixes = list(dict.fromkeys(mix for _, _, mix in own_first if mix))
    return lots[:MOST_OFFERED], mixes[:MOST_OFFERED]
