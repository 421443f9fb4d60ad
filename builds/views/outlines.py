"""The outline of a part, drawn over the photo by clicking points, or typed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from builds.access import guise_for
from builds.drawings.placing import PlacingView, draw_placing
from builds.forms.outline import OutlineForm
from builds.forms.refusals import add_refusal
from builds.loading.outlines import load_outline, scale_of
from builds.models import Drawing, DrawingPart
from builds.models.drawings import PartKind
from builds.queries.drawings import drawing_of
from builds.services.parts import save_part_outline
from builds.views.drawing import TITLES, picture_address
from company.htmx import render
from company.models import Role
from scenes.models import Guise


@require_http_methods(["GET", "HEAD", "POST"])
def drawing_outline(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Click round a part on the photo; the numbers beside it say the same."""
    guise = guise_for(request.user, pk, Role.LEAD)
    part = _part(guise, kind)
    form = OutlineForm(request.POST or None, part=part)
    if request.method == "POST" and form.is_valid():
        try:
            save_part_outline(
                drawing=part.drawing,
                user=request.user,
                version=form.cleaned_data["version"],
                kind=part.kind,
                outline=form.cleaned_data["outline"],
                front_outline=form.cleaned_data["front_outline"] or None,
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"The {part} has the outline you drew.")
            return redirect("builds:drawing", guise.pk)
    context = {
        "show": guise.character.show,
        "place": "figures",
        "tab": "drawing",
        "guise": guise,
        "part": part,
        "form": form,
        "views": _views(guise, part.drawing),
    }
    status = 422 if form.is_bound else 200
    return render(request, "builds/drawing_outline.html", None, context, status=status)


def _part(guise: Guise, slug: str) -> DrawingPart:
    """The part of the guise's own drawing; it has sizes before it has an outline."""
    stands = drawing_of(guise)
    kind = slug.replace("-", " ")
    if stands is None or stands.guise_id != guise.pk or kind not in PartKind.values:
        raise Http404("There is no such part.")
    part = next((part for part in stands.parts.all() if part.kind == kind), None)
    if part is None:
        raise Http404("This part has no sizes yet.")
    part.drawing = stands
    return part


def _views(guise: Guise, stands: Drawing) -> list[dict[str, Any]]:
    """Both views over their photos, with nothing to move on them."""
    outline = load_outline(stands)
    pictures = {picture.view: picture for picture in stands.pictures.all()}
    views = []
    for view in ("profile", "front"):
        picture = pictures.get(view)
        data = PlacingView(view, outline, ())
        if picture is not None and scale_of(picture) is not None:
            data = PlacingView(
                view=view,
                outline=outline,
                pins=(),
                href=picture_address(picture),
                size_px=(picture.width_px, picture.height_px),
                scale=scale_of(picture),
            )
        views.append({"view": view, "drawn": draw_placing(data, title=TITLES[view].format(guise))})
    return views
