"""Makers: a new one, the page of one with the weeks ahead, editing, striking, taking back."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from company.access import company_for, row_for
from company.forms.fields import add_problems
from company.forms.hours import WORDS_OFFERED, DayOffForm, OtherWorkForm
from company.forms.people import MakerForm
from company.htmx import render
from company.models import Maker, Role
from company.queries import Diary
from company.services.people import (
    add_maker,
    edit_maker,
    reasons_to_keep,
    strike_maker,
    take_back_maker,
)
from company.views.company import page_context

WEEKS_AHEAD = 8


def maker_for(request: HttpRequest, pk: object, role: Role) -> Maker:
    """The maker with their company, if the person has at least `role` there."""
    maker: Maker = row_for(request.user, Maker.objects.select_related("company", "user"), pk, role)
    return maker


@require_http_methods(["GET", "HEAD", "POST"])
def maker_new(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Somebody new at the bench; then on to their hours."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = MakerForm(request.POST or None, company=company)
    if request.method == "POST" and form.is_valid():
        try:
            maker = add_maker(
                company=company,
                user=request.user,
                values=form.values(),
                crafts=form.cleaned_data["crafts"],
            )
        except ValidationError as wrong:
            add_problems(form, wrong)
        else:
            messages.success(request, f"{maker} is in. Now the hours they come.")
            return redirect("company:hours_new", maker.pk)
    context = page_context(request, company) | {"form": form}
    status = 422 if form.errors else 200
    return render(request, "company/maker_new.html", context=context, status=status)


@require_safe
def maker_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One maker: usual week, the next eight weeks, other work, days off."""
    return show_maker(request, maker_for(request, pk, Role.READER))


def show_maker(
    request: HttpRequest, maker: Maker, *, status: int = 200, **forms: Any
) -> HttpResponse:
    """The page of a maker, or by htmx its lists of days. `forms`: work_form, off_form."""
    company = maker.company
    diary = Diary(company, [maker])
    first = diary.week_start(diary.today)
    context = page_context(request, company) | {
        "maker": maker,
        "crafts": maker.crafts.filter(struck_at=None),
        "patterns": patterns_of(diary, maker),
        "usual_min": diary.usual_min(maker),
        "usual_days": [i for i, spans in enumerate(diary.usual_week(maker)) if spans],
        "weeks": [diary.week(maker, first + timedelta(days=7 * i)) for i in range(WEEKS_AHEAD)],
        "other_work": maker.other_work.filter(last__gte=diary.today),
        "other_work_past": maker.other_work.filter(last__lt=diary.today).count(),
        "days_off": maker.days_off.filter(last__gte=diary.today),
        "days_off_past": maker.days_off.filter(last__lt=diary.today).count(),
        "words_offered": WORDS_OFFERED,
        "work_form": OtherWorkForm(),
        "off_form": DayOffForm(),
        **forms,
    }
    page = "company/maker_detail.html"
    return render(request, page, "company/_maker_days.html", context, status=status)


def days_done(request: HttpRequest, maker: Maker, words: str) -> HttpResponse:
    """After an edit of a maker's days: by htmx the lists anew, else back to the page."""
    messages.success(request, words)
    if request.htmx:  # type: ignore[attr-defined]
        return show_maker(request, maker)
    return redirect(f"{reverse('company:maker_detail', args=[maker.pk])}#days")


def patterns_of(diary: Diary, maker: Maker) -> list[dict[str, Any]]:
    """The sets of weekly hours, the one in force first, then those to come, then those past."""
    calendar = diary.calendar(maker)
    now = calendar.pattern_of(diary.today)
    patterns = sorted(calendar.patterns, key=lambda p: p.from_date or date.min)
    told = []
    for pattern, following in zip(patterns, [*patterns, None][1:], strict=True):
        until = following.from_date if following else None
        days: dict[int, list[tuple[int, int]]] = {}
        for s in sorted(pattern.stretches, key=lambda s: (s.weekday, s.start_min)):
            days.setdefault(s.weekday, []).append((s.start_min, s.end_min))
        told.append(
            {
                "from": pattern.from_date,
                "key": pattern.from_date.isoformat() if pattern.from_date else "start",
                "until": until - timedelta(days=1) if until else None,
                "days": sorted(days.items()),
                "minutes": sum(b - a for spans in days.values() for a, b in spans),
                "is_now": pattern is now,
                "is_past": now is not None
                and (pattern.from_date or date.min) < (now.from_date or date.min),
            }
        )
    return sorted(told, key=lambda p: (p["is_past"], not p["is_now"]))


@require_http_methods(["GET", "HEAD", "POST"])
def maker_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, crafts, marks, dates, and who they sign in as; and the way out."""
    maker = maker_for(request, pk, Role.LEAD)
    form = MakerForm(request.POST or None, company=maker.company, maker=maker)
    if request.method == "POST" and form.is_valid():
        try:
            edit_maker(
                maker=maker,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
                crafts=form.cleaned_data["crafts"],
            )
        except ValidationError as wrong:
            maker.refresh_from_db()
            add_problems(form, wrong)
        else:
            messages.success(request, f"{maker} is saved.")
            return redirect("company:maker_detail", maker.pk)
    return _show_edit(request, maker, form)


def _show_edit(
    request: HttpRequest, maker: Maker, form: MakerForm, refused: list[str] | None = None
) -> HttpResponse:
    context = page_context(request, maker.company) | {
        "maker": maker,
        "form": form,
        "refused": refused,
        "reasons": reasons_to_keep(maker),
    }
    status = 422 if form.errors or refused else 200
    return render(request, "company/maker_edit.html", context=context, status=status)


@require_POST
def maker_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a maker with nothing planned; what they did stays under their name."""
    maker = maker_for(request, pk, Role.LEAD)
    try:
        strike_maker(maker=maker, user=request.user)
    except ValidationError as wrong:
        form = MakerForm(company=maker.company, maker=maker)
        return _show_edit(request, maker, form, wrong.messages)
    messages.success(request, f"{maker} is struck. What they made stays under their name.")
    return redirect(maker.company)


@require_POST
def maker_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a struck maker back."""
    maker = maker_for(request, pk, Role.LEAD)
    try:
        take_back_maker(maker=maker, user=request.user)
    except ValidationError as wrong:
        for words in wrong.messages:
            messages.error(request, words)
        return redirect(maker.company)
    messages.success(request, f"{maker} is back.")
    return redirect("company:maker_detail", maker.pk)
