"""What moves between two plans, for whom: said before one is pinned up, and after."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from builds.models import Plan, PlannedStep, Step
from builds.queries.pieces import planned_rows
from company import clock
from company.models import Maker
from company.templatetags.words import counted
from company.templatetags.words import day as day_words
from scenes.models import Show

SOON_DAYS = 14


@dataclass(frozen=True, slots=True)
class Place:
    """Where a step stands in a plan: whose, from its first day to its last."""

    maker: Maker
    second: Maker | None
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Move:
    """One step that stands elsewhere for one person, as a sentence; `day` sorts it."""

    step: Step
    words: str
    day: date
    is_soon: bool


@dataclass(frozen=True, slots=True)
class PersonMoves:
    """What moves for one person."""

    maker: Maker
    soon: tuple[Move, ...]
    later: tuple[Move, ...]
    same: int

    @property
    def count(self) -> int:
        """Moves in all."""
        return len(self.soon) + len(self.later)


@dataclass(frozen=True, slots=True)
class Moves:
    """What moves from one plan to another.

    `told`: helpers' steps ahead in the days that the plan keeps where it can; `stand`: those of
    them that are still on the same days with the same people.
    """

    before: Plan | None
    after: Plan
    people: tuple[PersonMoves, ...]
    told: int = 0
    stand: int = 0

    @property
    def moved(self) -> tuple[PersonMoves, ...]:
        """The people for whom anything moves."""
        return tuple(person for person in self.people if person.count)

    @property
    def unmoved(self) -> tuple[PersonMoves, ...]:
        """The people for whom nothing does."""
        return tuple(person for person in self.people if not person.count)

    def seen_by(self, maker: Maker | None) -> Moves:
        """The same with the one who looks first."""
        return replace(self, people=tuple(sorted(self.people, key=lambda p: p.maker != maker)))

    def lede_for(self, maker: Maker | None) -> str:
        """The answer in a sentence to one person; `lede` where it is nothing of theirs."""
        own = next((person for person in self.people if person.maker == maker), None)
        if own is None or self.before is None:
            return self.lede
        if not own.count:
            return "Nothing moves for you."
        soon = len(own.soon)
        said = "none" if not soon else "all" if soon == own.count else str(soon)
        return (
            f"It moves {counted(own.count, 'step')} for you, {said} of them in the next two weeks."
        )

    @property
    def lede(self) -> str:
        """The answer in a sentence."""
        if self.before is None:
            return "Nothing was pinned up before: everything on it is new."
        if not self.moved:
            return "Nothing moves for anybody."
        said = [f"{counted(person.count, 'step')} for {person.maker.name}" for person in self.moved]
        listed = " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)
        return f"It moves {listed}."


def plan_before(plan: Plan) -> Plan | None:
    """What was pinned up before this plan; for a draft what is pinned up now."""
    pinned = Plan.objects.filter(show=plan.show_id, pinned_up_at__isnull=False).exclude(pk=plan.pk)
    if plan.pinned_up_at is not None:
        pinned = pinned.filter(pinned_up_at__lt=plan.pinned_up_at)
    return pinned.order_by("-pinned_up_at", "-pk").first()


def read_moves(show: Show, before: Plan | None, after: Plan) -> Moves:
    """What moves, by person, in a flat number of queries. Work that is done has no more moves."""
    zone = ZoneInfo(show.company.time_zone)
    today = clock.today(show.company)
    soon = today + timedelta(days=SOON_DAYS)
    old = _places(before, zone) if before is not None else {}
    new = _places(after, zone)
    steps = {step.pk: step for step, _ in [*old.values(), *new.values()]}
    found: dict[Maker, list[Move]] = defaultdict(list)
    same: dict[Maker, int] = defaultdict(int)
    for pk, step in steps.items():
        was = old[pk][1] if pk in old else None
        now = new[pk][1] if pk in new else None
        for maker in _people(was) | _people(now):
            said = _say(maker, was, now)
            if not said:
                same[maker] += 1
                continue
            days = [place.first for place in (now, was) if place is not None]
            is_soon = any(today <= day <= soon for day in days)
            found[maker].append(Move(step, said, days[0], is_soon))
    makers = sorted(set(found) | set(same), key=lambda m: (not m.is_lead, m.name))
    told = [pk for pk, (_, place) in old.items() if _was_told(place, after, zone) and pk in new]
    return Moves(
        before,
        after,
        tuple(_person(m, found[m], same[m]) for m in makers),
        told=len(told),
        stand=sum(old[pk][1] == new[pk][1] for pk in told),
    )


def _was_told(place: Place, after: Plan, zone: ZoneInfo) -> bool:
    """Whether a helper was told of it for the days that the plan keeps."""
    until = after.kept_until.astimezone(zone).date() if after.kept_until else None
    helps = any(not maker.is_lead for maker in _people(place))
    return until is not None and helps and place.first < until


def _person(maker: Maker, moves: list[Move], same: int) -> PersonMoves:
    ordered = sorted(moves, key=lambda move: (move.day, move.step.pk))
    return PersonMoves(
        maker,
        tuple(move for move in ordered if move.is_soon),
        tuple(move for move in ordered if not move.is_soon),
        same,
    )


def _places(plan: Plan, zone: ZoneInfo) -> dict[int, tuple[Step, Place]]:
    """Each step with all its parts as one place."""
    parts: dict[int, list[PlannedStep]] = defaultdict(list)
    for row in planned_rows(plan):
        parts[row.step_id].append(row)
    return {
        pk: (
            rows[0].step,
            Place(
                rows[0].maker,
                rows[0].second,
                min(row.start for row in rows).astimezone(zone).date(),
                max(row.finish for row in rows).astimezone(zone).date(),
            ),
        )
        for pk, rows in parts.items()
    }


def _people(place: Place | None) -> set[Maker]:
    if place is None:
        return set()
    return {maker for maker in (place.maker, place.second) if maker is not None}


def _say(maker: Maker, was: Place | None, now: Place | None) -> str:
    """What moves of a step for this person, as the end of a sentence; '' where nothing does."""
    before, after = maker in _people(was), maker in _people(now)
    if not before and now is not None:
        if was is None:
            return f"is new, {_when(now)}"
        if now.second == maker:
            return f"needs {maker.name} beside {now.maker.name} {_when(now)}"
        return f"comes from {was.maker.name}, to be done {_when(now)}"
    if not after and was is not None:
        if now is None:
            return f"is no longer planned; it was {_when(was)}"
        if was.second == maker:
            return f"no longer needs {maker.name} {_when(was)}"
        return f"goes to {now.maker.name}, who does it {_when(now)}"
    assert was is not None
    assert now is not None
    if was.first != now.first:
        days = (now.first - was.first).days
        shift = f"{counted(abs(days), 'day')} {'later' if days > 0 else 'sooner'}"
        if was.first == was.last and now.first == now.last:
            return f"moves from {_span(was)} to {_span(now)}, {shift}"
        return f"begins on {day_words(now.first)}, not on {day_words(was.first)}: {shift}"
    if was.last != now.last:
        return f"begins on {day_words(now.first)} as before, and is done on {day_words(now.last)}"
    return ""


def _when(place: Place) -> str:
    """'on Fri 27 Nov', 'from Thu 26 Nov to Mon 30 Nov'."""
    return f"{'on' if place.first == place.last else 'from'} {_span(place)}"


def _span(place: Place) -> str:
    if place.first == place.last:
        return day_words(place.first)
    return f"{day_words(place.first)} to {day_words(place.last)}"
