"""Where the steps of a problem stand: in a plan kept in rows, and in one just found."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from zoneinfo import ZoneInfo

from builds.core.planning.plan import Plan as FoundPlan
from builds.core.planning.problem import Fixed
from builds.loading.instants import end_of_day, minute_of
from builds.loading.problem import Loaded
from builds.models import Plan, PlannedStep
from builds.queries.plans import latest_plan, pinned_up_plan
from company import clock
from scenes.models import Show

PROMISED_DAYS = 14  # helpers' days so far ahead move only when the lead says so
Standing = dict[str, Fixed]


@dataclass(frozen=True, slots=True)
class Beside:
    """What a plan is made beside: where steps are pinned up, until which minute helpers' steps
    stay there, and where they stand in the newest forecast (empty where there is none)."""

    pinned: Standing = field(default_factory=dict)
    keep_until: int = 0
    newest: Standing = field(default_factory=dict)


def read_beside(show: Show, loaded: Loaded, *, is_released: bool) -> Beside:
    """What stands of a show. A forecast made with other promises is not begun from."""
    pinned, newest = pinned_up_plan(show), latest_plan(show)
    until = loaded.problem.now
    if pinned is not None and not is_released:
        last = clock.today(show.company) + timedelta(days=PROMISED_DAYS)
        until = end_of_day(last, ZoneInfo(show.company.time_zone))
    if newest is not None and (
        newest == pinned or newest.status == "none" or newest.is_released != is_released
    ):
        newest = None  # the pinned-up plan is begun from anyway
    return Beside(standing_of(loaded, pinned), until, standing_of(loaded, newest))


def standing_of(loaded: Loaded, plan: Plan | None) -> Standing:
    """The plan's places by the problem's ids; a step cut into other parts by now has none."""
    if plan is None:
        return {}
    rows = PlannedStep.objects.filter(plan=plan, step__finished_at=None).select_related(
        "maker", "second"
    )
    found: Standing = {}
    for row in rows:
        ident = f"{row.step_id}" if row.parts == 1 else f"{row.step_id}.{row.part}"
        piece = loaded.pieces.get(ident)
        if piece is not None and piece.parts == row.parts:
            found[ident] = Fixed(
                row.maker.name,
                minute_of(row.start),
                minute_of(row.finish),
                row.second.name if row.second else None,
            )
    return found


def places_of(found: FoundPlan) -> Standing:
    """Where the steps stand in a plan that is not kept."""
    return {
        step.id: Fixed(step.person, step.start, step.finish, step.second)
        for step in found.steps
        if step.person is not None
    }
