"""The strings of a guise: lengths, loads, the control, usual sets, and performers' reaches."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import guise_for
from builds.forms.refusals import add_refusal
from builds.forms.strings import ControlForm, ReachForm, SetForm
from builds.models import Control
from builds.queries.drawings import drawing_of
from builds.queries.strings import read_strings
from builds.services.controls import lay_string_set, save_control, set_reach
from builds.string_sheets import strings_paper
from builds.views.sheets import answer_paper
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Guise


@require_safe
def strings(request: HttpRequest, pk: int) -> HttpResponse:
    """The string chart for the show's bridge or a venue's, and a performer's hand."""
    return render_strings(request, guise_for(request.user, pk, Role.READER))


@require_POST
def string_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin, or begin again, with a usual set."""
    guise = guise_for(request.user, pk, Role.LEAD)
    form = SetForm(request.POST)
    if form.is_valid():
        try:
            lay_string_set(guise=guise, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The usual holes are on the control.")
            return redirect("builds:strings", guise.pk)
    return render_strings(request, guise, status=422, set_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def control_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The control, the line, and every hole."""
    guise = guise_for(request.user, pk, Role.LEAD)
    control = Control.objects.filter(guise=guise).prefetch_related("strings").first()
    control = control or Control(guise=guise)
    form = ControlForm(request.POST or None, control=control, drawing=drawing_of(guise))
    if request.method == "POST" and form.is_valid():
        try:
            save_control(
                guise=guise,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
                strings=form.places(),
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The control is set.")
            return redirect("builds:strings", guise.pk)
    context = {
        "show": guise.character.show,
        "place": "figures",
        "tab": "strings",
        "guise": guise,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "builds/control_edit.html", None, context, status=status)


@require_POST
def reach_set(request: HttpRequest, pk: int) -> HttpResponse:
    """How high a performer holds a control."""
    guise = guise_for(request.user, pk, Role.LEAD)
    company = guise.character.show.company
    form = ReachForm(request.POST, company=company)
    if form.is_valid():
        try:
            set_reach(company=company, user=request.user, **form.cleaned_data)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            who = form.cleaned_data["name"]
            messages.success(request, f"How high {who} holds a control is said.")
            return redirect("builds:strings", guise.pk)
    return render_strings(request, guise, status=422, reach_form=form)


@require_safe
def sheet_strings(request: HttpRequest, pk: int) -> HttpResponse:
    """The string charts of a show as a PDF, for its own bridge and every venue's."""
    show = show_for(request.user, pk, Role.READER)
    guise_pk = _number(request, "guise")
    return answer_paper(request, show, lambda paper: strings_paper(show, paper, guise_pk=guise_pk))


def render_strings(
    request: HttpRequest, guise: Guise, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page. `state`: set_form, reach_form with what is wrong."""
    show = guise.character.show
    page = read_strings(
        guise, venue_pk=_number(request, "venue"), reach_pk=_number(request, "hand")
    )
    version = page.control.version if page.control is not None else None
    context: dict[str, Any] = {
        "show": show,
        "place": "figures",
        "tab": "strings",
        "guise": guise,
        "page": page,
        "is_lead": membership_of(request.user, show.company).allows(Role.LEAD),
        "set_form": SetForm(initial={"version": version, "strings": 9}),
        "reach_form": ReachForm(company=show.company),
        **state,
    }
    return render(request, "builds/strings.html", None, context, status=status)


def _number(request: HttpRequest, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isdigit() and len(text) < 10 else None
