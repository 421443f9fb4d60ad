"""The only reader of the clock. The setting TODAY fixes it, for demos and tests."""

import time
from datetime import UTC, date, datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone


class HasTimeZone(Protocol):
    """Anything with an IANA zone name; a Company in practice."""

    time_zone: str


def now() -> datetime:
    """The instant it is, in UTC; the fixed instant where TODAY is set."""
    fixed: datetime | None = settings.TODAY
    return fixed if fixed is not None else timezone.now()


def today(company: HasTimeZone) -> date:
    """The calendar day it is where the company works."""
    return now().astimezone(ZoneInfo(company.time_zone)).date()


def ticking_now() -> datetime:
    """The real instant even where TODAY is set: for heartbeats, which must move."""
    return datetime.now(UTC)


def elapsed_s() -> float:
    """Seconds on a clock that only goes forward, from an arbitrary start: for time budgets."""
    return time.monotonic()
