"""Lots on the shelf: put there, changed, taken off."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from builds.forms.stock import LotForm
from builds.models import Lot
from builds.queries.materials import Materials
from builds.queries.stock import taken_by
from builds.services.stock import add_lot, edit_lot, strike_lot
from builds.views.materials import page_context, show_list
from company.access import company_for, row_for
from company.forms.fields import add_problems
from company.htmx import render
from company.models import Role


@require_POST
def lot_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Put a lot on the shelf."""
    company = company_for(request.user, company_pk, Role.MAKER)
    form = LotForm(request.POST, company=company)
    if form.is_valid():
        try:
            lot = add_lot(company=company, user=request.user, values=form.values())
            messages.success(request, f"{str(lot).capitalize()} is on the shelf.")
            return redirect("builds:material_list", company.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return show_list(request, company, status=422, lot_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def lot_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """What is left of a lot, when it was opened, best before."""
    lot = _lot_for(request, pk)
    form = LotForm(request.POST or None, company=lot.company, lot=lot)
    if request.method == "POST" and form.is_valid():
        try:
            edit_lot(
                lot=lot,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
            )
            messages.success(request, f"{str(lot).capitalize()} is saved.")
            return redirect("builds:material_list", lot.company_id)
        except ValidationError as wrong:
            lot.refresh_from_db()
            add_problems(form, wrong)
    context = page_context(request, lot.company) | {
        "lot": lot,
        "name": Materials(lot.company).label(lot.kind, lot.material),
        "form": form,
        "taken_by": taken_by(lot),
    }
    status = 422 if form.errors else 200
    return render(request, "builds/lot_edit.html", context=context, status=status)


@require_POST
def lot_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a lot off the shelf; one that somebody took off meanwhile is off."""
    lot: Lot = row_for(request.user, Lot.objects.select_related("company"), pk, Role.MAKER)
    strike_lot(lot=lot, user=request.user)
    messages.success(request, f"{str(lot).capitalize()} is off the shelf. Its pours keep it.")
    return redirect("builds:material_list", lot.company_id)


def _lot_for(request: HttpRequest, pk: int) -> Lot:
    rows = Lot.objects.select_related("company").filter(struck_at=None)
    lot: Lot = row_for(request.user, rows, pk, Role.MAKER)
    return lot
