"""The mould card and the pour card: what to weigh out, when, with what care."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.safestring import SafeString

from builds.core.casting.values import Kind
from builds.core.casting.will_it_set import Part as SetPart
from builds.models import Mould, Plan, PlannedStep, Pour
from builds.queries.amount_words import Line
from builds.queries.casting_advice import LAST_WORD, Advice, Caution, Moment, advice_for
from builds.queries.materials import Materials
from builds.queries.sheets.bench import plain_link
from builds.queries.sheets.papers import Fact
from builds.queries.stock import LotLine, shelf
from company import clock
from company.sheets import draw_code
from company.templatetags.words import and_list, day, full_day, long_day


@dataclass(frozen=True, slots=True)
class CardMoment:
    """A moment on the clock: how long after, and when by the plan."""

    word: str
    after: str
    planned: str
    is_limit: bool = False


@dataclass(frozen=True, slots=True)
class CardCasting:
    """A casting that a pour gives, and for whom."""

    code: str
    wanted_for: str
    result: str


@dataclass(frozen=True, slots=True)
class CastingCard:
    """One card: of a mould to be made, or of one pour into it."""

    kind: str
    show: str
    name: str
    tag: str
    who: str
    code: SafeString
    link: str
    facts: tuple[Fact, ...]
    set_word: str
    set_parts: tuple[SetPart, ...]
    head: str
    lines: tuple[Line, ...]
    asks: tuple[str, ...]
    is_guess: bool
    moments: tuple[CardMoment, ...]
    words: tuple[str, ...]
    castings: tuple[CardCasting, ...]
    lots: tuple[LotLine, ...]
    cautions: tuple[Caution, ...]
    last_word: str
    sources: tuple[str, ...]
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.kind.capitalize()} {self.tag}: {self.name}"

    @property
    def is_pour(self) -> bool:
        """Whether it is filled in at a pour."""
        return self.kind == "pour card"


@dataclass
class CardDesk:
    """What all cards of a show draw on, read once."""

    materials: Materials
    lots: list[LotLine]
    plan: Plan | None
    zone: ZoneInfo
    source: str


def read_card_desk(materials: Materials, plan: Plan | None) -> CardDesk:
    """Own materials, the shelf and the plan."""
    company = materials.company
    zone = ZoneInfo(company.time_zone)
    printed = f"printed {date_format(clock.today(company), 'j M Y')}"
    return CardDesk(
        materials=materials,
        lots=shelf(company, materials),
        plan=plan,
        zone=zone,
        source=f"{_plan_words(plan, zone)}, {printed}" if plan else printed,
    )


def _plan_words(plan: Plan, zone: ZoneInfo) -> str:
    at = plan.pinned_up_at if plan.is_pinned_up else plan.made_at
    words = "pinned-up plan" if plan.is_pinned_up else "draft plan, not pinned up,"
    return f"{words} of {date_format(at.astimezone(zone), 'j M')}" if at else words


def mould_card(mould: Mould, desk: CardDesk, row: PlannedStep | None = None) -> CastingCard:
    """The card of a mould. `row` is its step in the plan, where it is planned."""
    advice = advice_for(mould, materials=desk.materials)
    start = row.start if row else None
    return CastingCard(
        kind="mould card",
        show=mould.pattern.show.title,
        name=mould.pattern.name,
        tag=f"{mould.pattern.code} mould {mould.number}",
        who=_made_words(mould, desk.zone) or _who(row, desk.zone),
        **_code(reverse("builds:mould_detail", args=[mould.pk])),
        facts=_mould_facts(mould, advice, desk),
        **_set(advice),
        head=f"Weigh out, {advice.moulded}",
        lines=(*advice.block, *advice.part),
        asks=advice.amounts.asks if not advice.block else (),
        is_guess=advice.has_guess,
        moments=_clock(advice.mould_moments, start, desk.zone),
        words=tuple(m.text for m in advice.mould_moments if not m.word),
        castings=(),
        lots=_lots(desk, Kind.MOULD, mould.material),
        cautions=advice.mould_cautions,
        last_word=LAST_WORD,
        sources=advice.mould_sources,
        printed_from=desk.source,
    )


def pour_card(pour: Pour, desk: CardDesk, row: PlannedStep | None = None) -> CastingCard:
    """The card of one pour. Its mould and castings should be selected with it."""
    mould = pour.mould
    advice = advice_for(mould, materials=desk.materials)
    start = pour.poured_at or (row.start if row else None)
    return CastingCard(
        kind="pour card",
        show=mould.pattern.show.title,
        name=mould.pattern.name,
        tag=_pour_tag(pour),
        who=_who(row, desk.zone),
        **_code(reverse("builds:pour_detail", args=[pour.pk])),
        facts=_pour_facts(pour, advice, desk),
        **_set(advice),
        head=f"Measure out, {advice.cast or 'not chosen yet'}",
        lines=(*advice.pour, *advice.part),
        asks=tuple(ask for ask in advice.amounts.asks if "box" not in ask),
        is_guess=advice.has_guess,
        moments=_clock(advice.pour_moments, start, desk.zone),
        words=tuple(m.text for m in advice.pour_moments if not m.word),
        castings=_castings(pour),
        lots=_lots(desk, Kind.CAST, mould.casting_material),
        cautions=advice.pour_cautions,
        last_word=LAST_WORD,
        sources=advice.pour_sources,
        printed_from=desk.source,
    )


def _pour_tag(pour: Pour) -> str:
    """'JORY60 pour 3', and of a further mould 'JORY60 mould 2, pour 3'."""
    mould = pour.mould
    of = f" mould {mould.number}," if mould.number > 1 else ""
    return f"{mould.pattern.code}{of} pour {pour.number}"


def _code(address: str) -> dict[str, object]:
    link = settings.SITE_URL + address
    return {"code": draw_code(link), "link": plain_link(link)}


def _set(advice: Advice) -> dict[str, object]:
    answer = advice.answer
    return {"set_word": str(answer.verdict) if answer.parts else "", "set_parts": answer.parts}


def _who(row: PlannedStep | None, zone: ZoneInfo) -> str:
    if row is None:
        return "not planned yet"
    start = row.start.astimezone(zone)
    names = and_list(maker.name for maker in (row.maker, row.second) if maker is not None)
    return f"for {names}, {long_day(start)} at {start:%H:%M} if the hours hold"


def _made_words(mould: Mould, zone: ZoneInfo) -> str:
    return f"made on {_day_of(mould.made_at, zone)}" if mould.made_at else ""


def _mould_facts(mould: Mould, advice: Advice, desk: CardDesk) -> tuple[Fact, ...]:
    found = [
        Fact("Sculpted in", advice.sculpt or "not chosen yet:", has_line=not advice.sculpt),
        Fact("Size", advice.sculpt_words, is_strong=True),
        Fact("Moulded in", advice.moulded),
        Fact("Cast in", advice.cast or "not chosen yet:", has_line=not advice.cast),
        Fact("Parts", f"{mould.parts}, for {mould.cavities} at a time"),
        Fact("Good for", f"about {mould.life} castings"),
        Fact("Wall", next((m.text for m in advice.mould_moments if m.word == "Wall"), "")),
        Fact("Made on", _day_of(mould.made_at, desk.zone), has_line=mould.made_at is None),
        Fact("Lot", "opened on", has_line=True),
        Fact("Note", mould.note),
    ]
    return tuple(fact for fact in found if fact.text or fact.has_line)


def _pour_facts(pour: Pour, advice: Advice, desk: CardDesk) -> tuple[Fact, ...]:
    mould = pour.mould
    found = [
        Fact("Mould", f"{mould.number}, {advice.moulded}", is_strong=True),
        Fact("Dry", _dry_words(mould, desk.zone)),
        Fact("Sculpted in", advice.sculpt),
        Fact("Cast in", advice.cast or "not chosen yet:", has_line=not advice.cast),
        Fact("Lot", pour.lot, has_line=not pour.lot),
        Fact("Mix", pour.mix, has_line=not pour.mix),
        Fact("Note", pour.note),
    ]
    return tuple(fact for fact in found if fact.text or fact.has_line)


def _day_of(at: datetime | None, zone: ZoneInfo) -> str:
    return full_day(at.astimezone(zone)) if at else ""


def _dry_words(mould: Mould, zone: ZoneInfo) -> str:
    if mould.made_at is None:
        return "the mould is not made yet"
    if mould.first_use is None:
        return "not said: feel it against the cheek, cool is wet"
    when = mould.first_use.astimezone(zone)
    if mould.first_use > clock.now():
        return f"not before {day(when)}, {when:%H:%M}"
    return f"since {day(when)}; cool against the cheek is still wet"


def _clock(
    moments: Iterable[Moment], start: datetime | None, zone: ZoneInfo
) -> tuple[CardMoment, ...]:
    """Moments from a pour, each counted from the one before it."""
    found = [CardMoment("Poured", "", _when(start, zone))]
    at = start
    for moment in moments:
        if not moment.word or moment.minutes is None:
            continue
        due = at + timedelta(minutes=moment.minutes) if at else None
        is_limit = moment.word.startswith("Use the mix")
        planned = "" if is_limit else _when(due, zone)
        found.append(CardMoment(moment.word, moment.text, planned, is_limit))
        # Topping up goes on beside the dwell; what comes after is counted from the one before.
        if not is_limit and not moment.word.startswith("Top up"):
            at = due
    return tuple(found)


def _when(at: datetime | None, zone: ZoneInfo) -> str:
    if at is None:
        return ""
    local = at.astimezone(zone)
    return f"{day(local)}, {local:%H:%M}"


def _castings(pour: Pour) -> tuple[CardCasting, ...]:
    return tuple(
        CardCasting(
            casting.code,
            f"for {casting.figure.tag}" if casting.figure else casting.place or "spare",
            casting.get_result_display() or "",
        )
        for casting in pour.castings.all()  # type: ignore[attr-defined]
        if casting.struck_at is None
    )


def _lots(desk: CardDesk, kind: Kind, key: str) -> tuple[LotLine, ...]:
    return tuple(line for line in desk.lots if (line.lot.kind, line.lot.material) == (kind, key))
