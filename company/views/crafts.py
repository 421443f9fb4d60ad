"""The crafts of a company: who has which, and how much of one a day."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from company.access import company_for, row_for
from company.forms.fields import add_problems
from company.forms.people import CraftForm
from company.htmx import render
from company.models import Company, Craft, Role
from company.queries import crafts_of
from company.services.crafts import add_craft, edit_craft, strike_craft
from company.views.company import page_context


@require_safe
def craft_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Each craft with its makers and its cap."""
    return _show(request, company_for(request.user, company_pk, Role.READER))


@require_POST
def craft_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """A new craft, and who has it."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = CraftForm(request.POST, company=company)
    if form.is_valid():
        given = form.cleaned_data
        try:
            craft = add_craft(
                company=company,
                user=request.user,
                name=given["name"],
                daily_cap_min=given["daily_cap_min"],
                makers=given["makers"],
            )
            messages.success(request, f"'{craft}' is in.")
            return redirect("company:craft_list", company.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return _show(request, company, status=422, form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def craft_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, cap and makers of a craft."""
    craft = _craft_for(request, pk)
    form = CraftForm(request.POST or None, company=craft.company, craft=craft)
    if request.method == "POST" and form.is_valid():
        try:
            edit_craft(craft=craft, user=request.user, **form.cleaned_data)
            messages.success(request, f"'{craft}' is saved.")
            return redirect("company:craft_list", craft.company_id)
        except ValidationError as wrong:
            craft.refresh_from_db()
            add_problems(form, wrong)
    context = page_context(request, craft.company) | {"craft": craft, "form": form}
    status = 422 if form.errors else 200
    return render(request, "company/craft_edit.html", context=context, status=status)


@require_POST
def craft_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a craft that no stage asks for."""
    craft = _craft_for(request, pk)
    try:
        strike_craft(craft=craft, user=request.user)
    except ValidationError as wrong:
        return _show(request, craft.company, status=422, refused=wrong.messages)
    messages.success(request, f"'{craft}' is struck.")
    return redirect("company:craft_list", craft.company_id)


def _craft_for(request: HttpRequest, pk: int) -> Craft:
    crafts = Craft.objects.select_related("company").filter(struck_at=None)
    craft: Craft = row_for(request.user, crafts, pk, Role.LEAD)
    return craft


def _show(
    request: HttpRequest, company: Company, *, status: int = 200, **more: Any
) -> HttpResponse:
    crafts = crafts_of(company)
    rows = [(craft, [m for m in craft.makers.all() if m.struck_at is None]) for craft in crafts]
    context = page_context(request, company) | {
        "rows": rows,
        "without": [craft for craft, makers in rows if not makers],
        "form": CraftForm(company=company),
        **more,
    }
    return render(request, "company/craft_list.html", context=context, status=status)
