"""How a guise or one of its figures hangs; weights, trial hangs and ballast recorded there."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import figure_for, guise_for
from builds.drawings.hang import draw_hang
from builds.forms.hangs import FitForm, PlaceForm, TrialForm, WeighForm
from builds.forms.parts import BallastForm
from builds.forms.refusals import add_refusal
from builds.loading.hang_picture import hang_data
from builds.models import Ballast, CostumeFit, Figure, TrialHang, Weighing
from builds.models.drawings import PartKind
from builds.queries.drawings import drawing_of
from builds.queries.hangs import HangPage, read_hang
from builds.services.hangs import (
    record_trial,
    save_fit,
    strike_trial,
    strike_weighing,
    weigh_part,
)
from builds.services.parts import put_ballast, take_ballast_out
from company.access import membership_of, row_for
from company.htmx import render
from company.models import Role
from scenes.models import Costume, Guise


@require_safe
def hang(request: HttpRequest, pk: int) -> HttpResponse:
    """How a guise's figures hang, as far as it is known before one is weighed."""
    return render_hang(request, guise_for(request.user, pk, Role.READER))


@require_safe
def figure_hang(request: HttpRequest, pk: int) -> HttpResponse:
    """How one figure hangs, with its own weights and trial hangs."""
    figure = figure_for(request.user, pk, Role.READER)
    return render_hang(request, figure.guise, figure)


@require_POST
def weighing_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Record what a part of a figure weighs."""
    figure = figure_for(request.user, pk, Role.MAKER)
    form = WeighForm(request.POST)
    if form.is_valid():
        try:
            row = weigh_part(figure=figure, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"The {row.get_part_display()} weighs {row.mass_g:g} g.")
            return redirect("builds:figure_hang", figure.pk)
    return render_hang(request, figure.guise, figure, status=422, weigh_form=form)


@require_POST
def weighing_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a weight that was read wrong."""
    row: Weighing = row_for(request.user, _of_figures(Weighing), pk, Role.MAKER)
    return _struck(request, row.figure, lambda: strike_weighing(weighing=row, user=request.user))


@require_POST
def trial_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a measured lean."""
    figure = figure_for(request.user, pk, Role.MAKER)
    form = TrialForm(request.POST, figure=figure)
    if form.is_valid():
        try:
            record_trial(figure=figure, user=request.user, **form.values())
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The trial hang is on record; weights and centres follow it.")
            return redirect("builds:figure_hang", figure.pk)
    return render_hang(request, figure.guise, figure, status=422, trial_form=form)


@require_POST
def trial_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a trial hang that was measured wrong."""
    row: TrialHang = row_for(request.user, _of_figures(TrialHang), pk, Role.MAKER)
    return _struck(request, row.figure, lambda: strike_trial(trial=row, user=request.user))


