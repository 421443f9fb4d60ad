"""Which lots a pour takes from: those named, what is left of them, and what is missing."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q
from django.utils.text import capfirst

from builds.core.casting.taking import Left, take_out
from builds.core.casting.values import Kind
from builds.models import Lot, Mould, Pour, Taking
from builds.queries.amount_words import is_metric, say_amount
from builds.queries.materials import Materials
from builds.queries.mould_amounts import worked_out
from builds.queries.takes import pour_takes
from company import clock
from company.models import Company
from company.templatetags.words import and_list

NOT_KNOWN = "how much a pour takes is not known"


@dataclass(frozen=True, slots=True)
class Asked:
    """How much a pour takes for good, in g or ml; `fill` is what must be at hand for it."""

    amount: int
    unit: str
    fill: int = 0
    is_guess: bool = False


@dataclass(frozen=True)
class TakePlan:
    """What would come out of which lot.

    `elsewhere` are lots named that do not stand on the shelf, `counted` those whose rest was
    written down after the pour: it lacks what the pour took. From neither anything is taken.
    """

    asked: Asked | None
    shares: tuple[tuple[Lot, int], ...] = ()
    missing: int = 0
    elsewhere: tuple[str, ...] = ()
    counted: tuple[Lot, ...] = ()
    unlike: tuple[Lot, ...] = ()

    def short_words(self, company: Company) -> str:
        """Why it cannot be so: 'Lot N-114 has 100 ml left, and this pour takes 215 ml.'."""
        assert self.asked is not None
        metric = is_metric(company)
        held = and_list(
            f"{lot} has {say_amount(lot.left, lot.unit, metric)} left" for lot, _ in self.shares
        )
        takes = say_amount(self.asked.amount, self.asked.unit, metric)
        return f"{capfirst(held)}, and this pour takes {takes}."

    def unlike_words(self) -> str:
        """Why an amount is asked for: a lot by volume where the mix is weighed."""
        lot = self.unlike[0]
        words = f"lot {lot.code} is measured {lot.get_unit_display()}"
        return f"{capfirst(words)}: say how much of it was taken."

    @property
    def nothing_words(self) -> str:
        """Why nothing came off the shelf; '' where something did, or nothing was to."""
        if self.shares:
            return ""
        if self.counted:
            return f"what is left of {and_list(map(str, self.counted))} was written down afterwards"
        if self.elsewhere:
            return f"{and_list(f'lot {code}' for code in self.elsewhere)} is not on the shelf"
        return NOT_KNOWN if self.asked is None else ""


@dataclass(frozen=True)
class TakingLine:
    """What was taken from one lot, in the company's units."""

    taking: Taking
    words: str
    left: str
    short: str

    @property
    def sentence(self) -> str:
        """'135 ml from lot N-114, 535 ml left'."""
        return f"{self.words} from {self.taking.lot}, {self.left} left"


def asked_of(mould: Mould, known: Materials, cast: str = "") -> Asked | None:
    """What one pour takes by what was measured; None where nobody knows, or of another material."""
    if cast not in ("", mould.casting_material):
        return None
    amounts = worked_out(mould, known)
    found = pour_takes(mould, amounts, known)
    if not found:
        return None
    _, use = found[0]
    is_guess = amounts.is_guess and mould.fill_ml is None
    return Asked(round(use.used), use.unit, round(use.at_hand), is_guess)


def lots_of(company: Company, cast: str, known: Materials) -> list[Lot]:
    """Every lot of a casting material, taken off the shelf or not. One query."""
    kind, key = known.stock_of(Kind.CAST, cast)
    rows = Lot.objects.for_company(company).filter(
        Q(kind=kind, material=key) | Q(kind=Kind.CAST, material=cast)
    )
    return list(rows.order_by("pk"))


def lots_open(company: Company, cast: str, known: Materials | None = None) -> list[str]:
    """Lots of a casting material on the shelf, opened ones first, none past its best-before."""
    lots = lots_of(company, cast, known or Materials(company))
    return [lot.code for lot in on_shelf(lots, clock.today(company))]


def on_shelf(lots: Iterable[Lot], today: date) -> list[Lot]:
    """Those to pour from: something is left and none is past its best; opened ones first."""
    good = [
        lot
        for lot in lots
        if lot.struck_at is None and lot.left and (lot.best_before or date.max) >= today
    ]
    return sorted(
        good, key=lambda lot: (lot.opened_on is None, lot.best_before or date.max, lot.pk)
    )


def plan_taking(
    lots: Iterable[Lot], named: str, asked: Asked | None, at: datetime, density: float | None
) -> TakePlan:
    """What a pour at an instant takes from the lots named: 'N-114', or 'N-114, N-120' in turn.

    `lots` are those of its material, `density` that of the material in g per ml.
    """
    standing = {lot.code.casefold(): lot for lot in lots if lot.struck_at is None}
    codes = codes_named(named, standing)
    found = [standing[code.casefold()] for code in codes if code.casefold() in standing]
    elsewhere = tuple(code for code in codes if code.casefold() not in standing)
    counted = tuple(lot for lot in found if _counted_after(lot, at))
    takes = [lot for lot in found if lot not in counted]
    if asked is None or not takes:
        return TakePlan(asked, elsewhere=elsewhere, counted=counted)
    unlike = tuple(lot for lot in takes if lot.unit != asked.unit) if density is None else ()
    if unlike:
        return TakePlan(asked, elsewhere=elsewhere, counted=counted, unlike=unlike)
    out = take_out(asked.amount, asked.unit, [Left(x.left, x.unit) for x in takes], density)
    # What is missing came from a lot named beside it of which nothing is written down.
    missing = 0 if elsewhere or counted else out.missing
    return TakePlan(asked, tuple(zip(takes, out.amounts, strict=True)), missing, elsewhere, counted)


def density_of(cast: str, known: Materials) -> float | None:
    """The density of a casting material in g per ml, where it is known."""
    material = known.find(Kind.CAST, cast)
    return material.density.usual if material is not None and material.density else None


def codes_named(named: str, standing: Container[str]) -> list[str]:
    """The lots that a text names, one after the other; `standing` are those of small letters."""
    whole = named.strip()
    if not whole or whole.casefold() in standing:
        return [whole] if whole else []
    parts = (part.strip() for part in re.split(r"[,;+]", whole))
    return list(dict.fromkeys(part for part in parts if part))


def _counted_after(lot: Lot, at: datetime) -> bool:
    """Whether its rest was written down after an instant; a pour's time is told to the minute."""
    return lot.counted_at is not None and lot.counted_at.replace(second=0, microsecond=0) > at


def read_takings(pour: Pour) -> tuple[TakingLine, ...]:
    """What a pour took, lot by lot. One query."""
    metric = is_metric(pour.mould.pattern.show.company)
    rows = Taking.objects.filter(pour=pour, struck_at=None).select_related("lot")
    return tuple(
        TakingLine(
            row,
            say_amount(row.amount, row.lot.unit, metric),
            say_amount(row.lot.left, row.lot.unit, metric),
            say_amount(row.short, row.lot.unit, metric) if row.short else "",
        )
        for row in rows
    )
