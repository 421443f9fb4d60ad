"""Today at the bench: who is in, what is due, what dries, what waits for the lead, what is late."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from builds.loading import instant_of
from builds.models import Figure, Plan, PlannedStep, Step
from builds.queries.in_moulds import InMould, first_uses, pours_in_moulds
from builds.queries.mould_times import dry_at
from builds.queries.needed import needed_by_dates
from builds.queries.pieces import Piece, pieces_of, planned_rows
from builds.queries.plans import figure_dates
from builds.queries.steps import live_steps
from builds.queries.wall import LateFigure
from company import clock
from company.core.working_time import Intervals
from company.models import Maker, OtherWork
from company.queries import makers_of, working_time_of
from company.templatetags.words import and_list, count_word
from scenes.models import Show

WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class Card:
    """A step as a person has it in hand today; `left_over` is the day it was planned for."""

    row: PlannedStep
    minutes: int
    start: datetime | None
    finish: datetime | None
    left_over: date | None = None

    @property
    def step(self) -> Step:
        """The step itself."""
        return self.row.step

    @property
    def is_done(self) -> bool:
        """Finished, whether passed or not."""
        return self.row.step.finished_at is not None


@dataclass(frozen=True, slots=True)
class Bench:
    """One person's day."""

    maker: Maker
    hours: str
    cards: tuple[Card, ...]
    other: str
    is_in: bool
    is_mine: bool

    @property
    def open_cards(self) -> tuple[Card, ...]:
        """What is still to do."""
        return tuple(card for card in self.cards if not card.is_done)

    @property
    def minutes(self) -> int:
        """Minutes of work still in hand today."""
        return sum(card.minutes for card in self.open_cards)


@dataclass(frozen=True, slots=True)
class ComingDay:
    """A later day of the week and what is due on it."""

    day: date
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Drying:
    """A finished step that may not be touched until an instant."""

    step: Step
    until: datetime


@dataclass(frozen=True, slots=True)
class Today:
    """Everything on the page."""

    day: date
    is_today: bool
    benches: tuple[Bench, ...]
    away: tuple[Bench, ...]
    coming: tuple[ComingDay, ...]
    drying: tuple[Drying, ...]
    in_moulds: tuple[InMould, ...]
    for_the_pass: tuple[Step, ...]
    asking: tuple[Step, ...]
    overdue: tuple[Card, ...]
    late: tuple[LateFigure, ...]
    lead: Maker | None
    lead_is_in: bool
    lede: str


def read_today(
    show: Show, plan: Plan | None, day: date, mine: Maker | None, only: Maker | None = None
) -> Today:
    """The day of everybody, the person's own bench first. A flat number of queries."""
    zone = ZoneInfo(show.company.time_zone)
    now = clock.now()
    makers = makers_of(show.company)
    times = working_time_of(show.company, day, day + timedelta(days=WEEK_DAYS - 1))
    work = {pk: time.work for pk, time in times.items()}
    rows = planned_rows(plan, with_finished=True) if plan else []
    pieces = [piece for row in rows for piece in pieces_of(row, times, zone)]
    open_pieces = [piece for piece in pieces if piece.row.step.finished_at is None]
    steps = list(live_steps(show))
    other = _other_work(show, day)
    # What is left over from before is told today, not on the days one turns to.
    is_today = day == clock.today(show.company)
    before = rows if is_today else []
    benches = [
        _bench(maker, day, pieces, before, work.get(maker.pk, ()), other, zone, mine)
        for maker in makers
        if only is None or maker.pk == only.pk
    ]
    benches.sort(key=lambda bench: (not bench.is_mine, not bench.is_in, bench.maker.name_key))
    lead = next((maker for maker in makers if maker.is_lead), None)
    shown = tuple(bench for bench in benches if bench.is_in or bench.cards)
    lead_is_in = lead is not None and bool(_spans(work.get(lead.pk, ()), day, zone))
    today = Today(
        day=day,
        is_today=is_today,
        benches=shown,
        away=tuple(bench for bench in benches if not (bench.is_in or bench.cards)),
        coming=_coming(open_pieces, day, only),
        drying=_drying(show, steps, now, zone),
        in_moulds=pours_in_moulds(show, now) if is_today else (),
        for_the_pass=tuple(s for s in steps if s.stage.gate and s.finished_at and not s.passed_at),
        asking=tuple(step for step in steps if step.needs_lead),
        overdue=tuple(card for bench in shown for card in bench.cards if card.left_over),
        late=_late(show, plan, zone),
        lead=lead,
        lead_is_in=lead_is_in,
        lede="",
    )
    return _with_lede(today, mine, plan)


def _with_lede(today: Today, mine: Maker | None, plan: Plan | None) -> Today:
    return replace(today, lede=_lede(today, mine, plan))


