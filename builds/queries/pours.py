"""One pour as its page shows it, and what the form of a new one offers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from builds.core.casting.life import Ready, is_ready
from builds.core.casting.moments import Moment, PourClock
from builds.models import Casting, Mould, Pour
from builds.queries.amount_words import is_metric, say_amount
from builds.queries.lots import last_used
from builds.queries.materials import Materials
from builds.queries.mould_cards import MouldCard
from builds.queries.mould_states import state_of
from builds.queries.mould_times import clock_of
from builds.queries.moulds import read_shelf
from builds.queries.takings import (
    NOT_KNOWN,
    Asked,
    TakingLine,
    asked_of,
    codes_named,
    density_of,
    lots_of,
    on_shelf,
    plan_taking,
    read_takings,
)
from company import clock
from company.models import User
from company.templatetags.words import and_list, day
from scenes.models import Show


@dataclass(frozen=True)
class Tick:
    """One moment of a pour's clock: its word, when it was or is due, whether it is next."""

    word: str
    at: datetime | None
    is_done: bool
    is_next: bool


@dataclass(frozen=True)
class PourCard:
    """The page of one pour."""

    pour: Pour
    clock: PourClock | None
    moment: Moment | None
    due: datetime | None
    is_due: bool
    now: datetime
    ticks: tuple[Tick, ...]
    castings: tuple[Casting, ...]
    material: str
    lede: str
    takings: tuple[TakingLine, ...] = ()
    nothing_taken: str = ""

    @property
    def is_unmeasured(self) -> bool:
        """Whether nothing came off the shelf because nobody has measured the part."""
        return self.nothing_taken == NOT_KNOWN

    @property
    def may_drain(self) -> bool:
        """Whether pouring out comes next."""
        return self.moment is Moment.DRAIN

    @property
    def may_open(self) -> bool:
        """Whether its castings can be recorded."""
        pour = self.pour
        return pour.poured_at is not None and pour.opened_at is None and pour.struck_at is None


def read_pour(pour: Pour) -> PourCard:
    """A pour with its clock and castings; a flat number of queries."""
    now = clock.now()
    known = clock_of(pour)
    moment, due = known.next_at(now) if known else (None, None)
    company = pour.mould.pattern.show.company
    rows = pour.castings.filter(struck_at=None)  # type: ignore[attr-defined]
    castings = tuple(
        rows.select_related("pattern__show", "figure", "judged_by", "pour__mould").order_by(
            "number"
        )
    )
    zone = ZoneInfo(company.time_zone)
    materials, takings = Materials(company), read_takings(pour)
    return PourCard(
        pour=pour,
        clock=known,
        moment=moment,
        due=due,
        is_due=due is not None and due <= now,
        now=now,
        ticks=_ticks(known, moment) if known else (),
        castings=castings,
        material=materials.label("cast", pour.material or pour.mould.casting_material),
        lede=_lede(pour, castings, moment, due, now, zone),
        takings=takings,
        nothing_taken="" if takings else _why_nothing(pour, materials),
    )


def _why_nothing(pour: Pour, known: Materials) -> str:
    """Why nothing came off the shelf for a pour that names its lot; '' where that is plain."""
    if pour.poured_at is None or pour.struck_at is not None or not pour.lot:
        return ""
    cast = pour.material or pour.mould.casting_material
    plan = plan_taking(lots_of(known.company, cast, known), pour.lot, None, pour.poured_at, None)
    if plan.elsewhere or plan.counted:
        return plan.nothing_words
    return NOT_KNOWN if asked_of(pour.mould, known, cast) is None else ""


def _ticks(known: PourClock, moment: Moment | None) -> tuple[Tick, ...]:
    ticks = [Tick("Filled", known.poured_at, True, False)]
    if known.drain_min is not None or known.drained_at is not None:
        is_done = known.drained_at is not None
        at = known.drained_at or known.drain_due
        word = "Poured out" if is_done else "Pour out"
        ticks.append(Tick(word, at, is_done, moment is Moment.DRAIN))
    is_open = known.opened_at is not None
    at = known.opened_at or known.open_due
    ticks.append(Tick("Opened" if is_open else "Open", at, is_open, moment is Moment.OPEN))
    if known.cure_min:
        is_over = moment is Moment.DONE
        word = "Hard" if is_over else "Hard from"
        ticks.append(Tick(word, known.cure_due, is_over, moment is Moment.CURE))
    return tuple(ticks)


