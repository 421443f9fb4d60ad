"""A plan as one plain document for scripts: dates, then every step with its people and times."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from builds.models import Plan, PlannedStep, Step
from builds.queries.plans import days_in_hand, ready_day
from builds.queries.steps import live_steps
from scenes.models import Show


def plan_document(show: Show, plan: Plan) -> dict[str, Any]:
    """Dates as ISO 8601 days, instants with the company's offset; `reasons` where there is none.

    Finished steps stand with when they were done. The parts of a long step stand as one.
    """
    zone = ZoneInfo(show.company.time_zone)
    ready = ready_day(plan, zone)
    document: dict[str, Any] = {
        "show": show.title,
        "ready": ready.isoformat() if ready else None,
        "opening": show.opening.isoformat() if show.opening else None,
        "days_in_hand": days_in_hand(show, plan),
        "bound": plan.bound.astimezone(zone).date().isoformat() if plan.bound else None,
    }
    if plan.status == "none":
        return {**document, "reasons": plan.reasons, "steps": []}
    rows: dict[int, list[PlannedStep]] = {}
    for row in PlannedStep.objects.filter(plan=plan).select_related("maker", "second"):
        rows.setdefault(row.step_id, []).append(row)
    steps = live_steps(show).select_related("begun_by", "stage__craft")
    found = [_step_row(step, rows.get(step.pk, []), zone) for step in steps]
    document["steps"] = sorted(found, key=lambda one: (one["start"] or "", one["id"]))
    return document


def _step_row(step: Step, rows: list[PlannedStep], zone: ZoneInfo) -> dict[str, Any]:
    done = step.finished_at is not None
    first = rows[0] if rows else None
    person = step.begun_by if done else first.maker if first else None
    start = step.begun_at if done else first.start if first else None
    finish = step.finished_at if done else rows[-1].finish if rows else None
    guise = step.figure.guise if step.figure else step.guise
    return {
        "id": step.pk,
        "step": step.stage.name,
        "figure": step.figure.tag if step.figure else None,
        "guise": str(guise) if guise else str(step.pattern or step.pour),
        "person": person.name if person else None,
        "second": first.second.name if first and first.second and not done else None,
        "start": _said(start, zone),
        "finish": _said(finish, zone),
        "latest_start": _said(first.latest_start if first and not done else None, zone),
        "done": done,
    }


def _said(instant: datetime | None, zone: ZoneInfo) -> str | None:
    return instant.astimezone(zone).isoformat() if instant else None
