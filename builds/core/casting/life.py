"""A mould's life: how worn it is, when it is ready, and when one mould is not enough."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum

WORN_FROM = 2 / 3  # warned at twenty of thirty castings; common practice, no source


class Wear(Enum):
    """How far a mould's life is used up."""

    FRESH = "fresh"
    WORN = "worn"
    SPENT = "spent"


def wear_of(drawn: int, life: int) -> Wear:
    """How worn a mould is after `drawn` castings of the `life` it is good for (1 and up).

    Worn from two thirds of its life on (a plaster mould for slip: 20 of 30), spent at its end.
    It is a warning, not a rule: the maker looks at the mould. Common practice, no source.

    >>> wear_of(19, 30), wear_of(20, 30), wear_of(30, 30)
    (<Wear.FRESH: 'fresh'>, <Wear.WORN: 'worn'>, <Wear.SPENT: 'spent'>)
    """
    if life < 1:
        raise ValueError(f"life must be 1 casting or more, got {life}")
    if drawn < 0:
        raise ValueError(f"drawn must be 0 castings or more, got {drawn}")
    if drawn >= life:
        return Wear.SPENT
    return Wear.WORN if drawn >= math.ceil(life * WORN_FROM) else Wear.FRESH


@dataclass(frozen=True, slots=True)
class MouldState:
    """What decides whether a mould may be poured: instants with zones, minutes, counts.

    `first_use` None: not made. `holds` is the pour that is in it, as the instant at which it may
    be opened at the earliest. `last_opened` is when the last pour came out.
    """

    first_use: datetime | None
    retired: bool = False
    holds: datetime | None = None
    is_filled: bool = False
    last_poured: datetime | None = None
    last_opened: datetime | None = None
    rest_min: int = 0
    pours_since_dry: int = 0
    dry_every: int | None = None
    drawn: int = 0
    life: int = 30


@dataclass(frozen=True, slots=True)
class Ready:
    """Whether a mould may be poured now: what forbids it, what warns, and from when it may."""

    forbidden: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    ready_at: datetime | None = None

    @property
    def is_free(self) -> bool:
        """Nothing forbids it and nothing warns."""
        return not self.forbidden and not self.warnings


def is_ready(state: MouldState, now: datetime) -> Ready:
    """What stands against a pour at `now`. A pour is refused where `forbidden` is not empty.

    A warning lets the maker pour all the same, with a reason. `ready_at` is the earliest instant
    by drying, by what is in the mould and by its rest; None where no instant is known.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 3, 4, 12, tzinfo=UTC)
    >>> dry = MouldState(first_use=noon - timedelta(days=1))
    >>> is_ready(dry, noon).is_free
    True
    >>> is_ready(MouldState(first_use=noon + timedelta(days=2)), noon).warnings
    ('it is still drying',)
    >>> is_ready(MouldState(first_use=None), noon).forbidden
    ('it is not made yet',)
    """
    forbidden: list[str] = []
    warnings: list[str] = []
    if state.retired:
        forbidden.append("it is retired")
    if state.first_use is None:
        forbidden.append("it is not made yet")
    if state.is_filled:
        forbidden.append("a casting is still in it")
    instants = [state.first_use, state.holds, _rested(state)]
    if state.first_use is not None and state.first_use > now:
        warnings.append("it is still drying")
    rested = _rested(state)
    if rested is not None and rested > now and not state.is_filled:
        warnings.append("it rests after its last pour")
    if state.dry_every and state.pours_since_dry >= state.dry_every:
        warnings.append(f"it has had {state.pours_since_dry} pours since it was last dried")
    if wear_of(state.drawn, state.life) is Wear.SPENT:
        warnings.append(f"it has given all {state.life} castings it is good for")
    known = [instant for instant in instants if instant is not None]
    ready_at = max(known) if known and not state.retired and state.first_use else None
    return Ready(tuple(forbidden), tuple(warnings), ready_at)


def _rested(state: MouldState) -> datetime | None:
    """When the mould has rested, from one pour to the next: one a day means the next morning."""
    if state.last_poured is None or not state.rest_min:
        return None
    rested = state.last_poured + timedelta(minutes=state.rest_min)
    if state.rest_min % (24 * 60):
        return rested
    return rested.replace(hour=0, minute=0, second=0, microsecond=0)


@dataclass(frozen=True, slots=True)
class MoreMoulds:
    """How many moulds are needed and why more than one: by life, by dates, or ''."""

    moulds: int
    why: str = ""


def moulds_needed(
    pours: int, cavities: int, life_left: Sequence[int], days_left: float, cycle_days: float
) -> MoreMoulds:
    """How many moulds `pours` pours ask for, with moulds that have `life_left` castings each.

    By life: as many fresh ones more as the castings beyond what is left of the moulds there are,
    each taken to be as good as the best of these was. By dates: pours that follow one another
    `cycle_days` apart must be out within `days_left` days from the first use; a day on which one
    more mould could not be ready in time is not judged here. Counts 0 and up, days above 0.

    >>> moulds_needed(6, 1, [20], days_left=10, cycle_days=1)
    MoreMoulds(moulds=1, why='')
    >>> moulds_needed(6, 1, [20], days_left=3, cycle_days=1)
    MoreMoulds(moulds=2, why='dates')
    >>> moulds_needed(6, 1, [4], days_left=30, cycle_days=1)
    MoreMoulds(moulds=2, why='life')
    """
    if cavities < 1 or cycle_days <= 0:
        raise ValueError(f"cavities 1 up and cycle_days above 0, got {cavities}, {cycle_days}")
    have = len(life_left)
    if pours <= 0:
        return MoreMoulds(max(have, 0))
    spare = sum(left // cavities for left in life_left)
    fresh = max([*(left // cavities for left in life_left), 1])
    by_life = have + (math.ceil((pours - spare) / fresh) if pours > spare else 0)
    by_life = max(by_life, 1)
    room = max(1, math.floor(days_left / cycle_days + 1e-9)) if days_left > 0 else 1
    by_dates = math.ceil(pours / room)
    if by_life > max(have, 1):
        return MoreMoulds(max(by_life, by_dates), "life")
    if by_dates > max(have, 1):
        return MoreMoulds(by_dates, "dates")
    return MoreMoulds(max(have, 1))
