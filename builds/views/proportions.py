"""A company's own proportion sheets: written, changed, struck."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from builds.core.full_size.proportions import ASKED, heads_shares
from builds.forms.drawing_start import ProportionsForm
from builds.forms.refusals import add_refusal
from builds.models import ProportionSheet
from builds.queries.drawing_page import sheets_of
from builds.services.proportions import strike_proportions, write_proportions
from company.access import company_for, row_for
from company.htmx import render
from company.models import Company, Role


@require_http_methods(["GET", "HEAD", "POST"])
def proportions_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """The sheets of the company, and a new one, which begins as six heads tall."""
    company = company_for(request.user, company_pk, Role.LEAD)
    first = {key: round(value * 100, 1) for key, value in heads_shares().items() if key in ASKED}
    return _write(request, company, None, {key: f"{n:g}" for key, n in first.items()})


@require_http_methods(["GET", "HEAD", "POST"])
def proportions_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Write over a sheet. Drawings made after it stay as they are."""
    sheet = _sheet(request, pk)
    first = {key: f"{share * 100:g}" for key, share in sheet.shares.items()}
    return _write(
        request, sheet.company, sheet, {**first, "name": sheet.name, "version": sheet.version}
    )


@require_POST
def proportions_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """No longer offer it."""
    sheet = _sheet(request, pk)
    strike_proportions(sheet=sheet, user=request.user)
    messages.success(request, f"{sheet} is no longer offered.")
    return redirect("builds:proportions_list", sheet.company_id)


def _write(
    request: HttpRequest, company: Company, sheet: ProportionSheet | None, first: dict[str, object]
) -> HttpResponse:
    sheets = sheets_of(company)
    others = [other for other in sheets if other != sheet]
    form = ProportionsForm(request.POST or None, others=others, initial=first)
    if request.method == "POST" and form.is_valid():
        try:
            kept = write_proportions(
                company=company,
                user=request.user,
                name=form.cleaned_data["name"],
                shares=form.shares(),
                sheet=sheet,
                version=form.cleaned_data["version"],
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"{kept} is offered at the beginning of every drawing.")
            return redirect("builds:proportions_list", company.pk)
    context = {
        "company": company,
        "place": "company",
        "sheets": sheets,
        "sheet": sheet,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "builds/proportions_list.html", None, context, status=status)


def _sheet(request: HttpRequest, pk: int) -> ProportionSheet:
    sheets = ProportionSheet.objects.filter(struck_at=None).select_related("company")
    sheet: ProportionSheet = row_for(request.user, sheets, pk, Role.LEAD)
    return sheet
