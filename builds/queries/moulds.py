"""The mould shelf of a show: every mould with its pours and castings, and what is owed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from builds.core.casting.life import MoreMoulds, Ready, is_ready, moulds_needed, wear_of
from builds.core.casting.yields import expected_yield
from builds.models import Casting, GuisePart, Mould, Plan, PlannedStep, Pour, Step
from builds.models.routes import Scope
from builds.queries.in_moulds import by_due, filled_by
from builds.queries.materials import Materials
from builds.queries.mould_cards import MouldCard, Shelf, ToPour
from builds.queries.mould_states import drawn_of, record_of, state_of
from builds.queries.mould_words import lede_of, say_mould
from builds.queries.plans import plan_seen_by
from company import clock
from company.drawing import Knot
from company.models import User
from company.templatetags.words import count_word
from scenes.models import Guise, Show

MOST_KNOTS = 48
RESULT_KNOTS = {
    Casting.Result.GOOD: Knot.TIED,
    Casting.Result.FLAWED: Knot.STRUCK,
    Casting.Result.THROWN: Knot.STRUCK,
}
COSTS_SHOWN = 4


def moulds_of(show: Show) -> list[Mould]:
    """The show's moulds with pours, castings and figures; four reads."""
    castings = Casting.objects.select_related("pattern", "figure").order_by("number")
    pours = Pour.objects.select_related("maker").order_by("number")
    return list(
        Mould.objects.filter(pattern__show=show)
        .select_related("pattern__show__company", "pattern__made_for__character", "replaced_by")
        .prefetch_related(Prefetch("pours", pours.prefetch_related(Prefetch("castings", castings))))
        .order_by("pattern__part", "pattern", "number")
    )


def read_shelf(show: Show, user: User) -> Shelf:
    """Everything on the page of moulds and pours. A flat number of queries."""
    reading = _Reading(show, plan_seen_by(user, show))
    cards = [reading.card(mould) for mould in reading.moulds]
    in_use = sorted((c for c in cards if not c.mould.is_retired), key=_busy_order)
    filled = sorted((c.filled for c in cards if c.filled), key=by_due)
    to_pour = sorted((p for card in in_use for p in card.pours), key=_plan_order)
    castings = [casting for card in cards for casting in card.castings]
    costs = [p for m in reading.moulds for p in m.pours.all() if p.cost]  # type: ignore[attr-defined]
    costs.sort(key=lambda pour: pour.opened_at or clock.now(), reverse=True)
    can = next((one for one in to_pour if not one.ready.forbidden), None)
    return Shelf(
        cards=tuple(card for card in in_use if card.is_busy),
        resting=tuple(card for card in in_use if not card.is_busy),
        retired=tuple(card for card in cards if card.mould.is_retired),
        filled=tuple(filled),
        to_pour=tuple(to_pour),
        lying=tuple(c for c in castings if c.place and c.result != Casting.Result.THROWN),
        costs=tuple(costs[:COSTS_SHOWN]),
        lede=lede_of(in_use, filled, to_pour, reading.now, reading.zone),
        next=can,
        has_plan=reading.plan is not None,
    )


def read_mould(mould: Mould, user: User) -> MouldCard:
    """One mould of the shelf, as on its own page."""
    show = mould.pattern.show
    reading = _Reading(show, plan_seen_by(user, show))
    return reading.card(next(one for one in reading.moulds if one.pk == mould.pk))


def _busy_order(card: MouldCard) -> tuple[bool, bool, bool, int]:
    """What is in a mould first, then what can be poured, heads before hands and feet."""
    mould = card.mould
    return card.filled is None, not card.pours, mould.pattern.part != "head", mould.pk


def _plan_order(one: ToPour) -> tuple[bool, bool, datetime, int]:
    start = one.slip.start if one.slip else clock.now()
    return bool(one.ready.forbidden), one.slip is None, start, one.pour.pk