def _lede(
    pour: Pour,
    castings: tuple[Casting, ...],
    moment: Moment | None,
    due: datetime | None,
    now: datetime,
    zone: ZoneInfo,
) -> str:
    if pour.struck_at is not None:
        return "Struck through: " + (pour.struck_words or "it was recorded by mistake") + "."
    codes = and_list(c.code for c in castings)
    if moment is None:
        return f"{codes} is still to be poured." if codes else "Still to be poured."
    if moment is Moment.DONE:
        return _done_words(castings)
    when = ""
    if due is not None:
        at = due.astimezone(zone)
        is_today = at.date() == now.astimezone(zone).date()
        when = f" at {at:%H:%M}" if is_today else f" at {at:%H:%M} on {day(at)}"
        if due <= now:
            when = f" now: it was due{when}"
    words = {
        Moment.DRAIN: "Pour out what is left",
        Moment.OPEN: "Open the mould",
        Moment.CURE: "Out of the mould: leave it to harden until",
    }[moment]
    if moment is Moment.CURE:
        when = when.removeprefix(" at ")
        return f"{words} {when}."
    if due is None:
        return f"{words} when the data sheet says so: no time is known for it."
    return f"{words}{when}."


def _done_words(castings: tuple[Casting, ...]) -> str:
    said = []
    for casting in castings:
        where = f"in {casting.figure}" if casting.figure else casting.place
        said.append(f"{casting.code} {casting.get_result_display()}, {where}")
    return "; ".join(said) + "." if said else "Nothing came out of it."


@dataclass(frozen=True)
class Choice:
    """A mould as the form offers it, and why it is not free, if it is not."""

    card: MouldCard
    is_asked: bool


@dataclass(frozen=True)
class PourOffer:
    """What the form of a new pour offers: moulds, the last lots and mixes, and any warning."""

    mould: Mould | None
    ready: Ready
    cards: tuple[MouldCard, ...]
    lots: tuple[str, ...]
    mixes: tuple[str, ...]
    initial: dict[str, Any]
    unit: str = "g"
    takes: str = ""
    short: str = ""
    standing: tuple[str, ...] = ()

    @property
    def takes_hint(self) -> str:
        """What is taken where nothing is typed."""
        return f"Blank: {self.takes}." if self.takes else f"Blank: nothing, for {NOT_KNOWN}."


def read_pour_form(show: Show, user: User, asked: str) -> PourOffer:
    """The moulds that can be poured; the one asked for, else the one the plan has next."""
    shelf = read_shelf(show, user)
    cards = tuple(card for card in (*shelf.cards, *shelf.resting) if card.may_pour)
    mould = next(
        (c.mould for c in (*shelf.cards, *shelf.resting) if str(c.mould.pk) == asked), None
    )
    if mould is None and not asked and shelf.next is not None:
        mould = next(c.mould for c in cards if c.mould.pk == shelf.next.pour.mould_id)
    if mould is None:
        return PourOffer(None, Ready(), cards, (), (), {})
    used, mixes = last_used(mould)
    company, known = show.company, Materials(show.company)
    cast = mould.casting_material
    rows = lots_of(company, cast, known) if cast else []
    standing = on_shelf(rows, clock.today(company))
    lots = _offered([lot.code for lot in standing], {lot.code.casefold() for lot in rows}, used)
    asked = asked_of(mould, known)
    first = lots[0] if lots else ""
    metric = is_metric(company)
    plan = plan_taking(rows, first, asked, clock.now(), density_of(cast, known))
    return PourOffer(
        mould=mould,
        ready=is_ready(state_of(mould, known), clock.now()),
        cards=cards,
        lots=tuple(lots),
        mixes=tuple(mixes),
        initial={"mould": mould.pk, "lot": first, "mix": mixes[0] if mixes else ""},
        unit=asked.unit if asked else standing[0].unit if standing else "g",
        takes=_takes_words(asked, metric),
        short=plan.short_words(company) if plan.missing else "",
        standing=tuple(
            f"{lot.code} with {say_amount(lot.left, lot.unit, metric)}" for lot in standing
        ),
    )


def _offered(standing: list[str], ever: set[str], used: list[str]) -> list[str]:
    """The lot used last on top, unless it was used up or taken off the shelf since."""
    last = [
        named
        for named in used[:1]
        if named in standing
        or not any(code.casefold() in ever for code in codes_named(named, ever))
    ]
    return list(dict.fromkeys([*last, *standing, *used]))


def _takes_words(asked: Asked | None, metric: bool) -> str:
    """'135 ml of the 590 ml filled in: the rest goes back'."""
    if asked is None:
        return ""
    said = say_amount(asked.amount, asked.unit, metric)
    if asked.fill > asked.amount:
        said += f" of the {say_amount(asked.fill, asked.unit, metric)} filled in"
    return f"{said}, a guess from the head's height" if asked.is_guess else said
