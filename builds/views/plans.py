"""The wall plan: looked at, made anew, improved while one watches, pinned up."""

from __future__ import annotations

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.drawings.wall import hang_plan
from builds.models import Plan, PlanRun
from builds.queries.plans import (
    days_in_hand,
    is_out_of_date,
    pinned_up_plan,
    plan_seen_by,
    ready_day,
)
from builds.queries.wall import read_wall
from builds.services.plan_runs import LIVE, ask_for_better, end_silent_runs, stop_run
from builds.services.plans import CannotPinUp, make_plan, pin_up
from company.access import membership_of, row_for
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Show


@require_safe
def wall_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """Six weeks of the plan as a wall of slips, or all of it as a list."""
    show = show_for(request.user, pk, Role.READER)
    return _wall(request, show)


def _wall(request: HttpRequest, show: Show, *, status: int = 200) -> HttpResponse:
    plan = plan_seen_by(request.user, show)  # type: ignore[arg-type]
    place = membership_of(request.user, show.company)  # type: ignore[arg-type]
    is_lead = place.allows(Role.LEAD)
    context: dict[str, Any] = {
        "show": show,
        "place": "plan",
        "plan": plan,
        "is_lead": is_lead,
        "as_list": request.GET.get("as") == "list",
        "zone": show.company.time_zone,
        **_run_context(show, is_lead),
    }
    if plan is not None and plan.status != "none":
        zone = ZoneInfo(show.company.time_zone)
        wall = read_wall(show, plan, _day(request.GET.get("from")))
        context |= {
            "wall": wall,
            "hung": hang_plan(wall.plan),
            "ready": ready_day(plan, zone),
            "in_hand": days_in_hand(show, plan),
            "bound": plan.bound.astimezone(zone).date() if plan.bound else None,
            "is_out_of_date": is_lead and is_out_of_date(plan),
            "pinned": plan if plan.is_pinned_up else pinned_up_plan(show),
        }
    return render(request, "builds/wall_plan.html", None, context, status=status)


def _run_context(show: Show, is_lead: bool) -> dict[str, Any]:
    if not is_lead:
        return {}
    end_silent_runs(show)
    last = PlanRun.objects.filter(show=show).select_related("best").first()
    zone = ZoneInfo(show.company.time_zone)
    return {
        "run": last,
        "is_running": last is not None and last.state in LIVE,
        "run_ready": ready_day(last.best, zone) if last else None,
    }


def _day(text: str | None) -> date | None:
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None


@require_safe
def plan_run(request: HttpRequest, pk: int) -> HttpResponse:
    """How the search for a better plan stands; the page asks for it every two seconds."""
    show = show_for(request.user, pk, Role.LEAD)
    context = {"show": show, "place": "plan", "is_lead": True, **_run_context(show, True)}
    if request.headers.get("HX-Request") != "true":
        return redirect("builds:wall_plan", show.pk)
    response = render(request, "builds/_plan_run.html", "builds/_plan_run.html", context)
    if not context["is_running"]:
        # The search is over: the whole wall has changed.
        response["HX-Refresh"] = "true"
    return response


@require_POST
def plan_make(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the show as it stands now."""
    show = show_for(request.user, pk, Role.LEAD)
    plan = make_plan(show=show, user=request.user)  # type: ignore[arg-type]
    if plan.status == "none":
        messages.error(request, "There is no plan yet: " + " ".join(plan.reasons))
    else:
        messages.success(request, "Planned anew. Helpers see it once it is pinned up.")
    return redirect("builds:wall_plan", show.pk)


@require_POST
def plan_improve(request: HttpRequest, pk: int) -> HttpResponse:
    """Look for a better plan in the background."""
    show = show_for(request.user, pk, Role.LEAD)
    ask_for_better(show=show, user=request.user)  # type: ignore[arg-type]
    return redirect("builds:wall_plan", show.pk)


@require_POST
def plan_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop looking; what was found is kept."""
    show = show_for(request.user, pk, Role.LEAD)
    run = PlanRun.objects.filter(show=show, state__in=LIVE).first()
    if run is not None:
        run.show = show
        stop_run(run=run, user=request.user)  # type: ignore[arg-type]
    return redirect("builds:wall_plan", show.pk)


@require_POST
def plan_pin_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a plan the one that helpers see."""
    queryset = Plan.objects.select_related("show__company", "show__current_draft")
    plan: Plan = row_for(request.user, queryset, pk, Role.LEAD)  # type: ignore[arg-type]
    try:
        pin_up(plan=plan, user=request.user)  # type: ignore[arg-type]
    except CannotPinUp as refusal:
        messages.error(request, str(refusal))
        return _wall(request, plan.show, status=422)
    messages.success(request, "Pinned up: helpers see this plan now.")
    return redirect("builds:wall_plan", plan.show_id)
