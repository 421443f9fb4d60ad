"""What a mould is sculpted, moulded and cast in, and what to weigh out for it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from builds.core.casting.amounts import PLASTERS
from builds.core.casting.values import Kind
from builds.forms.materials import MouldMaterialsForm
from builds.forms.stock import AmountsForm
from builds.models import Mould
from builds.queries.casting_advice import advice_for, amounts_of
from builds.queries.materials import Materials
from builds.services.mould_materials import choose_materials, set_amounts
from company.access import membership_of, row_for
from company.forms.fields import add_problems
from company.htmx import render
from company.models import Role


def mould_of(request: HttpRequest, pk: int, role: Role) -> Mould:
    """The mould with all that its advice asks for, if the person has at least `role` there."""
    rows = Mould.objects.select_related(
        "pattern__show__company", "pattern__made_for__character", "amounts"
    )
    mould: Mould = row_for(request.user, rows, pk, role)
    return mould


def page_context(request: HttpRequest, mould: Mould) -> dict[str, Any]:
    """What both pages have."""
    place = membership_of(request.user, mould.pattern.show.company)  # type: ignore[arg-type]
    return {
        "show": mould.pattern.show,
        "place": "moulds",
        "mould": mould,
        "may_edit": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
    }


@require_http_methods(["GET", "HEAD", "POST"])
def mould_materials(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the three materials: the answer comes at once, the maker decides."""
    mould = mould_of(request, pk, Role.READER if request.method != "POST" else Role.LEAD)
    known = Materials(mould.pattern.show.company)
    data = request.POST if request.method == "POST" else None
    form = MouldMaterialsForm(data, mould=mould, known=known)
    if data is not None and form.is_valid():
        try:
            choose_materials(
                mould=mould,
                user=request.user,
                version=form.cleaned_data["version"],
                **form.values(),
            )
            advice = advice_for(mould)
            if advice.answer.warns:
                verdict = advice.answer.verdict
                messages.warning(request, f"Kept as you chose. Will it set: {verdict}.")
            else:
                messages.success(request, "Kept. It will set.")
            return redirect("builds:mould_materials", mould.pk)
        except ValidationError as wrong:
            mould.refresh_from_db()
            add_problems(form, wrong)
    context = page_context(request, mould) | {
        "form": form,
        "advice": advice_for(mould, materials=known),
        "company": mould.pattern.show.company,
    }
    status = 422 if form.errors else 200
    return render(request, "builds/mould_materials.html", context=context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def mould_amounts(request: HttpRequest, pk: int) -> HttpResponse:
    """What to weigh out for the mould block and for one pour; what was typed is kept."""
    mould = mould_of(request, pk, Role.READER if request.method != "POST" else Role.MAKER)
    company = mould.pattern.show.company
    known = Materials(company)
    data = request.POST if request.method == "POST" else None
    cast = known.find(Kind.CAST, mould.casting_material)
    form = AmountsForm(
        data,
        company=company,
        amounts=amounts_of(mould),
        is_plaster=known.likes.get(mould.material, mould.material) in PLASTERS,
        is_slip=cast is not None and cast.is_slip,
    )
    if data is not None and form.is_valid():
        try:
            set_amounts(
                mould=mould,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
            )
            messages.success(request, "Kept. These are the amounts.")
            return redirect("builds:mould_amounts", mould.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
            mould = mould_of(request, pk, Role.MAKER)
    context = page_context(request, mould) | {
        "form": form,
        "advice": advice_for(mould, materials=known),
    }
    status = 422 if form.errors else 200
    return render(request, "builds/mould_amounts.html", context=context, status=status)
