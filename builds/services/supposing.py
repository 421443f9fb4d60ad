"""Supposing: a changed copy of the show is planned and set beside the show as it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

from django.core.cache import cache

from builds.core import planning as core
from builds.core.planning.keeping import solve_keeping
from builds.core.planning.load import Filled, find_loads
from builds.core.planning.problem import Fixed, Problem
from builds.loading import Loaded, instant_of, load_problem, places_of, standing_of
from builds.loading.supposing import Suppose, change_all, midnight
from builds.queries.plans import latest_plan
from builds.services.plan_reasons import nothing_to_plan
from builds.services.plan_words import dated
from company import clock
from scenes.models import Show

WORK = 100  # rounds for each of the two plans that are set side by side
KEEP_S = 3600
DAY_MIN = 1440


@dataclass(frozen=True, slots=True)
class LateOne:
    """A figure that misses its date, by days begun."""

    tag: str
    days: int


@dataclass(frozen=True, slots=True)
class PersonLoad:
    """What somebody has in hand until all is ready, and in how many of their weeks it is all."""

    name: str
    planned_min: int
    full_weeks: int
    weeks: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a plan comes to, as plain values; `reasons` where there is none."""

    ready: date | None
    in_hand: int | None
    late_min: int
    late: tuple[LateOne, ...]
    work_min: int
    people: tuple[PersonLoad, ...]
    figures: int
    reasons: tuple[str, ...] = ()

    @property
    def is_in_time(self) -> bool:
        """All ready by opening, and no figure late for its date."""
        return (
            not self.reasons and not self.late_min and (self.in_hand is None or self.in_hand >= 0)
        )

    @property
    def late_days(self) -> int:
        """Days late over all figures."""
        return sum(one.days for one in self.late)

    @property
    def score(self) -> tuple[int, int, int]:
        """What is made small: no plan at all, minutes late, then the day that all is ready."""
        return (bool(self.reasons), self.late_min, self.ready.toordinal() if self.ready else 0)


@dataclass(frozen=True, slots=True)
class Comparison:
    """The show as it stands beside the show as supposed."""

    now: Outcome
    then: Outcome | None
    wall_ready: date | None
    keeps_told: bool = False  # whether the wall keeps what helpers were told for the next days

    @property
    def days_gained(self) -> int | None:
        """Days by which all is ready sooner; negative for later."""
        if self.then is None or self.then.ready is None or self.now.ready is None:
            return None
        return (self.now.ready - self.then.ready).days

    @property
    def days_lost(self) -> int:
        """Days by which all is ready later; nought where it is not."""
        return max(0, -(self.days_gained or 0))


@dataclass(frozen=True, slots=True)
class Found:
    """What a plan comes to, and where its steps stand."""

    outcome: Outcome
    places: dict[str, Fixed] = field(default_factory=dict)


