"""A show at another scale: what it would weigh and how it would be strung; and drawing it so."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.forms.refusals import add_refusal
from builds.forms.strings import ScaleForm
from builds.queries.scaling import read_scaled
from builds.services.scaling import scale_guises
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Guise, Show

USUAL = Decimal(80)


@require_safe
def scale(request: HttpRequest, pk: int) -> HttpResponse:
    """Every guise at so many per cent of its present size."""
    show = show_for(request.user, pk, Role.READER)
    return _page(request, show, ScaleForm(request.GET if "percent" in request.GET else None))


@require_POST
def scale_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw the chosen guises at that scale: the next drawing of each; hours stay."""
    show = show_for(request.user, pk, Role.LEAD)
    form = ScaleForm(request.POST)
    if form.is_valid():
        chosen = [value for value in request.POST.getlist("guise") if value.isdigit()]
        guises = Guise.objects.filter(character__show=show, pk__in=chosen)
        try:
            made = scale_guises(
                guises=guises.select_related("character__show__company"),
                user=request.user,
                percent=form.cleaned_data["percent"],
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            counted = "One drawing is" if len(made) == 1 else f"{len(made)} drawings are"
            messages.success(request, f"{counted} made at the new size; those before are kept.")
            return redirect("builds:scale", show.pk)
    return _page(request, show, form, status=422)


def _page(request: HttpRequest, show: Show, form: ScaleForm, *, status: int = 200) -> HttpResponse:
    is_good = form.is_bound and form.is_valid()
    percent = form.cleaned_data["percent"] if is_good else USUAL
    rows = read_scaled(show, float(percent))
    context = {
        "show": show,
        "place": "figures",
        "form": form if form.is_bound else ScaleForm(initial={"percent": USUAL}),
        "percent": percent,
        "rows": rows,
        "light": [row for row in rows if row.scaled.is_too_light],
        "is_lead": membership_of(request.user, show.company).allows(Role.LEAD),
    }
    if form.is_bound and not is_good and status == 200:
        status = 422
    return render(request, "builds/scale.html", None, context, status=status)
