"""How moulds stand: what is in them, how worn they are, whether they may be poured."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from builds.core.casting.life import MouldState
from builds.models import Casting, Mould, Pour
from builds.queries.materials import Materials, casting_times
from builds.queries.mould_times import clock_of


def state_of(mould: Mould, known: Materials, pours: Iterable[Pour] | None = None) -> MouldState:
    """The mould as the core judges it. `pours` are its own with castings, where they are read."""
    if pours is None:
        pours = Pour.objects.filter(mould=mould, struck_at=None).prefetch_related("castings")
    poured = [pour for pour in pours if pour.poured_at is not None and pour.struck_at is None]
    filled = next((pour for pour in poured if pour.opened_at is None), None)
    running = clock_of(filled) if filled is not None else None
    times = casting_times(known.company, mould.casting_material, materials=known)
    zone = ZoneInfo(mould.pattern.show.company.time_zone)
    last = _last(pour.poured_at for pour in poured)
    since = max(filter(None, [mould.first_use, mould.dried_at]), default=None)
    return MouldState(
        first_use=mould.first_use,
        retired=mould.is_retired,
        holds=running.open_due if running is not None else None,
        is_filled=filled is not None,
        last_poured=last.astimezone(zone) if last is not None else None,
        last_opened=_last(pour.opened_at for pour in poured),
        rest_min=mould.rest_min or times.rest_min or 0,
        pours_since_dry=sum(since is None or pour.poured_at >= since for pour in poured),
        dry_every=mould.dry_every or times.dry_every,
        drawn=drawn_of(poured),
        life=mould.life,
    )


def drawn_of(pours: Iterable[Pour]) -> int:
    """Castings that the mould has given or holds."""
    return sum(
        casting.struck_at is None
        for pour in pours
        if pour.poured_at is not None
        for casting in pour.castings.all()  # type: ignore[attr-defined]
    )


def record_of(moulds: Iterable[Mould], castings: Iterable[Casting]) -> tuple[int, int]:
    """How many castings of these moulds came out good, and how many did not."""
    own = {mould.pk for mould in moulds}
    results = [
        casting.result
        for casting in castings
        if casting.struck_at is None and casting.result and casting.pour.mould_id in own
    ]
    good = sum(result == Casting.Result.GOOD for result in results)
    return good, len(results) - good


def _last(instants: Iterable[datetime | None]) -> datetime | None:
    return max((instant for instant in instants if instant is not None), default=None)
