"""What a mould is sculpted, moulded and cast in, and what to weigh out for it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.core.casting.amounts import PLASTERS
from builds.core.casting.values import Kind
from builds.core.casting.will_it_set import Answer
from builds.forms.materials import MouldMaterialsForm
from builds.forms.stock import AmountsForm
from builds.models import Mould
from builds.queries.casting_advice import advice_for
from builds.queries.materials import Materials
from builds.queries.mould_amounts import amounts_of
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


@require_safe
def mould_materials(request: HttpRequest, pk: int) -> HttpResponse:
    """The three materials and the answer to them."""
    return _show_materials(request, mould_of(request, pk, Role.READER))


@require_POST
def mould_choose(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the three materials: wrong pairs warn, the maker decides."""
    mould = mould_of(request, pk, Role.LEAD)
    form = MouldMaterialsForm(
        request.POST, mould=mould, known=Materials(mould.pattern.show.company)
    )
    if form.is_valid():
        try:
            choose_materials(
                mould=mould,
                user=request.user,  # type: ignore[arg-type]
                version=form.cleaned_data["version"],
                **form.values(),
            )
            _say(request, advice_for(mould).answer)
            return redirect("builds:mould_materials", mould.pk)
        except ValidationError as wrong:
            mould.refresh_from_db()
            add_problems(form, wrong)
    return _show_materials(request, mould, form=form, status=422)


def _say(request: HttpRequest, answer: Answer) -> None:
    if answer.warns:
        messages.warning(request, f"Kept as you chose. Will it set: {answer.verdict}.")
    else:
        messages.success(request, "Kept. It will set.")


def _show_materials(
    request: HttpRequest,
    mould: Mould,
    *,
    form: MouldMaterialsForm | None = None,
    status: int = 200,
) -> HttpResponse:
    known = Materials(mould.pattern.show.company)
    context = page_context(request, mould) | {
        "form": form or MouldMaterialsForm(mould=mould, known=known),
        "advice": advice_for(mould, materials=known),
        "company": mould.pattern.show.company,
    }
    return render(request, "builds/mould_materials.html", context=context, status=status)


@require_safe
def mould_amounts(request: HttpRequest, pk: int) -> HttpResponse:
    """What to weigh out for the mould block and for one pour."""
    return _show_amounts(request, mould_of(request, pk, Role.READER))


@require_POST
def amounts_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what was measured, and work the amounts out anew."""
    mould = mould_of(request, pk, Role.MAKER)
    form = _amounts_form(mould, Materials(mould.pattern.show.company), request.POST)
    if form.is_valid():
        try:
            set_amounts(
                mould=mould,
                user=request.user,  # type: ignore[arg-type]
                version=form.cleaned_data["version"],
                values=form.values(),
            )
            messages.success(request, "Kept. These are the amounts.")
            return redirect("builds:mould_amounts", mould.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return _show_amounts(request, mould_of(request, pk, Role.MAKER), form=form, status=422)


def _amounts_form(mould: Mould, known: Materials, data: Any = None) -> AmountsForm:
    cast = known.find(Kind.CAST, mould.casting_material)
    return AmountsForm(
        data,
        company=mould.pattern.show.company,
        amounts=amounts_of(mould),
        is_plaster=known.likes.get(mould.material, mould.material) in PLASTERS,
        is_slip=cast is not None and cast.is_slip,
    )


def _show_amounts(
    request: HttpRequest,
    mould: Mould,
    *,
    form: AmountsForm | None = None,
    status: int = 200,
) -> HttpResponse:
    known = Materials(mould.pattern.show.company)
    context = page_context(request, mould) | {
        "form": form or _amounts_form(mould, known),
        "advice": advice_for(mould, materials=known),
    }
    return render(request, "builds/mould_amounts.html", context=context, status=status)
