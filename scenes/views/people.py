"""What the page of the plot asks for beside its count: the people there are, and the blanks."""

from __future__ import annotations

from typing import cast

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from company.access import membership_of
from company.htmx import render
from company.models import Role, User
from scenes.access import show_for
from scenes.queries.counts import count_show
from scenes.queries.people import PeoplePage, read_people, say_people
from scenes.queries.ranges import read_range
from scenes.services.people_counts import LONGER_WORK, PAGE_WORK, count_people


@require_safe
def plot_people(request: HttpRequest, pk: int) -> HttpResponse:
    """The count with the people there are, found now where it was not found before.

    By htmx the part that the page of the plot shows below its picture.
    """
    user = cast(User, request.user)
    show = show_for(user, pk, Role.READER)
    is_longer = "longer" in request.GET
    found = count_people(show, work=LONGER_WORK if is_longer else PAGE_WORK)
    if found is None:
        page: PeoplePage = read_people(count_show(show), None)
    else:
        page = read_people(found.counted, found.joint, found.clock_min)
    context = {
        "show": show,
        "place": "plot",
        "people": page,
        "lede": say_people(page),
        "is_longer": is_longer,
        "can_write": membership_of(user, show.company).allows(Role.LEAD),
    }
    return render(request, "scenes/plot_people.html", "scenes/_plot_people.html", context)


@require_safe
def plot_range(request: HttpRequest, pk: int) -> HttpResponse:
    """How far what is left blank moves the count, and by when it must be decided."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.READER)
    counted = count_show(show)
    context = {
        "show": show,
        "place": "plot",
        "range": read_range(counted),
        "figures": counted.count.figures,
        "can_write": membership_of(user, show.company).allows(Role.LEAD),
    }
    return render(request, "scenes/plot_range.html", "scenes/_plot_range.html", context)