@dataclass
class _Reading:
    """The shelf read once; `card` draws on it without another query."""

    show: Show
    plan: Plan | None
    now: datetime = field(default_factory=clock.now)

    def __post_init__(self) -> None:
        self.zone = ZoneInfo(self.show.company.time_zone)
        self.moulds = moulds_of(self.show)
        self.materials = Materials(self.show.company)
        self.guises: dict[int, list[Guise]] = defaultdict(list)
        uses = GuisePart.objects.filter(guise__character__show=self.show)
        for use in uses.select_related("guise__character"):
            self.guises[use.pattern_id].append(use.guise)
        steps = Step.objects.filter(show=self.show, struck_at=None)
        self.steps = {
            step.pour_id: step
            for step in steps.filter(pour__isnull=False, stage__scope=Scope.POUR)
            .select_related("stage")
            .order_by("-stage__position", "-pk")
        }
        self.slips, self.making = self._slips()
        late = self.plan.figures if self.plan is not None else []
        self.late = {row["figure"]: row["late_min"] for row in late}
        self.by_pattern: dict[int, list[Mould]] = defaultdict(list)
        for mould in self.moulds:
            self.by_pattern[mould.pattern_id].append(mould)

    def _slips(self) -> tuple[dict[int, PlannedStep], dict[int, PlannedStep]]:
        """What the plan says of pours, and of the last step that makes each mould."""
        slips: dict[int, PlannedStep] = {}
        making: dict[int, PlannedStep] = {}
        if self.plan is None:
            return slips, making
        first = {m.pattern_id: m.pk for m in reversed(self.moulds) if m.number == 1}
        rows = PlannedStep.objects.filter(plan=self.plan, step__finished_at=None)
        rows = rows.filter(step__stage__scope__in=(Scope.POUR, Scope.GUISE))
        for row in rows.select_related("step__stage", "maker").order_by("start", "part"):
            step = row.step
            if step.pour_id is not None:
                slips.setdefault(step.pour_id, row)
            mould = step.mould_id or first.get(step.pattern_id or 0)
            if mould is not None:
                making[mould] = row
        return slips, making

    def card(self, mould: Mould) -> MouldCard:
        pours = list(mould.pours.all())  # type: ignore[attr-defined]
        live = [pour for pour in pours if pour.struck_at is None]
        poured = [pour for pour in live if pour.poured_at is not None]
        castings = [c for p in poured for c in p.castings.all() if c.struck_at is None]
        ready = is_ready(state_of(mould, self.materials, pours), self.now)
        to_pour = tuple(
            self._to_pour(pour, ready)
            for pour in live
            if pour.poured_at is None and pour.pk in self.steps
        )
        drawn = drawn_of(pours)
        own = self.by_pattern[mould.pattern_id]
        in_use = [one for one in own if not one.is_retired]
        everything = [c for one in own for p in one.pours.all() for c in p.castings.all()]  # type: ignore[attr-defined]
        for one in own:
            for pour in one.pours.all():  # type: ignore[attr-defined]
                for casting in pour.castings.all():
                    casting.pour = pour
        good, bad = record_of(in_use or own, everything)
        card = MouldCard(
            mould=mould,
            title=_title(mould),
            guises=tuple(self.guises[mould.pattern_id]),
            made_of=self._made_of(mould),
            knots=_knots(castings, mould.life, drawn),
            castings=tuple(castings),
            drawn=drawn,
            wear=wear_of(drawn, mould.life),
            ready=ready,
            is_drying=mould.first_use is not None and mould.first_use > self.now,
            filled=next((filled_by(p, self.now) for p in poured if p.opened_at is None), None),
            pours=to_pour,
            making=self.making.get(mould.pk) if not mould.is_made else None,
            owed=sum(len(one.figures) for one in to_pour),
            planned=sum(len(one.castings) for one in to_pour),
            yield_share=expected_yield(mould.yield_percent / 100, good, bad),
            has_record=good + bad > 0,
            more=self._more(mould, in_use, to_pour),
            poured=tuple(p for p in reversed(pours) if p.poured_at is not None),
        )
        return _with_words(card, self.now, self.zone)

    def _made_of(self, mould: Mould) -> str:
        name = self.materials.label("mould", mould.material)
        parts = "one part" if mould.parts == 1 else f"{count_word(mould.parts)} parts"
        cast = self.materials.label("cast", mould.casting_material)
        said = f"{name}, {parts}"
        if mould.cavities > 1:
            said += f", {count_word(mould.cavities)} castings a pour"
        return f"{said}, for {cast}" if cast else said

    def _to_pour(self, pour: Pour, ready: Ready) -> ToPour:
        castings = tuple(c for c in pour.castings.all() if c.struck_at is None)  # type: ignore[attr-defined]
        return ToPour(pour, castings, self.steps.get(pour.pk), self.slips.get(pour.pk), ready)

    def _more(self, mould: Mould, in_use: list[Mould], ahead: tuple[ToPour, ...]) -> MoreMoulds:
        """Whether dates or life ask for one mould more: one casting a day, against the plan."""
        if mould.is_retired or not ahead or mould.pk != min(m.pk for m in in_use):
            return MoreMoulds(len(in_use))
        pours = [
            pour
            for one in in_use
            for pour in one.pours.all()  # type: ignore[attr-defined]
            if pour.poured_at is None and pour.struck_at is None and pour.pk in self.steps
        ]
        waiting = {c.figure_id for pour in pours for c in pour.castings.all()}
        late_min = max((self.late.get(pk or 0, 0) for pk in waiting), default=0)
        slips = [self.slips.get(pour.pk) for pour in pours]
        if not any(slip is not None and slip.is_on_thread for slip in slips):
            late_min = 0  # what makes them late is something else than the mould
        # As many days as they take one after the other, less those that the last figure is late.
        days = max(1.0, len(pours) - late_min / (24 * 60))
        left = [one.life - drawn_of(one.pours.all()) for one in in_use]  # type: ignore[attr-defined]
        return moulds_needed(len(pours), mould.cavities, left, days * len(in_use), 1.0)


def _with_words(card: MouldCard, now: datetime, zone: ZoneInfo) -> MouldCard:
    return replace(card, words=say_mould(card, now, zone))


def _title(mould: Mould) -> str:
    part = mould.pattern.part
    name = mould.pattern.whose if part == "head" else mould.pattern.name
    return f"{name}, mould {mould.number}" if mould.number > 1 else name


def _knots(castings: list[Casting], life: int, drawn: int) -> tuple[tuple[str, Knot], ...]:
    """A knot for each casting drawn, then loose ones for what the mould is still good for."""
    drawn_knots = [
        (c.code, RESULT_KNOTS[Casting.Result(c.result)] if c.result else Knot.HALF)
        for c in castings
    ]
    left = max(0, min(life - drawn, MOST_KNOTS - len(drawn_knots)))
    return (*drawn_knots, *[("", Knot.LOOSE)] * left)
