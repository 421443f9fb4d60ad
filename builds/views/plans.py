"""What is pressed on the wall plan: made anew, improved while one watches, pinned up."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.models import Plan, PlanRun
from builds.services.plan_runs import LIVE, ask_for_better, stop_run
from builds.services.plans import CannotPinUp, make_plan, pin_up
from builds.views.wall import render_wall, run_context
from company.access import row_for
from company.htmx import render
from company.models import Role
from scenes.access import show_for


@require_safe
def plan_run(request: HttpRequest, pk: int) -> HttpResponse:
    """How the search for a better plan stands; the page asks for it every two seconds."""
    show = show_for(request.user, pk, Role.LEAD)
    context = {"show": show, "place": "plan", "is_lead": True, **run_context(show, True)}
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
    is_released = request.POST.get("release") == "on"
    plan = make_plan(show=show, user=request.user, is_released=is_released)  # type: ignore[arg-type]
    if plan.status == "none":
        messages.error(request, "It cannot be planned as it stands: what is in the way is below.")
    else:
        messages.success(request, "Planned anew. Helpers see it once it is pinned up.")
        if request.POST.get("then") == "moves":
            return redirect("builds:plan_moves", plan.pk)
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
    run = PlanRun.objects.filter(show=show, aim=PlanRun.Aim.BETTER, state__in=LIVE).first()
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
        return render_wall(request, plan.show, status=422)
    messages.success(request, "Pinned up: helpers see this plan now, and what moved for them.")
    return redirect("builds:plan_moves", plan.pk)
