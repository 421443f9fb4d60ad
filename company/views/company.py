"""The page of a company: who is in when, makers, crafts, holidays, who signs in; its settings."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from company import clock
from company.access import company_for, membership_of
from company.forms.fields import add_problems
from company.forms.people import CompanyForm
from company.htmx import render
from company.models import Company, Maker, Role
from company.queries import (
    Diary,
    crafts_of,
    has_left,
    holidays_of,
    makers_of,
    members_of,
)
from company.services.people import edit_company
from company.week_picture import draw_week

Spans = tuple[tuple[int, int], ...]


@require_safe
def detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything about the people of a company on one page; `?week=` shows another week."""
    company = company_for(request.user, pk, Role.READER)
    makers = makers_of(company)
    diary = Diary(company, makers)
    here = [maker for maker in makers if not has_left(maker, diary.today)]
    first = _week_asked(request, diary)
    weeks = [diary.week(maker, first) for maker in here]
    holidays = holidays_of(company)
    context = page_context(request, company) | {
        "picture": draw_week(weeks, first, diary.today),
        "week_before": first - timedelta(days=7),
        "week_after": first + timedelta(days=7),
        "this_week": diary.week_start(diary.today),
        "cards": [_card(diary, maker) for maker in here],
        "usual_min": sum(diary.usual_min(maker) for maker in here),
        "left": [maker for maker in makers if has_left(maker, diary.today)],
        "struck": Maker.objects.for_company(company).exclude(struck_at=None),
        "crafts": crafts_of(company),
        "coming_holidays": [h for h in holidays if h.last >= diary.today][:4],
        "members": members_of(company),
    }
    return render(request, "company/detail.html", "company/_week.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def company_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, time zone, units, paper, currency and first day of the week."""
    company = company_for(request.user, pk, Role.LEAD)
    form = CompanyForm(request.POST or None, company=company)
    if request.method == "POST" and form.is_valid():
        try:
            edit_company(
                company=company,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
            )
        except ValidationError as wrong:
            company.refresh_from_db()
            add_problems(form, wrong)
        else:
            messages.success(request, "The settings are saved.")
            return redirect(company)
    context = page_context(request, company) | {"form": form}
    status = 422 if form.errors else 200
    return render(request, "company/company_edit.html", context=context, status=status)


def page_context(request: HttpRequest, company: Company) -> dict[str, Any]:
    """What every page of the company has."""
    return {
        "company": company,
        "place": "company",
        "may_edit": membership_of(request.user, company).allows(Role.LEAD),
        "today": clock.today(company),
    }


def _week_asked(request: HttpRequest, diary: Diary) -> date:
    """The first day of the week in `?week=`, or of this week where that is no day."""
    try:
        day = date.fromisoformat(request.GET.get("week", ""))
    except ValueError:
        day = diary.today
    if not date(1990, 1, 1) <= day <= date(2100, 1, 1):
        day = diary.today
    return diary.week_start(day)


def group_days(week: Iterable[tuple[int, Spans]]) -> list[tuple[list[int], Spans]]:
    """Weekdays in a row with the same hours as one line; days without hours are left out."""
    lines: list[tuple[list[int], Spans]] = []
    for weekday, spans in week:
        if not spans:
            continue
        if lines and lines[-1][1] == spans and lines[-1][0][-1] == weekday - 1:
            lines[-1][0].append(weekday)
        else:
            lines.append(([weekday], spans))
    return lines


def _card(diary: Diary, maker: Maker) -> dict[str, Any]:
    return {
        "maker": maker,
        "week": group_days(enumerate(diary.usual_week(maker))),
        "minutes": diary.usual_min(maker),
        "crafts": [craft for craft in maker.crafts.all() if craft.struck_at is None],
        "is_to_come": maker.from_date is not None and maker.from_date > diary.today,
    }
