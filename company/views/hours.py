"""The weekly hours of a maker: writing new ones, editing a set, taking one away."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from company import clock
from company.forms.fields import add_problems
from company.forms.hours import HoursForm
from company.htmx import render
from company.models import Hours, Maker, Role
from company.services.hours import drop_hours, set_hours
from company.views.company import page_context
from company.views.makers import maker_for


@require_http_methods(["GET", "HEAD", "POST"])
def hours_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Hours that hold from a day on, begun from those in force today."""
    maker = maker_for(request, pk, Role.LEAD)
    begun = list(Hours.objects.filter(maker=maker).values_list("from_date", flat=True))
    form = HoursForm(
        request.POST or None,
        maker=maker,
        company=maker.company,
        begins=None if not begun else clock.today(maker.company),
        shows=_in_force(begun, clock.today(maker.company)),
        taken=tuple(begun),
    )
    return _answer(request, maker, form, is_new=True)


@require_http_methods(["GET", "HEAD", "POST"])
def hours_edit(request: HttpRequest, pk: int, begins: str) -> HttpResponse:
    """One set of hours, known by the day it begins ('start' where it always held)."""
    maker = maker_for(request, pk, Role.LEAD)
    from_date = _read_begins(maker, begins)
    form = HoursForm(request.POST or None, maker=maker, company=maker.company, shows=from_date)
    del form.fields["from_date"]
    return _answer(request, maker, form, is_new=False, from_date=from_date)


@require_POST
def hours_drop(request: HttpRequest, pk: int, begins: str) -> HttpResponse:
    """Take a set of hours away; the one before it holds on."""
    maker = maker_for(request, pk, Role.LEAD)
    drop_hours(maker=maker, user=request.user, from_date=_read_begins(maker, begins))
    messages.success(request, f"Those hours of {maker} are gone.")
    return redirect("company:maker_detail", maker.pk)


def _answer(
    request: HttpRequest,
    maker: Maker,
    form: HoursForm,
    *,
    is_new: bool,
    from_date: date | None = None,
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        begins = form.cleaned_data["from_date"] if is_new else from_date
        try:
            set_hours(maker=maker, user=request.user, from_date=begins, week=form.week())
        except ValidationError as wrong:
            add_problems(form, wrong)
        else:
            messages.success(request, f"The hours of {maker} are saved.")
            return redirect("company:maker_detail", maker.pk)
    context = page_context(request, maker.company) | {
        "maker": maker,
        "form": form,
        "is_new": is_new,
        "from_date": from_date,
    }
    status = 422 if form.errors else 200
    return render(request, "company/hours_edit.html", context=context, status=status)


def _read_begins(maker: Maker, begins: str) -> date | None:
    try:
        from_date = None if begins == "start" else date.fromisoformat(begins)
    except ValueError as wrong:
        raise Http404("No day.") from wrong
    if not Hours.objects.filter(maker=maker, from_date=from_date).exists():
        raise Http404("No hours begin on that day.")
    return from_date


def _in_force(begun: list[date | None], today: date) -> date | None:
    past = [day for day in begun if day is not None and day <= today]
    if past:
        return max(past)
    return None if None in begun else min((d for d in begun if d is not None), default=None)
