"""What a plan says beside its slips: what it moves and for whom, its odds, how it has held."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.drawings.odds import draw_odds
from builds.drawings.record import draw_record
from builds.models import Plan
from builds.queries.moves import plan_before, read_moves
from builds.queries.plan_odds import PlanOdds, read_odds
from builds.queries.plan_record import pinned_up_plans, read_plan_record
from builds.queries.plans import is_out_of_date, pinned_up_plan, plan_seen_by, ready_day
from company.access import membership_of, row_for
from company.htmx import render
from company.models import Role
from company.templatetags.words import full_day
from scenes.access import show_for
from scenes.models import Show


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
    moves = read_moves(show, plan_before(plan), plan).seen_by(mine)
    context = {
        "show": show,
        "place": "plan",
        "plan": plan,
        "is_lead": is_lead,
        "mine": mine,
        "moves": moves,
        "lede": moves.lede if is_lead else moves.lede_for(mine),
        "is_out_of_date": is_lead and not plan.is_pinned_up and is_out_of_date(plan),
        "pinned": pinned_up_plan(show),
        "zone": show.company.time_zone,
    }
    return render(request, "builds/plan_moves.html", None, context)


@require_safe
def plan_odds(request: HttpRequest, pk: int) -> HttpResponse:
    """Tight, fair or easy: in words, and once enough is on record in figures with a picture."""
    show = show_for(request.user, pk, Role.READER)
    plan = plan_seen_by(request.user, show)  # type: ignore[arg-type]
    context = {"show": show, "place": "plan", "plan": plan, "zone": show.company.time_zone}
    if plan is not None and plan.status != "none":
        odds = read_odds(show, plan)
        zone = ZoneInfo(show.company.time_zone)
        context |= {
            "odds": odds,
            "ready": ready_day(plan, zone),
            "drawing": _draw_odds(show, odds) if odds.is_sound else "",
        }
    return render(request, "builds/plan_odds.html", None, context)


def _draw_odds(show: Show, odds: PlanOdds) -> str:
    desc = (
        f"In 50 of 100 runs all is ready by {full_day(odds.half)}, in 80 by {full_day(odds.most)}, "
        f"in 95 by {full_day(odds.nearly)}."
    )
    title = "The chance that all is ready by a day"
    opening = show.opening
    return draw_odds(odds.dates, ident="odds", title=title, desc=desc, opening=opening, width=560)


@require_safe
def plan_record(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan against record: one pinned-up plan, the newest unless another is asked for."""
    show = show_for(request.user, pk, Role.READER)
    plans = pinned_up_plans(show)
    asked = request.GET.get("plan", "")
    plan = next((one for one in plans if str(one.pk) == asked), plans[0] if plans else None)
    context = {"show": show, "place": "plan", "plan": plan, "zone": show.company.time_zone}
    if plan is not None:
        record = read_plan_record(show, plan, plans)
        context |= {
            "record": record,
            "drawing": draw_record(
                record.data, ident="record", title="Plan against record", desc=record.lede
            ),
        }
    return render(request, "builds/plan_record.html", None, context)
