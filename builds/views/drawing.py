"""The drawing of a guise: its page, what is placed on it, and its beginnings."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from builds.access import guise_for
from builds.drawing_sheets import PAPERS, drawing_paper
from builds.drawings.placing import draw_placing
from builds.forms.drawing import PlacingForm
from builds.forms.drawing_pictures import PictureForm
from builds.forms.drawing_start import NONE, SheetForm
from builds.forms.placing_view import placing_views
from builds.forms.refusals import add_refusal
from builds.models import Drawing, DrawingPicture
from builds.queries.drawing_page import (
    earlier_drawings,
    other_drawings,
    read_remarks,
    say_drawing,
    sheets_of,
)
from builds.queries.drawings import drawing_of
from builds.services.drawings import start_drawing
from builds.services.placing import place_drawing
from builds.services.proportions import lay_proportions
from builds.sheets import NothingToPrint
from company.access import membership_of
from company.htmx import render
from company.models import Role
from company.sheets import CannotPrint
from scenes.models import Guise

TITLES = {"profile": "Profile of {}", "front": "Front of {}"}


@require_safe
def drawing(request: HttpRequest, pk: int) -> HttpResponse:
    """The drawing with its pictures, holes and joints; or the beginning of one."""
    return render_drawing(request, guise_for(request.user, pk, Role.READER))


@require_POST
def drawing_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin the guise's drawing, upright after a proportion sheet or with nothing placed."""
    guise = guise_for(request.user, pk, Role.LEAD)
    form = _sheet_form(request, guise)
    if form.is_valid():
        made = start_drawing(
            guise=guise,
            user=request.user,
            height_mm=form.cleaned_data["height_mm"],
            shares=form.shares(),
        )
        like = form.like()
        if like is not None:
            lay_proportions(drawing=made, user=request.user, version=made.version, like=like)
        messages.success(request, f"Drawing {made.number} of {guise} is begun.")
        return redirect("builds:drawing", guise.pk)
    return render_drawing(request, guise, status=422, start_form=form)


@require_POST
def drawing_anew(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the drawing as it stands under its number, and go on with a copy of it."""
    guise = guise_for(request.user, pk, Role.LEAD)
    stands = _own_drawing(guise)
    made = start_drawing(guise=guise, user=request.user, height_mm=stands.height_mm, copy_of=stands)
    messages.success(
        request, f"Drawing {stands.number} is kept as it is; this is drawing {made.number}."
    )
    return redirect("builds:drawing", guise.pk)


@require_POST
def drawing_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what was placed. A script is told in one word and no page: 204."""
    guise = guise_for(request.user, pk, Role.LEAD)
    stands = _own_drawing(guise)
    form = PlacingForm(request.POST, drawing=stands)
    if form.is_valid():
        try:
            place_drawing(
                drawing=stands,
                user=request.user,
                version=form.cleaned_data["version"],
                placing=form.placing(),
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "What you placed is kept.")
            if request.headers.get("X-Placing"):
                return HttpResponse(status=204)
            return redirect("builds:drawing", guise.pk)
    return render_drawing(request, guise, status=422, form=form)


@require_POST
def drawing_proportions(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the joints where a proportion sheet has them."""
    guise = guise_for(request.user, pk, Role.LEAD)
    stands = _own_drawing(guise)
    form = _sheet_form(request, guise, stands)
    if form.is_valid():
        lay_proportions(
            drawing=stands,
            user=request.user,
            version=_version(request),
            shares=form.shares(),
            like=form.like(),
        )
        messages.success(request, "The joints stand as the sheet has them. Now bend the figure.")
        return redirect("builds:drawing", guise.pk)
    return render_drawing(request, guise, status=422, sheet_form=form)


@require_safe
def drawing_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The drawing at full size; or the page with what is in the way."""
    guise = guise_for(request.user, pk, Role.READER)
    stands = drawing_of(guise)
    if stands is None:
        raise Http404("There is no drawing yet.")
    asked = request.GET.get("paper", "")
    paper = asked if asked in PAPERS else guise.character.show.company.paper
    try:
        file = drawing_paper(
            stands, paper, for_guise=guise, with_photo=request.GET.get("photo") != "no"
        )
        pdf = file.pdf()
    except (NothingToPrint, CannotPrint) as trouble:
        return render_drawing(request, guise, status=422, trouble=str(trouble))
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": content_disposition_header(False, file.name) or "inline",
            "Cache-Control": "private, no-store",
        },
    )


