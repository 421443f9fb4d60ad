"""Photos: put up at a figure or a step, seen by the company alone, put away."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.access import figure_for, step_for
from builds.forms.photos import PhotoForm
from builds.forms.refusals import add_refusal
from builds.models import Figure, Photo, Step
from builds.services.photos import add_photo, strike_photo
from builds.views.figures import render_figure
from builds.views.steps import render_step
from company.access import row_for
from company.models import Role
from company.pictures import serve_picture


@require_POST
def figure_photo_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A photo of a figure."""
    figure = figure_for(request.user, pk, Role.MAKER)
    form = _take(request, figure)
    if form.errors:
        return render_figure(request, figure, status=422, photo_form=form)
    return redirect(f"{figure.get_absolute_url()}#photos")


@require_POST
def step_photo_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A photo of a step's work."""
    step = step_for(request.user, pk, Role.MAKER)
    form = _take(request, step)
    if form.errors:
        return render_step(request, step, status=422, photo_form=form)
    return redirect("builds:step_detail", step.pk)


@require_safe
def photo_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture itself, for people of its company. Nothing of it is kept in shared caches."""
    return serve_picture(_photo(request, pk, Role.READER).file)


@require_POST
def photo_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a photo away."""
    photo = _photo(request, pk, Role.MAKER)
    try:
        strike_photo(photo=photo, user=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, "The photo is put away.")
    if photo.figure is not None:
        return redirect(photo.figure.get_absolute_url())
    if photo.step is not None:
        return redirect("builds:step_detail", photo.step.pk)
    return redirect("builds:figure_list", photo.pour.mould.pattern.show_id)


def _photo(request: HttpRequest, pk: int, role: Role) -> Photo:
    photo: Photo = row_for(request.user, Photo.objects.select_related("company"), pk, role)
    return photo


def _take(request: HttpRequest, subject: Figure | Step) -> PhotoForm:
    """Keep the photo that was sent, or the form with what is wrong."""
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        upload = form.cleaned_data["file"]
        try:
            add_photo(
                subject=subject,
                user=request.user,
                upload=upload,
                size=upload.size,
                words=form.cleaned_data["words"],
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, "The photo is up.")
    return form
