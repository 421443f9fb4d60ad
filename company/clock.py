"""The only reader of the clock. The setting TODAY fixes it, for demos and tests."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone


class HasTimeZone(Protocol):
    """Anything with an IANA zone name; a Company in practice."""

    time_zone: str


_told: ContextVar[datetime | None] = ContextVar("told", default=None)


def now() -> datetime:
    """The instant it is, in UTC; the fixed instant where TODAY is set."""
    fixed: datetime | None = _told.get() or settings.TODAY
    return fixed if fixed is not None else timezone.now()


@contextmanager
def fixed_at(instant: datetime) -> Iterator[None]:
    """Let it be this instant (with its zone) for what is called inside: for laying a story."""
    token = _told.set(instant.astimezone(UTC))
    try:
        yield
    finally:
        _told.reset(token)


def today(company: HasTimeZone) -> date:
    """The calendar day it is where the company works."""
    return now().astimezone(ZoneInfo(company.time_zone)).date()


def ticking_now() -> datetime:
    """The real instant even where TODAY is set: for heartbeats, which must move."""
    return datetime.now(UTC)


def elapsed_s() -> float:
    """Seconds on a clock that only goes forward, from an arbitrary start: for time budgets."""
    return time.monotonic()
