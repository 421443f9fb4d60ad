"""What to buy for the next weeks of the plan."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.queries.shopping import USUAL_WEEKS, WEEKS_OFFERED, Shopping, read_shopping
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Show


@require_safe
def shopping_list(request: HttpRequest, pk: int) -> HttpResponse:
    """The list for 2, 4 or 8 weeks (`?weeks=`), against the shelf."""
    show = show_for(request.user, pk, Role.READER)
    shopping = shopping_for(request, show)
    context = {
        "show": show,
        "place": "moulds",
        "shopping": shopping,
        "offered": WEEKS_OFFERED,
        "may_record": membership_of(request.user, show.company).allows(Role.MAKER),
    }
    return render(request, "builds/shopping_list.html", context=context)


def shopping_for(request: HttpRequest, show: Show) -> Shopping:
    """The list asked for; everybody but the lead sees only what is pinned up."""
    is_lead = membership_of(request.user, show.company).allows(Role.LEAD)
    return read_shopping(show, weeks_asked(request), only_pinned_up=not is_lead)


def weeks_asked(request: HttpRequest) -> int:
    """How far ahead: 2, 4 or 8 weeks."""
    asked = request.GET.get("weeks", "")
    return int(asked) if asked in map(str, WEEKS_OFFERED) else USUAL_WEEKS
