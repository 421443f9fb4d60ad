"""Pins on the count: set from the list of what the figures of a guise play, and lifted."""

from __future__ import annotations

from typing import cast
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from company.models import Role, User
from scenes.access import show_for
from scenes.forms.stage import PinForm
from scenes.models import Guise
from scenes.services.pins import lift_pin, set_pin
from scenes.views.plot_page import plot_done, render_plot


@require_POST
def pin_add(request: HttpRequest, pk: int, guise_pk: int) -> HttpResponse:
    """Pin two of the ticked appearances together or apart, or ask for one figure more."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.LEAD)
    guise = Guise.objects.select_related("character").filter(character__show=show, pk=guise_pk)
    if (found := guise.first()) is None:
        raise Http404("Nothing here.")
    form = PinForm(request.POST, guise=found)
    if form.is_valid():
        try:
            set_pin(
                show=show,
                user=user,
                guise=found,
                kind=form.cleaned_data["kind"],
                stops=form.cleaned_data["stops"],
            )
        except ValidationError as error:
            form.take_problems(error.message_dict)
        else:
            return plot_done(request, show, at=f"pins-{found.pk}", open_pins=found)
    return render_plot(request, show, pin_form=form, status=422)


@require_POST
def pin_lift(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Let the count go its own way again."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.LEAD)
    guise = lift_pin(show=show, user=user, key=key)
    at = f"pins-{guise.pk}" if guise else "plot-count"
    return plot_done(request, show, at=at, open_pins=guise)