@require_POST
def ballast_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Let metal into a part of the guise's drawing."""
    guise = guise_for(request.user, pk, Role.LEAD)
    form = BallastForm(request.POST)
    drawing = drawing_of(guise)
    if drawing is None:
        form.add_error(None, "There is no drawing of it yet.")
    elif drawing.guise_id != guise.pk:
        form.add_error(None, f"It goes by the body of {drawing.guise}: let it in there.")
    elif form.is_valid():
        try:
            put_ballast(drawing=drawing, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The ballast counts from now on.")
            return redirect("builds:hang", guise.pk)
    return render_hang(request, guise, status=422, ballast_form=form)


@require_POST
def ballast_take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a piece of ballast out again."""
    rows = Ballast.objects.select_related("drawing__guise__character__show__company")
    row: Ballast = row_for(request.user, rows, pk, Role.LEAD)
    guise = row.drawing.guise
    try:
        take_ballast_out(ballast=row, user=request.user)
    except ValidationError as refusal:
        return render_hang(request, guise, status=422, refusal=refusal.messages)
    messages.success(request, "The ballast is out again.")
    return redirect("builds:hang", guise.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def costume_fit(request: HttpRequest, pk: int) -> HttpResponse:
    """How a costume's weight sits, and what stiff cloth holds."""
    rows = Costume.objects.select_related("guise__character__show__company", "fit")
    costume: Costume = row_for(request.user, rows, pk, Role.LEAD)
    fit = CostumeFit.objects.filter(costume=costume).first() or CostumeFit(costume=costume)
    form = FitForm(request.POST or None, fit=fit)
    if request.method == "POST" and form.is_valid():
        save_fit(
            costume=costume,
            user=request.user,
            version=form.cleaned_data["version"],
            values=form.values(),
        )
        messages.success(request, f"How the {costume} sits is said.")
        return redirect("builds:hang", costume.guise_id)
    context = {
        "show": costume.guise.character.show,
        "place": "figures",
        "guise": costume.guise,
        "costume": costume,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "builds/costume_fit.html", None, context, status=status)


def render_hang(
    request: HttpRequest,
    guise: Guise,
    figure: Figure | None = None,
    *,
    status: int = 200,
    **state: Any,
) -> HttpResponse:
    """The page. `state`: weigh_form, trial_form, ballast_form with what is wrong; refusal."""
    asked = PlaceForm(request.GET or None)
    said = asked.cleaned_data if asked.is_valid() else {}
    if asked.is_bound and not asked.is_valid():
        state["place_form"] = asked
    at = None
    if said.get("x") is not None and said.get("y") is not None:
        at = (float(said["x"]), float(said["y"]))
    page = read_hang(guise, figure, costume_pk=said.get("costume"), ballast_at=at)
    show = guise.character.show
    place = membership_of(request.user, show.company)
    context: dict[str, Any] = {
        "show": show,
        "place": "figures",
        "tab": "hang",
        "guise": guise,
        "figure": figure,
        "page": page,
        "picture": _picture(page),
        "is_lead": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
        "zone": show.company.time_zone,
        **_forms(page, figure, state),
        **state,
    }
    return render(request, "builds/hang.html", None, context, status=status)


def _forms(page: HangPage, figure: Figure | None, state: dict[str, Any]) -> dict[str, Any]:
    if page.hang is None or page.drawing is None:
        return {}
    forms: dict[str, Any] = {}
    if "ballast_form" not in state:
        ballast = page.hang.truing.ballast
        x, y = page.hang.ballast_at
        initial = {
            "version": page.drawing.version,
            "mass_g": Decimal(round(ballast.mass_g)) if ballast is not None else None,
            "x_mm": Decimal(str(round(x, 1))),
            "y_mm": Decimal(str(round(y, 1))),
            "part": PartKind.TORSO,
        }
        forms["ballast_form"] = BallastForm(initial=initial)
    if page.hang is not None and "place_form" not in state:
        x, y = page.hang.ballast_at
        initial = {"x": Decimal(str(round(x, 1))), "y": Decimal(str(round(y, 1)))}
        shown = page.shown.pk if page.shown else None
        forms["place_form"] = PlaceForm(initial={**initial, "costume": shown})
    if figure is not None:
        parts = [row.kind for row in page.weights]
        forms["weigh_form"] = WeighForm(parts=parts)
        forms["trial_form"] = TrialForm(figure=figure)
        rows = Weighing.objects.filter(figure=figure)
        forms["weighings"] = list(rows)
    else:
        rows_of = Figure.objects.filter(guise=page.guise).exclude(state=Figure.State.STRUCK)
        forms["figures"] = list(rows_of)
    return forms


def _picture(page: HangPage) -> str:
    if page.hang is None or page.drawing is None:
        return ""
    who = page.figure or page.guise
    return draw_hang(
        hang_data(page.drawing, page.hang),
        ident="hang",
        title=f"{who} as drawn and as it hangs",
        desc=f"It {page.hang.said}. {page.hang.seat} {' '.join(page.hang.swings)}",
    )


def _of_figures(model: Any) -> Any:
    return model.objects.select_related("figure__guise__character", "figure__show__company")


def _struck(request: HttpRequest, figure: Figure, strike: Any) -> HttpResponse:
    try:
        strike()
    except ValidationError as refusal:
        return render_hang(request, figure.guise, figure, status=422, refusal=refusal.messages)
    messages.success(request, "It is struck; what was before stands again.")
    return redirect("builds:figure_hang", figure.pk)
