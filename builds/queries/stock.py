"""What stands on the shelf: lots with what is left of them, and which are nearly too old."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum

from builds.core.casting.amounts import PLASTERS
from builds.models import Lot, Pour, Taking
from builds.queries.amount_words import is_metric, say_amount
from builds.queries.materials import Materials
from company import clock
from company.models import Company
from company.templatetags.words import and_list, counted, day_span

NEARLY_OLD_DAYS = 30  # common practice, no source
PLASTER_KEEPS_DAYS = 120  # dry plaster on the shelf: shop.brackers.com


@dataclass(frozen=True)
class LotLine:
    """One lot as the shelf shows it. `warning` is '' where nothing is to be said."""

    lot: Lot
    name: str
    left: str
    warning: str
    is_past: bool
    taken: str = ""

    @property
    def words(self) -> str:
        """'latex slip, lot N-114'."""
        return f"{self.name}, lot {self.lot.code}"


def shelf(company: Company, known: Materials) -> list[LotLine]:
    """Every lot on the shelf, by material, the one to use up first on top. One query."""
    today = clock.today(company)
    lines = [
        _line(lot, known, today, metric=is_metric(company))
        for lot in with_takings(Lot.objects.for_company(company).filter(struck_at=None))
    ]
    far = date.max
    return sorted(lines, key=lambda line: (line.name, line.lot.best_before or far, line.lot.pk))


def with_takings(lots: QuerySet[Lot]) -> QuerySet[Lot]:
    """Each lot with how many pours took from it, and how much."""
    stands = Q(takings__struck_at=None)
    return lots.annotate(
        pours=Count("takings", filter=stands), taken=Sum("takings__amount", filter=stands)
    )


def _line(lot: Any, known: Materials, today: date, *, metric: bool) -> LotLine:
    words, is_past = _age(lot, known, today)
    return LotLine(
        lot=lot,
        name=known.label(lot.kind, lot.material),
        left=say_amount(lot.left, lot.unit, metric),
        warning=words,
        is_past=is_past,
        taken=_taken_words(lot, metric) if lot.pours else "",
    )


def _taken_words(lot: Any, metric: bool) -> str:
    """'290 ml taken by 2 pours'."""
    return f"{say_amount(lot.taken, lot.unit, metric)} taken by {counted(lot.pours, 'pour')}"


@dataclass(frozen=True)
class TakenBy:
    """One pour that took from a lot."""

    pour: Pour
    codes: str
    words: str
    short: str


def taken_by(lot: Lot) -> list[TakenBy]:
    """The pours that took from a lot, the last on top. Two queries."""
    metric = is_metric(lot.company)
    rows = Taking.objects.filter(lot=lot, struck_at=None).select_related(
        "pour__mould__pattern__show", "pour__maker"
    )
    rows = rows.prefetch_related("pour__castings__pattern").order_by("-pour__poured_at", "-pk")
    return [
        TakenBy(
            row.pour,
            and_list(c.code for c in row.pour.castings.all() if c.struck_at is None),
            say_amount(row.amount, lot.unit, metric),
            say_amount(row.short, lot.unit, metric) if row.short else "",
        )
        for row in rows
    ]


def _age(lot: Lot, known: Materials, today: date) -> tuple[str, bool]:
    if lot.best_before is not None:
        days = (lot.best_before - today).days
        if days < 0:
            return f"past its best: {counted(-days, 'day')} over. Test a patch or replace it.", True
        if days <= NEARLY_OLD_DAYS:
            left = "its last day is today" if days == 0 else f"{counted(days, 'day')} left"
            return f"nearly old: {left}, until {day_span(lot.best_before)}", False
        return "", False
    like = known.likes.get(lot.material, lot.material)
    if like in PLASTERS and lot.opened_on is not None:
        over = (today - lot.opened_on).days - PLASTER_KEEPS_DAYS
        if over > 0:
            return f"dry plaster keeps about {PLASTER_KEEPS_DAYS} days: pour a trial first", False
    return "", False


def in_stock(company: Company) -> dict[tuple[str, str], dict[str, int]]:
    """What is left of each (kind, material) by unit, but for lots past their best. One query."""
    today = clock.today(company)
    left: dict[tuple[str, str], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for lot in Lot.objects.for_company(company).filter(struck_at=None):
        if lot.best_before is None or lot.best_before >= today:
            left[lot.kind, lot.material][lot.unit] += lot.left
    return {key: dict(units) for key, units in left.items()}


def say_shelf(lines: Iterable[LotLine]) -> str:
    """The sentence on top: what is too old, else what is nearly, else how much there is."""
    found = list(lines)
    if not found:
        return "Nothing is on the shelf yet, and every pair of materials can be asked about."
    past = [line for line in found if line.is_past]
    near = [line for line in found if line.warning and not line.is_past]
    if past:
        more = f", and {counted(len(past) - 1, 'more lot')}" if len(past) > 1 else ""
        return f"Past its best: {past[0].words}{more}."
    if near:
        more = f", and {counted(len(near) - 1, 'more lot')}" if len(near) > 1 else ""
        return f"Nearly old: {near[0].words}{more}."
    return f"{counted(len(found), 'lot')} on the shelf, none near its end."
