"""Today at the bench, and any other day of it."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.models import Figure, Plan
from builds.queries.plans import pinned_up_plan, plan_seen_by
from builds.queries.today import read_today
from company import clock
from company.access import membership_of
from company.htmx import render
from company.models import Maker, Role, User
from scenes.access import show_for

NEW_DAYS = 4


@require_safe
def today(request: HttpRequest, pk: int) -> HttpResponse:
    """What is due on a day, for everybody or for one maker."""
    user: User = request.user  # type: ignore[assignment]
    show = show_for(user, pk, Role.READER)
    makers = Maker.objects.for_company(show.company).filter(struck_at=None)
    mine = makers.filter(user=user).first()
    asked = request.GET.get("maker", "")
    only = makers.filter(pk=asked).first() if asked.isdigit() else None
    day = _day(request.GET.get("day", "")) or clock.today(show.company)
    plan = pinned_up_plan(show) or plan_seen_by(user, show)
    place = membership_of(user, show.company)
    context = {
        "show": show,
        "place": "today",
        "plan": plan,
        "today": read_today(show, plan, day, mine, only),
        "only": only,
        "is_lead": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
        "zone": show.company.time_zone,
        "now": clock.now(),
        "is_new_plan": _is_new(plan),
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1),
        "has_figures": Figure.objects.filter(show=show).exists(),
    }
    return render(request, "builds/today.html", None, context)


def _is_new(plan: Plan | None) -> bool:
    """Whether the plan was pinned up so lately that what moved is still worth a look."""
    at = plan.pinned_up_at if plan is not None and plan.is_pinned_up else None
    return at is not None and clock.now() - at < timedelta(days=NEW_DAYS)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