def _lede(today: Today, mine: Maker | None, plan: Plan | None) -> str:
    """The sentence that answers: what is to be done today?"""
    if plan is None:
        return "No plan is pinned up yet, so nobody is told what to do today."
    own = next((b for b in today.benches if mine is not None and b.maker.pk == mine.pk), None)
    if own is not None and own.open_cards and not own.is_in:
        count = len(own.open_cards)
        said = f"You are not in. {_steps(count).capitalize()} of yours"
        said += f" {'is' if count == 1 else 'are'} still open."
    elif own is not None and own.open_cards:
        said = f"You have {_steps(len(own.open_cards))} to do"
        said += f", {own.hours}." if own.hours else "."
    elif own is not None and own.cards:
        said = "All that was planned for you is done."
    elif own is not None:
        said = f"You are in, {own.hours}, and nothing is planned for you."
    elif today.benches:
        names = [bench.maker.name for bench in today.benches if bench.is_in]
        said = (
            f"{and_list(names)} {'is' if len(names) == 1 else 'are'} in."
            if names
            else "Nobody is in."
        )
        due = sum(len(bench.open_cards) for bench in today.benches)
        said += f" {_steps(due).capitalize()} {'is' if due == 1 else 'are'} due." if due else ""
    else:
        return "Nobody is in and nothing is due."
    waiting = len(today.for_the_pass) + len(today.asking)
    if waiting and mine is not None and mine.is_lead:
        verb = "waits" if waiting == 1 else "wait"
        said += f" {_steps(waiting).capitalize()} {verb} for you."
    elif mine is not None and not mine.is_lead and today.lead is not None:
        said += f" {today.lead.name} is {'in' if today.lead_is_in else 'not in'}."
    return said


def _steps(count: int) -> str:
    number = count_word(count) if count else "no"
    return f"{number} {'step' if count == 1 else 'steps'}"


def _spans(work: Intervals, day: date, zone: ZoneInfo) -> list[tuple[datetime, datetime]]:
    found = []
    for a, b in work:
        start, finish = instant_of(a).astimezone(zone), instant_of(b).astimezone(zone)
        if start.date() == day:
            found.append((start, finish))
    return found


def _bench(
    maker: Maker,
    day: date,
    pieces: list[Piece],
    before: list[PlannedStep],
    work: Intervals,
    other: dict[int, list[str]],
    zone: ZoneInfo,
    mine: Maker | None,
) -> Bench:
    own = [p for p in pieces if p.day == day and maker.pk in (p.row.maker_id, p.row.second_id)]
    cards = [Card(p.row, p.minutes, p.start, p.finish) for p in join_parts(own)]
    cards = [*_left_over(maker, before, day, zone, {c.row.step_id for c in cards}), *cards]
    spans = _spans(work, day, zone)
    return Bench(
        maker=maker,
        hours=and_list(f"{a:%H:%M} to {b:%H:%M}" for a, b in spans),
        cards=tuple(cards),
        other=and_list(other.get(maker.pk, [])),
        is_in=bool(spans),
        is_mine=mine is not None and maker.pk == mine.pk,
    )


def join_parts(pieces: list[Piece]) -> list[Piece]:
    """One piece for the parts of a step that one person does on one day, in order of start."""
    found: dict[tuple[int, int, date], Piece] = {}
    for piece in sorted(pieces, key=lambda piece: piece.start):
        key = (piece.row.step_id, piece.row.maker_id, piece.day)
        first = found.get(key)
        if first is not None:
            piece = replace(piece, minutes=first.minutes + piece.minutes, start=first.start)
        found[key] = piece
    return sorted(found.values(), key=lambda piece: piece.start)


def _left_over(
    maker: Maker, rows: list[PlannedStep], day: date, zone: ZoneInfo, shown: set[int]
) -> list[Card]:
    """Steps that the plan had done to the end before today and that are not finished."""
    found: dict[int, Card] = {}
    for row in rows:
        due = row.finish.astimezone(zone).date()
        is_open = row.step.finished_at is None and row.part == row.parts
        if is_open and due < day and row.maker_id == maker.pk and row.step_id not in shown:
            found[row.step_id] = Card(row, row.minutes, None, None, left_over=due)
    return list(found.values())


def _coming(pieces: list[Piece], day: date, only: Maker | None) -> tuple[ComingDay, ...]:
    by_day: dict[date, list[Piece]] = defaultdict(list)
    for piece in pieces:
        if day < piece.day < day + timedelta(days=WEEK_DAYS) and (
            only is None or only.pk in (piece.row.maker_id, piece.row.second_id)
        ):
            by_day[piece.day].append(piece)
    return tuple(
        ComingDay(
            when, tuple(sorted(join_parts(found), key=lambda p: (p.row.maker.name_key, p.start)))
        )
        for when, found in sorted(by_day.items())
    )


def _drying(show: Show, steps: list[Step], now: datetime, zone: ZoneInfo) -> tuple[Drying, ...]:
    """What may not be touched yet. A casting that is still in its mould is told of apart."""
    uses = first_uses(show)
    found = [
        Drying(step, until.astimezone(zone))
        for step in steps
        if (until := dry_at(step, uses.get(step.pattern_id or 0))) is not None
    ]
    return tuple(sorted((d for d in found if d.until > now), key=lambda d: d.until))


def _late(show: Show, plan: Plan | None, zone: ZoneInfo) -> tuple[LateFigure, ...]:
    dates = figure_dates(plan, zone)
    late_ids = [pk for pk, found in dates.items() if found.late_min > 0]
    if not late_ids:
        return ()
    figures = list(Figure.objects.filter(pk__in=late_ids).select_related("guise__character"))
    needed = needed_by_dates(show, figures)
    found = [LateFigure(f, needed[f.pk], dates[f.pk]) for f in figures if f.pk in needed]
    return tuple(sorted(found, key=lambda one: -one.dates.late_min))


def _other_work(show: Show, day: date) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    blocks = OtherWork.objects.for_company(show.company).filter(first__lte=day, last__gte=day)
    for maker, word in blocks.values_list("maker_id", "word"):
        found[maker].append(word)
    return found
