"""The materials of a company: will it set, own pairs, the shelf, own materials."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.forms.materials import ChoiceOfThreeForm, OwnMaterialForm, PairForm
from builds.forms.stock import LotForm
from builds.models import OwnMaterial, OwnPair
from builds.queries.material_tables import known_materials, own_pair_lines, tables
from builds.queries.materials import Materials
from builds.queries.stock import say_shelf, shelf
from builds.services.materials import (
    add_own_material,
    add_own_pair,
    edit_own_material,
    edit_own_pair,
    strike_own_material,
    strike_own_pair,
    take_back_own_material,
)
from company.access import company_for, membership_of, row_for
from company.forms.fields import add_problems
from company.htmx import render
from company.models import Company, Role


def page_context(request: HttpRequest, company: Company) -> dict[str, Any]:
    """What every page about materials has."""
    place = membership_of(request.user, company)  # type: ignore[arg-type]
    return {
        "company": company,
        "place": "company",
        "may_edit": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
    }


@require_safe
def material_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Will it set, own pairs, the shelf, own materials, and all that is known of the rest."""
    return show_list(request, company_for(request.user, company_pk, Role.READER))


def show_list(
    request: HttpRequest, company: Company, *, status: int = 200, **more: Any
) -> HttpResponse:
    """The page, with forms that were sent back."""
    known = Materials(company)
    lots = shelf(company, known)
    three = ChoiceOfThreeForm(request.GET or None, known=known)
    answer = None
    if three.is_bound and three.is_valid():
        answer = known.judge(**three.cleaned_data)
    context = page_context(request, company) | {
        "lede": say_shelf(lots),
        "three": three,
        "answer": answer,
        "lots": lots,
        "pairs": own_pair_lines(known),
        "own": [row for row in known.own.values() if row.struck_at is None],
        "struck": [row for row in known.own.values() if row.struck_at is not None],
        "tables": tables(known),
        "known": known_materials(known),
    }
    if context["may_edit"]:
        context |= {
            "sculpt_pair_form": PairForm(company=company, table=OwnPair.Table.SCULPT, known=known),
            "cast_pair_form": PairForm(company=company, table=OwnPair.Table.CAST, known=known),
        }
    if context["may_record"]:
        context["lot_form"] = LotForm(company=company, known=known)
    context |= more
    return render(request, "builds/material_list.html", context=context, status=status)


@require_safe
def pair_answer(request: HttpRequest, company_pk: int) -> HttpResponse:
    """The answer to three materials, as a fragment; without htmx the whole page with it."""
    company = company_for(request.user, company_pk, Role.READER)
    if not request.htmx:  # type: ignore[attr-defined]
        return show_list(request, company)
    known = Materials(company)
    form = ChoiceOfThreeForm(request.GET, known=known)
    chosen = {name: request.GET.get(name, "") for name in form.fields}
    context = {"answer": known.judge(**chosen), "company": company}
    return render(request, "builds/_will_it_set.html", context=context)


@require_POST
def pair_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Write down a pair of the company's own."""
    company = company_for(request.user, company_pk, Role.LEAD)
    table = request.POST.get("table", "")
    if table not in OwnPair.Table.values:
        raise Http404("No such table.")
    form = PairForm(request.POST, company=company, table=table)
    if form.is_valid():
        try:
            add_own_pair(company=company, user=request.user, values=form.values())
            messages.success(request, "The pair is written down. It goes before ours.")
            return redirect("builds:material_list", company.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return show_list(request, company, status=422, **{f"{table}_pair_form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def pair_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Verdict, reason and way round of an own pair."""
    rows = OwnPair.objects.select_related("company").filter(struck_at=None)
    pair: OwnPair = row_for(request.user, rows, pk, Role.LEAD)
    form = PairForm(request.POST or None, company=pair.company, table=pair.table, pair=pair)
    if request.method == "POST" and form.is_valid():
        try:
            edit_own_pair(
                pair=pair,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
            )
            messages.success(request, "The pair is saved.")
            return redirect("builds:material_list", pair.company_id)
        except ValidationError as wrong:
            pair.refresh_from_db()
            add_problems(form, wrong)
    line = next(line for line in own_pair_lines(Materials(pair.company)) if line.row == pair)
    context = page_context(request, pair.company) | {"pair": pair, "line": line, "form": form}
    status = 422 if form.errors else 200
    return render(request, "builds/pair_edit.html", context=context, status=status)


@require_POST
def pair_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike an own pair."""
    rows = OwnPair.objects.select_related("company").filter(struck_at=None)
    pair: OwnPair = row_for(request.user, rows, pk, Role.LEAD)
    strike_own_pair(pair=pair, user=request.user)
    messages.success(request, "The pair is struck: what is published holds again.")
    return redirect("builds:material_list", pair.company_id)


@require_http_methods(["GET", "HEAD", "POST"])
def material_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """A material of the company's own."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = OwnMaterialForm(request.POST or None, company=company)
    if request.method == "POST" and form.is_valid():
        try:
            row = add_own_material(company=company, user=request.user, values=form.values())
            messages.success(request, f"'{row}' is among the materials.")
            return redirect("builds:material_list", company.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    context = page_context(request, company) | {"form": form}
    status = 422 if form.errors else 200
    return render(request, "builds/material_add.html", context=context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def material_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """What the data sheet of an own material says."""
    row = _own_for(request, pk)
    form = OwnMaterialForm(request.POST or None, company=row.company, material=row)
    if request.method == "POST" and form.is_valid():
        try:
            edit_own_material(
                material=row,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
            )
            messages.success(request, f"'{row}' is saved.")
            return redirect("builds:material_list", row.company_id)
        except ValidationError as wrong:
            row.refresh_from_db()
            add_problems(form, wrong)
    context = page_context(request, row.company) | {"material": row, "form": form}
    status = 422 if form.errors else 200
    return render(request, "builds/material_edit.html", context=context, status=status)


@require_POST
def material_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike an own material."""
    row = _own_for(request, pk)
    strike_own_material(material=row, user=request.user)
    messages.success(request, f"'{row}' is struck: it is no longer offered.")
    return redirect("builds:material_list", row.company_id)


@require_POST
def material_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer a struck material again."""
    row = _own_for(request, pk)
    try:
        take_back_own_material(material=row, user=request.user)
        messages.success(request, f"'{row}' is offered again.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return redirect("builds:material_list", row.company_id)


def _own_for(request: HttpRequest, pk: int) -> OwnMaterial:
    rows = OwnMaterial.objects.select_related("company")
    row: OwnMaterial = row_for(request.user, rows, pk, Role.LEAD)
    return row
