"""Single days: a maker's other work and days off, and the holidays of the whole company."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from company import clock
from company.access import company_for, row_for
from company.forms.fields import add_problems
from company.forms.hours import DayOffForm, OtherWorkForm, PublicHolidayForm
from company.htmx import render
from company.models import Company, DayOff, OtherWork, Role
from company.queries import holidays_of
from company.services.hours import (
    add_day_off,
    add_holidays,
    add_other_work,
    drop_day_off,
    drop_other_work,
    edit_other_work,
)
from company.views.company import page_context
from company.views.makers import days_done, maker_for, show_maker


@require_POST
def other_work_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A block of other work of a maker."""
    maker = maker_for(request, pk, Role.LEAD)
    form = OtherWorkForm(request.POST)
    if form.is_valid():
        try:
            block = add_other_work(maker=maker, user=request.user, **form.cleaned_data)
            return days_done(request, maker, f"'{block.word}' is in the calendar.")
        except ValidationError as wrong:
            add_problems(form, wrong)
    return show_maker(request, maker, status=422, work_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def other_work_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a block of other work."""
    blocks = OtherWork.objects.select_related("maker__company", "maker__user")
    block: OtherWork = row_for(request.user, blocks, pk, Role.LEAD)
    form = OtherWorkForm(request.POST or None, block=block)
    if request.method == "POST" and form.is_valid():
        try:
            edit_other_work(block=block, user=request.user, **form.cleaned_data)
            messages.success(request, f"'{block.word}' is saved.")
            return redirect("company:maker_detail", block.maker_id)
        except ValidationError as wrong:
            add_problems(form, wrong)
    context = page_context(request, block.maker.company) | {
        "maker": block.maker,
        "work": block,
        "form": form,
    }
    status = 422 if form.errors else 200
    return render(request, "company/other_work_edit.html", context=context, status=status)


@require_POST
def other_work_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a block of other work away."""
    blocks = OtherWork.objects.select_related("maker__company", "maker__user")
    block: OtherWork = row_for(request.user, blocks, pk, Role.LEAD)
    drop_other_work(block=block, user=request.user)
    return days_done(request, block.maker, f"'{block.word}' is out of the calendar.")


@require_POST
def day_off_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Days off of a maker."""
    maker = maker_for(request, pk, Role.LEAD)
    form = DayOffForm(request.POST)
    if form.is_valid():
        try:
            add_day_off(company=maker.company, user=request.user, maker=maker, **form.cleaned_data)
            return days_done(request, maker, "The days off are in the calendar.")
        except ValidationError as wrong:
            add_problems(form, wrong)
    return show_maker(request, maker, status=422, off_form=form)


@require_POST
def day_off_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Take days off, or a holiday of the company, out of the calendar."""
    rows = DayOff.objects.select_related("company", "maker__company", "maker__user")
    day_off: DayOff = row_for(request.user, rows, pk, Role.LEAD)
    drop_day_off(day_off=day_off, user=request.user)
    if day_off.maker is not None:
        return days_done(request, day_off.maker, "The days off are out of the calendar.")
    messages.success(request, "The holiday is out of the calendar.")
    return _holidays_done(request, day_off.company)


@require_safe
def holiday_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Days on which nobody works; `?country=&year=` shows the public ones for choosing."""
    return _show_holidays(request, company_for(request.user, company_pk, Role.READER))


@require_POST
def holiday_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """A holiday of the company, typed."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = DayOffForm(request.POST)
    if form.is_valid():
        try:
            add_day_off(company=company, user=request.user, **form.cleaned_data)
            messages.success(request, "The holiday is in the calendar.")
            return _holidays_done(request, company)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return _show_holidays(request, company, status=422, form=form)


@require_POST
def holiday_take(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Take over the public holidays that were ticked. Only days really proposed are taken."""
    company = company_for(request.user, company_pk, Role.LEAD)
    lookup = PublicHolidayForm(request.POST, year=clock.today(company).year)
    proposed = dict(lookup.proposed())
    ticked = set(request.POST.getlist("day"))
    days = [(day, word) for day, word in proposed.items() if day.isoformat() in ticked]
    if not lookup.is_valid():
        return _show_holidays(request, company, status=422, lookup=lookup)
    made = add_holidays(company=company, user=request.user, days=days)
    if not days:
        messages.warning(request, "No day was ticked: nothing was taken over.")
    else:
        word = "holiday is" if len(made) == 1 else "holidays are"
        messages.success(request, f"{len(made)} {word} in the calendar.")
    return _holidays_done(request, company)


def _holidays_done(request: HttpRequest, company: Company) -> HttpResponse:
    if request.htmx:  # type: ignore[attr-defined]
        return _show_holidays(request, company, is_fresh=True)
    return redirect("company:holiday_list", company.pk)


def _show_holidays(
    request: HttpRequest,
    company: Company,
    *,
    status: int = 200,
    is_fresh: bool = False,
    **forms: Any,
) -> HttpResponse:
    today = clock.today(company)
    holidays = holidays_of(company)
    asked = request.GET if "country" in request.GET and not is_fresh else None
    lookup = forms.get("lookup") or PublicHolidayForm(asked, year=_likely_year(today))
    there = {h.first for h in holidays if h.first == h.last}
    context = page_context(request, company) | {
        "coming": [h for h in holidays if h.last >= today],
        "past": [h for h in holidays if h.last < today],
        "form": DayOffForm(),
        "lookup": lookup,
        "proposed": [(day, word, day in there) for day, word in lookup.proposed()],
        **forms,
    }
    page = "company/holiday_list.html"
    status = 422 if lookup.errors else status
    return render(request, page, "company/_holiday_list.html", context, status=status)


def _likely_year(today: date) -> int:
    return today.year + (today.month == 12)
