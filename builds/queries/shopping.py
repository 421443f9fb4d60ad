"""What to buy for the next weeks of the plan: pours, moulds and sculpts against the shelf."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from django.utils.text import capfirst

from builds.core.casting.shopping import Need, Use, add_up, to_buy
from builds.models import Mould, Plan, PlannedStep, Step
from builds.queries.amount_words import is_metric, say_amount
from builds.queries.materials import Materials
from builds.queries.mould_amounts import worked_out
from builds.queries.plans import latest_plan, pinned_up_plan
from builds.queries.sheets.planned_cards import moulding_stages
from builds.queries.stock import LotLine, in_stock, shelf
from builds.queries.takes import mould_takes, pour_takes, sculpt_takes
from company import clock
from company.models import Company
from company.templatetags.words import counted, day_span, full_day
from scenes.models import Show

WEEKS_OFFERED = (2, 4, 8)
USUAL_WEEKS = 4


@dataclass(frozen=True)
class ShoppingLine:
    """One material: what is wanted, what is there, what to buy."""

    name: str
    wanted: str
    there: str
    buy: str
    why: str
    first: date
    is_short: bool
    is_guess: bool
    lots: tuple[LotLine, ...] = ()


@dataclass(frozen=True)
class Unknown:
    """A pour, mould or sculpt that nobody has measured, or whose material is not chosen."""

    words: str
    mould_pk: int


@dataclass(frozen=True)
class HandLine:
    """Tools and material that a stage asks for, as its route says."""

    stage: str
    tools: str
    first: date


@dataclass(frozen=True)
class Shopping:
    """The list of one show for so many weeks."""

    show: Show
    weeks: int
    until: date
    has_plan: bool
    is_pinned_up: bool
    lines: tuple[ShoppingLine, ...]
    unknown: tuple[Unknown, ...]
    hand: tuple[HandLine, ...]

    @property
    def short(self) -> tuple[ShoppingLine, ...]:
        """What is missing."""
        return tuple(line for line in self.lines if line.is_short)

    @property
    def lede(self) -> str:
        """The sentence on top."""
        if not self.has_plan:
            return "There is no plan yet, so nobody knows what to buy for when."
        until = day_span(self.until)
        if self.short:
            first = min(self.short, key=lambda line: line.first)
            rest = len(self.short) - 1
            more = f", and {counted(rest, 'more material')}" if rest else ""
            return f"Buy {first.buy} of {first.name} before {day_span(first.first)}{more}."
        if self.lines and self.unknown:
            missing = counted(len(self.unknown), "amount")
            return f"What is known is on the shelf until {until}; {missing} not known yet."
        if self.lines:
            return f"All is on the shelf for the pours, moulds and sculpts until {until}."
        if self.unknown:
            return f"Amounts are still missing for what is planned until {until}."
        return f"Nothing is poured, moulded or sculpted until {until}."


@dataclass(frozen=True)
class ShoppingSheet:
    """The list on paper."""

    shopping: Shopping
    printed_from: str

    @property
    def show(self) -> str:
        """Whose it is."""
        return self.shopping.show.title

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: what to buy"


def shopping_sheet(shopping: Shopping) -> ShoppingSheet:
    """The list with what it was printed from."""
    plan = "pinned-up plan" if shopping.is_pinned_up else "draft plan, not pinned up"
    printed = full_day(clock.today(shopping.show.company))
    return ShoppingSheet(shopping, f"{plan}, printed {printed}")


@dataclass(frozen=True)
class _Taken:
    """What one planned step takes of one material."""

    stock: tuple[str, str]
    use: Use
    what: str
    first: date
    is_guess: bool


def read_shopping(
    show: Show, weeks: int = USUAL_WEEKS, *, only_pinned_up: bool = False
) -> Shopping:
    """What the plan's next weeks take. A flat number of queries, whatever the plan holds.

    The newest plan, or the pinned-up one alone: what was poured and failed since it was pinned up
    is in the newest only.
    """
    company = show.company
    today = clock.today(company)
    until = today + timedelta(days=7 * weeks - 1)
    plan = pinned_up_plan(show) if only_pinned_up else latest_plan(show)
    if plan is None or plan.status == "none":
        return Shopping(show, weeks, until, False, False, (), (), ())
    known = Materials(company)
    rows = _coming(plan, today, until, company)
    moulds = _moulds_of(rows, show)
    taken: list[_Taken] = []
    unknown: list[Unknown] = []
    for step, first in rows:
        mould, part = moulds.get(step.pk, (None, ""))
        if mould is not None:
            _take(mould, part, first, known, taken, unknown)
    return Shopping(
        show=show,
        weeks=weeks,
        until=until,
        has_plan=True,
        is_pinned_up=plan.is_pinned_up,
        lines=tuple(_lines(taken, known, company)),
        unknown=tuple(dict.fromkeys(unknown)),
        hand=_hand(rows),
    )


def _coming(plan: Plan, today: date, until: date, company: Company) -> list[tuple[Step, date]]:
    """Steps of the plan that begin until a day, each once, with its first day."""
    zone = ZoneInfo(company.time_zone)
    rows = PlannedStep.objects.filter(
        plan=plan, step__finished_at=None, step__struck_at=None
    ).select_related("step__stage", "step__pour", "step__mould")
    first: dict[int, tuple[Step, date]] = {}
    for row in rows.order_by("start", "pk"):
        day = max(row.start.astimezone(zone).date(), today)
        if day <= until and row.step_id not in first:
            first[row.step_id] = (row.step, day)
    return list(first.values())


def _moulds_of(
    rows: Iterable[tuple[Step, date]], show: Show
) -> dict[int, tuple[Mould | None, str]]:
    """By step: the mould that it pours, makes or sculpts for, and which of the three."""
    moulds = list(
        Mould.objects.filter(pattern__show=show)
        .exclude(state=Mould.State.RETIRED)
        .select_related("pattern__show__company", "pattern__made_for__character", "amounts")
        .order_by("number")
    )
    by_pk = {mould.pk: mould for mould in moulds}
    newest = {mould.pattern_id: mould for mould in moulds}
    making = moulding_stages(show)
    found: dict[int, tuple[Mould | None, str]] = {}
    for step, _ in rows:
        if step.pour is not None:
            found[step.pk] = (by_pk.get(step.pour.mould_id), "pour")
        elif step.mould_id is not None:
            found[step.pk] = (by_pk.get(step.mould_id), "mould")
        elif step.pattern_id is not None and step.stage_id in making:
            found[step.pk] = (newest.get(step.pattern_id), "mould")
        elif step.pattern_id is not None and step.stage.key.startswith("sculpt"):
            found[step.pk] = (newest.get(step.pattern_id), "sculpt")
    return found


def _take(
    mould: Mould,
    part: str,
    first: date,
    known: Materials,
    taken: list[_Taken],
    unknown: list[Unknown],
) -> None:
    """What one step takes, or why that is not known."""
    amounts = worked_out(mould, known)
    take = {"pour": pour_takes, "mould": mould_takes, "sculpt": sculpt_takes}[part]
    found = take(mould, amounts, known)
    words = {"pour": "a pour of", "mould": "the mould of", "sculpt": "the sculpt of"}[part]
    what = f"{words} {mould.pattern.name}"
    if not found:
        words = f"{capfirst(what)}: what it takes is not known yet."
        unknown.append(Unknown(words, mould.pk))
    for stock, use in found:
        taken.append(_Taken(stock, use, what, first, amounts.is_guess))


def _lines(taken: list[_Taken], known: Materials, company: Company) -> list[ShoppingLine]:
    uses = [
        Use("/".join(take.stock), take.use.unit, take.use.used, take.use.at_hand) for take in taken
    ]
    stock, lots = in_stock(company), shelf(company, known)
    lines = []
    for need in add_up(uses):
        kind, _, key = need.key.partition("/")
        own = [take for take in taken if take.stock == (kind, key) and take.use.unit == need.unit]
        there = _there(stock.get((kind, key), {}), need, kind, key, known)
        lines.append(_line(need, own, there, kind, key, known, company, lots))
    return sorted(lines, key=lambda line: (not line.is_short, line.first, line.name))


def _line(
    need: Need,
    own: list[_Taken],
    there: float,
    kind: str,
    key: str,
    known: Materials,
    company: Company,
    lots: list[LotLine],
) -> ShoppingLine:
    metric = is_metric(company)
    missing = to_buy(need, there)
    uses = dict.fromkeys(take.what for take in own)
    return ShoppingLine(
        name=known.label(kind, key),
        wanted=say_amount(need.wanted, need.unit, metric),
        there=say_amount(there, need.unit, metric) if there else "none",
        buy=say_amount(missing, need.unit, metric) if missing else "",
        why=_why(own, list(uses)),
        first=min(take.first for take in own),
        is_short=missing > 0,
        is_guess=any(take.is_guess for take in own),
        lots=tuple(line for line in lots if (line.lot.kind, line.lot.material) == (kind, key)),
    )


def _why(own: list[_Taken], names: list[str]) -> str:
    """'2 × a pour of Jory Tarrow at nine, head; the mould of The Heron, head'."""
    counts = {name: sum(take.what == name for take in own) for name in names}
    return "; ".join(f"{n} × {name}" if n > 1 else name for name, n in counts.items())


def _there(units: dict[str, int], need: Need, kind: str, key: str, known: Materials) -> float:
    """What is on the shelf in the unit wanted; a lot in the other unit by the density."""
    there = float(units.get(need.unit, 0))
    other = units.get("ml" if need.unit == "g" else "g", 0)
    material = known.find(kind, key)
    if other and material is not None and material.density is not None:
        density = material.density.usual
        there += other * density if need.unit == "g" else other / density
    return there


def _hand(rows: Iterable[tuple[Step, date]]) -> tuple[HandLine, ...]:
    """What the routes say to have at hand, each stage once, by its first day."""
    found: dict[str, HandLine] = {}
    for step, first in rows:
        stage = step.stage
        if stage.tools and stage.name not in found:
            found[stage.name] = HandLine(stage.name, stage.tools, first)
    return tuple(sorted(found.values(), key=lambda line: (line.first, line.stage)))
