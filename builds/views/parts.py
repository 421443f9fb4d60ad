"""The parts and weights of a guise's drawing, and the stops of its joints."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import guise_for
from builds.forms.parts import HangingForm, PartForm
from builds.forms.refusals import add_refusal
from builds.models import Drawing
from builds.models.drawings import PartKind
from builds.queries.drawings import drawing_of
from builds.queries.parts import read_parts
from builds.services.parts import lay_usual_parts, remove_part, save_hanging, save_part
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.models import Guise


@require_safe
def parts(request: HttpRequest, pk: int) -> HttpResponse:
    """Every part with what it weighs, and the joints with their stops."""
    return render_parts(request, guise_for(request.user, pk, Role.READER))


@require_http_methods(["GET", "HEAD", "POST"])
def part_edit(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """One part's sizes and material."""
    guise = guise_for(request.user, pk, Role.LEAD)
    drawing = _own_drawing(guise)
    kind = kind.replace("-", " ")
    if kind not in PartKind.values:
        raise Http404("There is no such part.")
    form = PartForm(request.POST or None, drawing=drawing, kind=kind)
    if request.method == "POST" and form.is_valid():
        try:
            row = save_part(
                drawing=drawing,
                user=request.user,
                version=form.cleaned_data["version"],
                kind=kind,
                values=form.values(),
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"The {row} has its sizes.")
            return redirect("builds:parts", guise.pk)
    context = {
        "show": guise.character.show,
        "place": "figures",
        "tab": "parts",
        "guise": guise,
        "drawing": drawing,
        "kind": PartKind(kind),
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "builds/part_edit.html", None, context, status=status)


@require_POST
def part_remove(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Take a part off the drawing."""
    guise = guise_for(request.user, pk, Role.LEAD)
    drawing = _own_drawing(guise)
    kind = kind.replace("-", " ")
    try:
        remove_part(drawing=drawing, user=request.user, version=_version(request), kind=kind)
    except ValidationError as refusal:
        return render_parts(request, guise, status=422, refusal=refusal.messages)
    messages.success(request, "The part is off the drawing.")
    return redirect("builds:parts", guise.pk)


@require_POST
def parts_lay(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the drawing parts of usual sizes between its joints."""
    guise = guise_for(request.user, pk, Role.LEAD)
    drawing = _own_drawing(guise)
    try:
        made = lay_usual_parts(drawing=drawing, user=request.user, version=_version(request))
    except ValidationError as refusal:
        return render_parts(request, guise, status=422, refusal=refusal.messages)
    messages.success(request, f"{len(made)} parts of usual sizes are laid: now make them its own.")
    return redirect("builds:parts", guise.pk)


@require_POST
def hanging_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the stops of the joints, the head's share and how high it hangs."""
    guise = guise_for(request.user, pk, Role.LEAD)
    drawing = _own_drawing(guise)
    form = HangingForm(request.POST, drawing=drawing)
    if form.is_valid():
        try:
            save_hanging(
                drawing=drawing,
                user=request.user,
                version=form.cleaned_data["version"],
                **form.values(),
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The stops are set.")
            return redirect("builds:parts", guise.pk)
    return render_parts(request, guise, status=422, hanging_form=form)


def render_parts(
    request: HttpRequest, guise: Guise, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page. `state`: hanging_form with what is wrong; refusal."""
    show = guise.character.show
    page = read_parts(guise)
    is_own = page.drawing is not None and page.drawing.guise_id == guise.pk
    is_lead = membership_of(request.user, show.company).allows(Role.LEAD)
    context: dict[str, Any] = {
        "show": show,
        "place": "figures",
        "tab": "parts",
        "guise": guise,
        "page": page,
        "may_edit": is_lead and is_own,
        **state,
    }
    if page.drawing is not None and "hanging_form" not in context:
        context["hanging_form"] = HangingForm(drawing=page.drawing)
    return render(request, "builds/parts.html", None, context, status=status)


def _own_drawing(guise: Guise) -> Drawing:
    """The guise's own drawing; a borrowed body is written on at its lender."""
    drawing = drawing_of(guise)
    if drawing is None or drawing.guise_id != guise.pk:
        raise Http404("There is no drawing of its own here.")
    return drawing


def _version(request: HttpRequest) -> int | None:
    text = str(request.POST.get("version", ""))
    return int(text) if text.isdigit() and len(text) < 10 else None
