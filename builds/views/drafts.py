"""The drafts of a plot: the list, a name for one, two side by side, and going back to one."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_POST, require_safe

from builds.queries.bench import read_bench
from builds.queries.draft_minutes import draft_minutes
from builds.queries.draft_work import read_dropped
from builds.queries.steps import read_workshop
from builds.services.draft_dates import date_of_draft
from company.access import membership_of
from company.htmx import render
from company.models import Role, User
from scenes.access import show_for
from scenes.models import Draft, Show
from scenes.queries.draft_changes import compare_drafts
from scenes.queries.drafts import find_draft, read_drafts, with_draft
from scenes.services.drafts import go_back_to, name_draft


@require_safe
def draft_list(request: HttpRequest, pk: int) -> HttpResponse:
    """All drafts, newest first, each with what it holds and how many figures it needs."""
    show = show_for(_user(request), pk, Role.READER)
    return _list(request, show)


@require_POST
def draft_name(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Name a draft, or take its name away."""
    show = show_for(_user(request), pk, Role.LEAD)
    draft = _draft(show, number)
    name = request.POST.get("name", "")
    try:
        name_draft(show=show, user=_user(request), draft=draft, name=name)
    except ValidationError as refusal:
        wrong = {"number": number, "name": name, "sentences": refusal.messages}
        return _list(request, show, status=422, wrong=wrong)
    said = f"Draft {number} is called {draft.name} now." if draft.name else (
        f"Draft {number} has no name now."
    )  # fmt: skip
    messages.success(request, said)
    return redirect("builds:draft_list", show.pk)


@require_safe
def draft_compare(request: HttpRequest, pk: int) -> HttpResponse:
    """Two drafts side by side: rows, figures, hours, and what hangs at the bench on what went."""
    show = show_for(_user(request), pk, Role.READER)
    return _compare(request, show, *_pair(request, show))


@require_GET
def draft_date(request: HttpRequest, pk: int) -> HttpResponse:
    """When all would be ready with each of the two, planned on copies."""
    show = show_for(_user(request), pk, Role.LEAD)
    before, after = _pair(request, show)
    context = {
        "show": show,
        "place": "plot",
        "sides": [(draft, date_of_draft(show, draft)) for draft in (before, after)],
        "before": before,
        "after": after,
    }
    return render(request, "builds/draft_date.html", "builds/_draft_date.html", context)


@require_POST
def draft_back(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Open the next draft as a copy of this one; where begun work would hang loose, ask first."""
    show = show_for(_user(request), pk, Role.LEAD)
    draft = _draft(show, number)
    current = show.current_draft
    if current is None or current.pk == draft.pk:
        messages.info(request, f"Draft {number} is the one that is written.")
        return redirect("builds:draft_list", show.pk)
    if "sure" not in request.POST and read_dropped(show, draft):
        return _compare(request, show, current, draft, status=422, asks=True)
    opened = go_back_to(show=show, user=_user(request), draft=draft)
    messages.success(
        request,
        f"Draft {opened.number} is written now, a copy of draft {number}. "
        "Every other draft is kept.",
    )
    return redirect("builds:draft_list", show.pk)


def _list(request: HttpRequest, show: Show, *, status: int = 200, **more: Any) -> HttpResponse:
    sent = request.GET.get("below", "")
    drafts = read_drafts(show, int(sent) if sent.isdigit() and len(sent) < 9 else None)
    now = show.current_draft.number if show.current_draft else None
    context = {"drafts": drafts, "now": now, **_context(request, show), **more}
    return render(request, "builds/draft_list.html", None, context, status=status)


def _compare(
    request: HttpRequest,
    show: Show,
    before: Draft,
    after: Draft,
    *,
    status: int = 200,
    asks: bool = False,
) -> HttpResponse:
    sides = [read_bench(with_draft(show, draft)) for draft in (before, after)]
    shop = read_workshop(show)
    context = {
        "before": before,
        "after": after,
        "changes": compare_drafts(show, before, after),
        "sides": sides,
        "minutes": [draft_minutes(side, shop) for side in sides],
        "dropped": read_dropped(show, after),
        "asks": asks,
        "numbers": list(
            Draft.objects.filter(show=show).order_by("-number").values_list("number", "name")
        ),
        **_context(request, show),
    }
    return render(request, "builds/draft_compare.html", None, context, status=status)


def _pair(request: HttpRequest, show: Show) -> tuple[Draft, Draft]:
    """The two drafts that the address names; without a name the current one and its parent."""
    current = show.current_draft
    if current is None:
        raise Http404("There is no draft yet.")
    last = current.parent or Draft.objects.filter(show=show).order_by("number").first()
    before = _named(show, request.GET.get("from", "")) or last
    after = _named(show, request.GET.get("to", "")) or current
    assert before is not None
    return before, after


def _named(show: Show, number: str) -> Draft | None:
    return _draft(show, int(number)) if number.isdigit() and len(number) < 9 else None


def _draft(show: Show, number: int) -> Draft:
    draft = find_draft(show, number)
    if draft is None:
        raise Http404("There is no such draft.")
    return draft


def _context(request: HttpRequest, show: Show) -> dict[str, Any]:
    may = membership_of(_user(request), show.company).allows(Role.LEAD)
    return {"show": show, "place": "plot", "can_write": may}


def _user(request: HttpRequest) -> User:
    return cast(User, request.user)
