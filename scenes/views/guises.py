"""The page of a guise: what it is, what it wears, its sketches; and the forms on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.forms.roles import CostumeForm, GuiseForm
from scenes.forms.sketches import SketchForm
from scenes.forms.stage import RigForm
from scenes.models import Guise, Show
from scenes.queries.rigs import read_rigs
from scenes.queries.scenes import scenes_of_guise
from scenes.queries.sketches import leads_of, sketches_seen_by
from scenes.services.guards import reasons_to_keep_guise
from scenes.services.guises import edit_guise, remove_guise

PARTS = ("facts", "costumes", "rigs", "sketches")


@require_safe
def guise_detail(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """What a guise is and wears, where it plays, and its sketches as far as one may see them."""
    show, guise = guise_for(request, show_pk, pk, Role.READER)
    part = request.GET.get("part", "facts")
    return render_guise(request, show, guise, part=part if part in PARTS else "facts")


@require_http_methods(["GET", "HEAD", "POST"])
def guise_edit(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """The facts of a guise, open for writing."""
    show, guise = guise_for(request, show_pk, pk, Role.LEAD)
    form = GuiseForm(request.POST or None, show=show, guise=guise)
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"]
        edited = edit_guise(
            show=show, user=request.user, guise=guise, version=version, **form.values()
        )
        return guise_done(request, show, edited, f"{edited} is saved.", part="facts")
    status = 422 if form.is_bound else 200
    focus = "" if form.is_bound else form["name"].auto_id
    return render_guise(
        request, show, guise, part="facts", status=status, guise_form=form, focus=focus
    )


@require_http_methods(["GET", "HEAD", "POST"])
def guise_remove(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """Says what goes with the guise, or why it stays; takes it away when told so."""
    show, guise = guise_for(request, show_pk, pk, Role.LEAD)
    reasons = reasons_to_keep_guise(guise, show)
    if request.method == "POST" and not reasons:
        try:
            remove_guise(show=show, user=request.user, guise=guise)
        except ValidationError as refusal:
            reasons = refusal.messages
        else:
            messages.success(request, f"{guise} is gone.")
            return redirect("scenes:scene_list", show.pk)
    context = {"show": show, "place": "scenes", "guise": guise, "reasons": reasons}
    status = 422 if request.method == "POST" else 200
    return render(request, "scenes/guise_remove.html", context=context, status=status)


def guise_for(request: HttpRequest, show_pk: int, pk: int, role: Role) -> tuple[Show, Guise]:
    """The show and the guise of it, if the person has at least `role` there."""
    show = show_for(request.user, show_pk, role)
    return show, guise_of(show, pk)


def guise_of(show: Show, pk: int) -> Guise:
    """The guise of the show, with its role and costumes."""
    guises = Guise.objects.select_related("character").prefetch_related("costumes")
    guise = guises.filter(character__show=show, pk=pk).first()
    if guise is None:
        raise Http404("That guise is no longer there.")
    guise.character.show = show
    found: Guise = guise
    return found


def render_guise(
    request: HttpRequest,
    show: Show,
    guise: Guise,
    *,
    part: str = "facts",
    status: int = 200,
    **state: Any,
) -> HttpResponse:
    """The page, or by htmx its `part` ('facts', 'costumes', 'rigs' or 'sketches').

    `state` says what is open in it: guise_form; costume_form (new), open_costume (pk) with
    costume_edit, removing_costume (pk) with reasons; rig_form; sketch_form; said;
    focus (an element's id).
    """
    place = membership_of(request.user, show.company)
    sketches = list(sketches_seen_by(request.user).filter(guise=guise).select_related("made_by"))
    chosen = next((sketch for sketch in sketches if sketch.is_chosen), None)
    context = {
        "show": show,
        "place": "scenes",
        "guise": guise,
        "is_fragment": bool(request.htmx),  # type: ignore[attr-defined]
        "is_metric": show.company.units == show.company.Units.METRIC,
        "costumes": guise.costumes.all(),
        "rigs": read_rigs(show, guise),
        "rig_form": RigForm(),
        "plays_in": scenes_of_guise(guise, show),
        "chosen": chosen,
        "sketches": [sketch for sketch in sketches if sketch.made_by_id == request.user.pk],
        "can_edit": place.allows(Role.LEAD),
        "can_send": place.allows(Role.MAKER),
        "leads": list(leads_of(show.company)) if place.role == Role.MAKER else [],
        "sketch_form": SketchForm(),
        "costume_form": CostumeForm(show=show, guise=guise),
        **state,
    }
    fragment = f"scenes/_guise_{part}.html"
    return render(request, "scenes/guise_detail.html", fragment, context, status=status)


def guise_done(
    request: HttpRequest, show: Show, guise: Guise, words: str, *, part: str, focus: str = ""
) -> HttpResponse:
    """After an edit: by htmx the part anew, else back to the page, at the same place."""
    if request.htmx:  # type: ignore[attr-defined]
        guise = guise_of(show, guise.pk)
        focus = focus or f"guise-{part}-edit"
        return render_guise(request, show, guise, part=part, said=words, focus=focus)
    messages.success(request, words)
    address = reverse("scenes:guise_detail", args=[show.pk, guise.pk])
    return redirect(f"{address}#guise-{part}")
