"""Trick builds on the page of their guise."""

from __future__ import annotations

from typing import cast

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from company.models import Role, User
from company.services.changes import StaleEdit
from scenes.forms.stage import RigForm
from scenes.services.rigs import remove_rig, set_rig
from scenes.views.guises import guise_done, guise_for, render_guise


@require_POST
def rig_set(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """Name a trick build, or say anew whether it may play plain too."""
    show, guise = guise_for(request, show_pk, pk, Role.LEAD)
    form = RigForm(request.POST)
    if form.is_valid():
        try:
            rig = set_rig(
                show=show,
                user=cast(User, request.user),
                guise=guise,
                name=form.cleaned_data["name"],
                plays_plain=form.cleaned_data["plays_plain"],
                breaks_away=form.cleaned_data["breaks_away"],
                part_min=form.cleaned_data["part_min"] or 0,
                version=form.cleaned_data["version"],
            )
        except ValidationError as error:
            form.take_problems(error.message_dict)
        except StaleEdit:
            form.add_error(
                None, "Somebody else changed this meanwhile. Look at it and press again."
            )
            return render_guise(request, show, guise, part="rigs", status=409, rig_form=form)
        else:
            plays = "may play plain too" if rig.plays_plain else "plays nothing else"
            return guise_done(
                request, show, guise, f"{rig} {plays}.", part="rigs", focus="rig-name"
            )
    return render_guise(request, show, guise, part="rigs", status=422, rig_form=form)


@require_POST
def rig_remove(request: HttpRequest, show_pk: int, pk: int, rig_pk: int) -> HttpResponse:
    """Forget a trick build that the plot does not use."""
    show, guise = guise_for(request, show_pk, pk, Role.LEAD)
    try:
        remove_rig(show=show, user=cast(User, request.user), guise=guise, pk=rig_pk)
    except ValidationError as error:
        form = RigForm({})
        form.errors.clear()
        form.take_problems({"__all__": error.messages})
        return render_guise(request, show, guise, part="rigs", status=422, rig_form=form)
    return guise_done(request, show, guise, "It is forgotten.", part="rigs", focus="rig-name")
