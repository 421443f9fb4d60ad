"""What a plan moves, for whom, before and after it is pinned up; and how plans have held."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.models import Plan
from builds.queries.moves import plan_before, read_moves
from builds.queries.plans import is_out_of_date, pinned_up_plan
from company.access import membership_of, row_for
from company.htmx import render
from company.models import Role


@require_safe
def plan_moves(request: HttpRequest, pk: int) -> HttpResponse:
    """What moves with this plan; drafts are the lead's."""
    queryset = Plan.objects.select_related("show__company", "show__current_draft")
    plan: Plan = row_for(request.user, queryset, pk, Role.READER)  # type: ignore[arg-type]
    show = plan.show
    is_lead = membership_of(request.user, show.company).allows(Role.LEAD)  # type: ignore[arg-type]
    if (not is_lead and not plan.is_pinned_up) or plan.status == "none":
        raise Http404("Nothing is pinned up of that.")
    mine = show.company.makers.filter(user=request.user, struck_at=None).first()
    context = {
        "show": show,
        "place": "plan",
        "plan": plan,
        "is_lead": is_lead,
        "mine": mine,
        "moves": read_moves(show, plan_before(plan), plan),
        "is_out_of_date": is_lead and not plan.is_pinned_up and is_out_of_date(plan),
        "pinned": pinned_up_plan(show),
        "zone": show.company.time_zone,
    }
    return render(request, "builds/plan_moves.html", None, context)
