"""Instants as the core counts them: whole minutes from 1970-01-01 00:00 UTC.

So an instant never changes its number; zones and summer time are settled on this side.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from company.core.working_time import UNIX_EPOCH

QUARTER_MIN = 15
MINUTE = timedelta(minutes=1)


def minute_of(instant: datetime) -> int:
    """Whole minutes from the epoch, rounded down."""
    return (instant - UNIX_EPOCH) // MINUTE


def instant_of(minute: int) -> datetime:
    """The instant, in UTC, of a minute from the epoch."""
    return UNIX_EPOCH + minute * MINUTE


def end_of_day(when: date, zone: ZoneInfo) -> int:
    """The minute at which a day of the company ends."""
    return minute_of(datetime.combine(when + timedelta(days=1), time(), zone))