class Supposing:
    """A show read once, of which any number of changed copies can be planned.

    What helpers were told for the next days may move on both sides: else a day off, which breaks
    a promise, would be thanked for what the broken promise gains.
    """

    def __init__(self, show: Show, stop: Callable[[], bool] | None = None) -> None:
        self.show = show
        self.zone = ZoneInfo(show.company.time_zone)
        self.loaded: Loaded = load_problem(show)
        self.newest = latest_plan(show)
        stands = self.newest if self.newest and self.newest.status != "none" else None
        self.standing = standing_of(self.loaded, stands)
        self.stop = stop

    def find(
        self, supposes: tuple[Suppose, ...], other: Found | None = None, *, work: int = WORK
    ) -> Found:
        """Plan the show with all that is supposed, beginning from the newest plan and from what
        was found for `other` supposes: no copy is worse than these for want of looking."""
        missing = nothing_to_plan(self.loaded)
        if missing:
            return Found(_no_plan(missing))
        problem = change_all(self.loaded, supposes)
        found = solve_keeping(
            problem,
            self.standing,
            keep_until=problem.now,
            newest=other.places if other is not None else None,
            work=work,
            seed=1,
            stop=self.stop,
        ).plan
        if found.status == "none":
            return Found(_no_plan([dated(reason, self.show) for reason in found.reasons]))
        return Found(self._tell(problem, found), places_of(found))

    def _tell(self, problem: Problem, found: core.Plan) -> Outcome:
        ready = instant_of(found.ready or problem.now).astimezone(self.zone).date()
        opening = None
        if problem.opening is not None:
            opening = instant_of(problem.opening - 1).astimezone(self.zone).date()
        late = [
            LateOne(one.id, -(-one.late_min // DAY_MIN)) for one in found.figures if one.late_min
        ]
        left = [step for step in problem.steps if step.fixed is None and not step.unattended]
        return Outcome(
            ready=ready,
            in_hand=(opening - ready).days if opening else None,
            late_min=found.lateness,
            late=tuple(sorted(late, key=lambda one: -one.days)),
            work_min=sum(step.minutes * (2 if step.second else 1) for step in left),
            people=self._people(problem, found, ready),
            figures=len(problem.figures),
        )

    def _people(self, problem: Problem, found: core.Plan, ready: date) -> tuple[PersonLoad, ...]:
        monday = clock.today(self.show.company)
        monday -= timedelta(days=monday.weekday())
        count = (ready - monday).days // 7 + 1
        weeks = [
            (
                max(problem.now, midnight(monday + timedelta(days=7 * n), self.zone)),
                midnight(monday + timedelta(days=7 * n + 7), self.zone),
            )
            for n in range(count)
        ]
        loads = find_loads(problem, found, weeks)
        return tuple(_person(name, filled) for name, filled in loads.people.items())


def _person(name: str, filled: Filled) -> PersonLoad:
    return PersonLoad(
        name,
        sum(filled.planned_min),
        sum(filled.full),
        sum(room > 0 for room in filled.room_min),
    )


def _no_plan(reasons: list[str]) -> Outcome:
    return Outcome(None, None, 0, (), 0, (), 0, tuple(reasons))


def compare(show: Show, supposes: tuple[Suppose, ...]) -> Comparison:
    """Now, and then, looked for beginning from it; what is found for then is tried on now.

    What was found for a problem is kept for an hour: it is asked for again whenever somebody goes
    back and forth.
    """
    supposing = Supposing(show)
    newest = supposing.newest
    now = _kept(supposing, ())
    then = _kept(supposing, supposes, now) if supposes else None
    if then is not None and then.outcome.score < now.outcome.score:
        now = _learn(supposing, now, then)
    return Comparison(
        now.outcome,
        then.outcome if then is not None else None,
        newest.ready.astimezone(supposing.zone).date() if newest and newest.ready else None,
        keeps_told=newest is not None and newest.kept_until is not None,
    )


def find_supposed(supposing: Supposing, supposes: tuple[Suppose, ...]) -> Found:
    """What is found with all that is supposed, as it was set beside the show as it stands."""
    return _kept(supposing, supposes, _kept(supposing, ()))


def _kept(supposing: Supposing, supposes: tuple[Suppose, ...], now: Found | None = None) -> Found:
    key = _key(supposing, supposes)
    found: Found | None = cache.get(key)
    if found is None:
        found = supposing.find(supposes, now)
        cache.set(key, found, KEEP_S)
    return found


def _learn(supposing: Supposing, now: Found, then: Found) -> Found:
    """What was found for the copy, tried on the show as it stands: a gain that owes nothing to
    what is supposed is not put down to it."""
    tried = supposing.find((), then, work=0)
    if tried.outcome.score >= now.outcome.score:
        return now
    cache.set(_key(supposing, ()), tried, KEEP_S)
    return tried


def _key(supposing: Supposing, supposes: tuple[Suppose, ...]) -> str:
    problem = change_all(supposing.loaded, supposes)
    seen = problem, sorted(supposing.standing.items())
    return "suppose." + sha256(repr(seen).encode()).hexdigest()
