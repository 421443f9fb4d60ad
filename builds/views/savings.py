"""What would save a figure, looked at only when asked: the list, one edit tried, one edit taken."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.queries.saving_trial import read_trial
from builds.queries.savings import SavingLine, Savings, read_savings
from builds.services.savings import SavingGone, ready_dates, take_saving
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Show

DATED_AT_ONCE = 3  # the best few are planned with the page, the rest when asked
GONE = "The plot was changed meanwhile: this edit saves nothing any more. Nothing was written."


@require_safe
def saving_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every single edit that saves a figure, best first."""
    show = show_for(request.user, pk, Role.READER)
    return _list(request, show, read_savings(show))


@require_safe
def saving_date(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """When all would be ready with this edit, planned on a copy."""
    show = show_for(request.user, pk, Role.LEAD)
    line = _line(read_savings(show), code)
    context = {"show": show, "line": line, "dates": ready_dates(show, line.edit)}
    return render(request, "builds/saving_date.html", "builds/_saving_date.html", context)


@require_safe
def saving_try(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """The edit made on a copy of the plot: before and after side by side. Nothing is written."""
    show = show_for(request.user, pk, Role.READER)
    savings = read_savings(show)
    line = _line(savings, code)
    context = {
        "show": show,
        "place": "plot",
        "line": line,
        "trial": read_trial(savings.counted, line.edit),
        "may_take": _may_take(request, show),
    }
    return render(request, "builds/saving_try.html", None, context)


@require_POST
def saving_take(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Write the edit into the plot."""
    show = show_for(request.user, pk, Role.LEAD)
    savings = read_savings(show)
    line = savings.line(code)
    if line is None:
        return _gone(request, show)
    try:
        take_saving(show=show, user=request.user, edit=line.edit)  # type: ignore[arg-type]
    except SavingGone:
        return _gone(request, show)
    except ValidationError as refusal:
        return _list(request, show, savings, status=422, refusal=refusal.messages)
    messages.success(request, f"Written: {line.words}. Undo turns it back.")
    return redirect("scenes:plot", show.pk)


def _gone(request: HttpRequest, show: Show) -> HttpResponse:
    """The list as it stands now, with what happened said above it."""
    messages.error(request, GONE)
    return redirect("builds:saving_list", show.pk)


def _list(
    request: HttpRequest,
    show: Show,
    savings: Savings,
    *,
    status: int = 200,
    refusal: list[str] | None = None,
) -> HttpResponse:
    context = {
        "show": show,
        "place": "plot",
        "savings": savings,
        "refusal": refusal,
        "dated_at_once": DATED_AT_ONCE,
        "may_take": _may_take(request, show),
    }
    page, fragment = "builds/saving_list.html", "builds/_saving_list.html"
    return render(request, page, fragment, context, status=status)


def _line(savings: Savings, code: str) -> SavingLine:
    line = savings.line(code)
    if line is None:
        raise Http404("The plot was changed: this edit saves nothing any more.")
    return line


def _may_take(request: HttpRequest, show: Show) -> bool:
    return membership_of(request.user, show.company).allows(Role.LEAD)  # type: ignore[arg-type]
