"""Photos and scans of a paper drawing: sent in, shown to the company alone, taken away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.access import guise_for
from builds.forms.drawing_pictures import PictureForm
from builds.forms.refusals import add_refusal
from builds.models import DrawingPicture
from builds.queries.drawings import drawing_of
from builds.services.drawing_pictures import put_pictures, take_picture_away
from builds.views.drawing import render_drawing
from company.access import row_for
from company.models import Role
from company.pictures import serve_picture


@require_POST
def drawing_picture_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay a picture under the front, the profile, or both."""
    guise = guise_for(request.user, pk, Role.LEAD)
    stands = drawing_of(guise)
    if stands is None or stands.guise_id != guise.pk:
        raise Http404("This guise has no drawing of its own.")
    form = PictureForm(request.POST, request.FILES)
    if form.is_valid():
        upload = form.cleaned_data["file"]
        try:
            put_pictures(
                drawing=stands,
                user=request.user,
                version=None,
                upload=upload,
                size=upload.size,
                views=tuple(form.cleaned_data["views"].split()),
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The picture lies under the drawing. Now set its scale.")
            return redirect("builds:drawing", guise.pk)
    return render_drawing(request, guise, status=422, picture_form=form)


@require_safe
def drawing_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture itself, for people of its company."""
    return serve_picture(_picture(request, pk, Role.READER).file)


@require_POST
def drawing_picture_take_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a picture from under its view; holes and joints keep their millimetres."""
    picture = _picture(request, pk, Role.LEAD)
    if not picture.drawing.is_current:
        raise Http404("This drawing is kept as it was.")
    guise = picture.drawing.guise_id
    take_picture_away(picture=picture, user=request.user, version=None)
    messages.success(request, "The picture is gone; holes and joints keep their millimetres.")
    return redirect("builds:drawing", guise)


def _picture(request: HttpRequest, pk: int, role: Role) -> DrawingPicture:
    pictures = DrawingPicture.objects.select_related("drawing__guise__character__show__company")
    picture: DrawingPicture = row_for(request.user, pictures, pk, role)
    return picture