def render_drawing(
    request: HttpRequest, guise: Guise, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page. `state` holds forms with what is wrong: form, start_form, sheet_form,
    picture_form."""
    show = guise.character.show
    may_edit = membership_of(request.user, show.company).allows(Role.LEAD)
    stands = drawing_of(guise)
    is_own = stands is not None and stands.guise_id == guise.pk
    context: dict[str, Any] = {
        "show": show,
        "guise": guise,
        "place": "figures",
        "tab": "drawing",
        "trouble": state.get("trouble", ""),
        "drawing": stands,
        "is_own": is_own,
        "may_edit": may_edit and is_own,
        "may_start": may_edit and not is_own,
    }
    if stands is not None:
        context |= _of_drawing(guise, stands, state.get("form"), may_edit=bool(context["may_edit"]))
    if context["may_start"]:
        context["start_form"] = state.get("start_form") or _sheet_form(
            request, guise, is_sent=False
        )
    if context["may_edit"] and stands is not None:
        context["sheet_form"] = state.get("sheet_form") or _sheet_form(
            request, guise, stands, is_sent=False
        )
        context["picture_form"] = state.get("picture_form") or PictureForm()
        context["earlier"] = earlier_drawings(stands)
    return render(request, "builds/drawing.html", None, context, status=status)


def _of_drawing(
    guise: Guise, stands: Drawing, form: PlacingForm | None, *, may_edit: bool
) -> dict[str, Any]:
    """What the page shows of a drawing that is there."""
    form = form or PlacingForm(drawing=stands)
    remarks = read_remarks(stands)
    views = placing_views(stands, form, picture_address, with_marks=may_edit)
    return {
        "form": form,
        "remarks": remarks,
        "lede": say_drawing(stands, remarks),
        "views": [
            {
                "view": view.view,
                "drawn": draw_placing(view, title=TITLES[view.view].format(guise)),
                "has_picture": bool(view.href),
            }
            for view in views
        ],
    }


def picture_address(picture: DrawingPicture) -> str:
    """Where the browser gets a photo of a drawing."""
    return reverse("builds:drawing_picture", args=[picture.pk])


def _version(request: HttpRequest) -> int | None:
    """The version that the page was made from."""
    said = request.POST.get("version", "")
    return int(said) if said.isdigit() and len(said) < 10 else None


def _own_drawing(guise: Guise) -> Drawing:
    """The guise's own current drawing; a borrowed one is edited at its owner's."""
    stands = drawing_of(guise)
    if stands is None or stands.guise_id != guise.pk:
        raise Http404("This guise has no drawing of its own.")
    return stands


def _sheet_form(
    request: HttpRequest, guise: Guise, stands: Drawing | None = None, *, is_sent: bool = True
) -> SheetForm:
    """The form of a beginning, or of a sheet to lay over a drawing that stands."""
    data = request.POST.copy() if is_sent else None
    if stands is not None and data is not None:
        data["height_mm"] = f"{stands.height_mm}"
    first = {"height_mm": guise.height_mm, "sheet": NONE}
    return SheetForm(
        data,
        sheets=sheets_of(guise.character.show.company),
        drawings=other_drawings(guise),
        with_none=stands is None,
        initial=first if stands is None else {"height_mm": stands.height_mm},
        auto_id="start-%s" if stands is None else "sheet-%s",
    )
