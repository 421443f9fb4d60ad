"""The clock, fixed and running."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import pytest

from company import clock
from company.env import Environment


@dataclass
class Here:
    time_zone: str


def test_fixed_clock_stands_still(settings):
    settings.TODAY = datetime(2026, 3, 4, 10, tzinfo=UTC)
    assert clock.now() == clock.now() == datetime(2026, 3, 4, 10, tzinfo=UTC)


def test_running_clock_is_in_utc(settings):
    settings.TODAY = None
    assert clock.now().utcoffset() == timedelta(0)
    assert abs(clock.now() - datetime.now(UTC)) < timedelta(seconds=5)


@pytest.mark.parametrize(
    ("zone", "day"), [("Europe/London", date(2026, 7, 1)), ("Pacific/Auckland", date(2026, 7, 2))]
)
def test_today_is_the_company_s_own(settings, zone, day):
    settings.TODAY = datetime(2026, 7, 1, 22, 30, tzinfo=UTC)
    assert clock.today(Here(zone)) == day


@pytest.mark.parametrize(
    "zone", ["Pacific/Honolulu", "America/Los_Angeles", "UTC", "Asia/Tokyo", "Pacific/Auckland"]
)
@pytest.mark.parametrize("day", ["2026-01-15", "2026-07-15"])
def test_a_day_alone_is_that_day_nearly_everywhere(settings, zone, day):
    settings.TODAY = Environment({"TODAY": day}).instant("TODAY")
    assert clock.today(Here(zone)) == date.fromisoformat(day)


def test_heartbeats_and_budgets_move_though_the_day_is_fixed(settings):
    settings.TODAY = datetime(2020, 1, 1, tzinfo=UTC)
    assert clock.ticking_now().year > 2020
    assert clock.elapsed_s() <= clock.elapsed_s()
