"""What is in the moulds now, with what comes next and when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from builds.core.casting.moments import Moment, PourClock
from builds.models import Casting, Mould, Pour
from builds.queries.mould_times import clock_of
from scenes.models import Show


@dataclass(frozen=True)
class InMould:
    """A pour that is not opened yet, with what comes next and when."""

    pour: Pour
    clock: PourClock
    moment: Moment
    due: datetime | None
    is_due: bool
    castings: tuple[Casting, ...]


def filled_by(pour: Pour, now: datetime) -> InMould:
    """A pour that is in its mould; its castings should be read."""
    known = clock_of(pour)
    assert known is not None
    moment, due = known.next_at(now)
    castings = tuple(c for c in pour.castings.all() if c.struck_at is None)  # type: ignore[attr-defined]
    return InMould(pour, known, moment, due, due is None or due <= now, castings)


def by_due(one: InMould) -> tuple[bool, datetime]:
    """What is due first comes first; what has no known time comes last."""
    return one.due is None, one.due or one.clock.poured_at


def pours_in_moulds(show: Show, now: datetime) -> tuple[InMould, ...]:
    """Everything of a show that is in a mould, what is due first on top; two queries."""
    castings = Casting.objects.select_related("pattern", "figure").order_by("number")
    rows = Pour.objects.filter(
        mould__pattern__show=show, poured_at__isnull=False, opened_at=None, struck_at=None
    )
    rows = rows.select_related("mould__pattern").prefetch_related(Prefetch("castings", castings))
    return tuple(sorted((filled_by(pour, now) for pour in rows), key=by_due))


def first_uses(show: Show) -> dict[int, datetime]:
    """By pattern: from when on its first mould may be poured, where that is made."""
    rows = Mould.objects.filter(pattern__show=show, number=1, first_use__isnull=False)
    return dict(rows.values_list("pattern_id", "first_use"))
