"""Until when what a guise needs can be left open: before work that depends on it begins."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Min

from builds.core.stepping import FIGURE
from builds.models import Figure, Plan, PlannedStep
from builds.queries.build_minutes import read_build_minutes
from builds.queries.plans import latest_plan
from builds.queries.steps import read_routes
from company.core.working_time import total_min
from company.models import Maker
from company.queries import Diary
from company.templatetags.words import full_day
from scenes.models import Appearance, Guise, Show

FARTHEST_DAYS = 3 * 366

LastDays = dict[int, tuple[date, str]]


def read_last_days(show: Show, guises: Collection[int]) -> LastDays:
    """By guise the last day on which one figure more of it can still be decided, and how found.

    Where the newest plan has a figure of the guise that nobody has begun, its latest start: one
    figure more takes as long. Else the day it is needed by, less a figure's hours in the lead's
    own week and its drying. A guise is missing where no day is known.
    """
    wanted = set(guises)
    if not wanted:
        return {}
    found = _from_plan(show, latest_plan(show), wanted)
    missing = wanted - found.keys()
    return {**found, **_from_hours(show, missing)} if missing else found


def _from_plan(show: Show, plan: Plan | None, guises: set[int]) -> LastDays:
    if plan is None:
        return {}
    zone = ZoneInfo(show.company.time_zone)
    begun = Figure.objects.filter(show=show, steps__begun_at__isnull=False)
    rows = (
        PlannedStep.objects.filter(plan=plan, step__figure__guise__in=guises)
        .exclude(step__figure__in=begun)
        .exclude(latest_start=None)
        .values("step__figure", "step__figure__guise", "step__figure__letters",
                "step__figure__number")
        .annotate(first=Min("latest_start"))
    )  # fmt: skip
    found: LastDays = {}
    for row in rows.order_by("first"):
        tag = f"{row['step__figure__letters']}{row['step__figure__number']}"
        day = row["first"].astimezone(zone).date()
        words = f"{tag} takes as long, and its work begins by then at the latest"
        found[row["step__figure__guise"]] = (day, words)
    return found


def _from_hours(show: Show, guises: set[int]) -> LastDays:
    needed = _needed_by(show, guises)
    lead = Maker.objects.filter(company=show.company, is_lead=True, struck_at=None).first()
    if not needed or lead is None:
        return {}
    figure_min, _ = read_build_minutes(show, {})
    waits = {
        kind: sum(stage.wait_min for stage in stages if stage.scope == FIGURE)
        for kind, stages in read_routes(show.company).items()
    }
    diary = Diary(show.company, [lead])
    found: LastDays = {}
    for guise in Guise.objects.filter(pk__in=needed):
        day, minutes = needed[guise.pk], figure_min.get(guise.pk, 0)
        dry_days = -(-waits.get(guise.kind, 0) // 1440)
        first = day - timedelta(days=dry_days)
        left = minutes
        while left > 0 and (day - first).days < FARTHEST_DAYS:
            left -= total_min(diary.calendar(lead).day(first))
            if left > 0:
                first -= timedelta(days=1)
        drying = f" and {dry_days} days of drying" if dry_days else ""
        words = (
            f"needed by {full_day(day)}, less {round(minutes / 60)} h in {lead.name}'s own "
            f"week{drying}"
        )
        found[guise.pk] = (first, words)
    return found


def _needed_by(show: Show, guises: set[int]) -> dict[int, date]:
    """By guise the earliest rehearsal of a scene that it is in, else the show's, else opening."""
    rows = Appearance.objects.filter(draft=show.current_draft_id, guise__in=guises)
    scenes = dict(
        rows.exclude(scene__needed_by=None)
        .values_list("guise")
        .annotate(first=Min("scene__needed_by"))
        .order_by()
    )
    usual = show.needed_by or show.opening
    days = {guise: scenes.get(guise) or usual for guise in guises}
    return {guise: day for guise, day in days.items() if day is not None}
