"""The ways between named places behind the stage: said, changed, taken out."""

from __future__ import annotations

from typing import cast

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from company.core.units import format_minutes
from company.models import Role, User
from company.services.changes import StaleEdit
from scenes.access import show_for
from scenes.forms.stage import WalkEditForm, WalkForm
from scenes.models import Walk
from scenes.services.places import WalkGone, add_walk, edit_walk, remove_walk
from scenes.views.plot_page import plot_done, render_plot


@require_POST
def way_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how long the way from one place to another takes, and back."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.LEAD)
    form = WalkForm(request.POST)
    if form.is_valid():
        try:
            add_walk(
                show=show,
                user=user,
                from_place=form.cleaned_data["from_place"],
                to_place=form.cleaned_data["to_place"],
                walk_s=form.cleaned_data["minutes"],
                is_both_ways=form.cleaned_data["back"],
            )
        except ValidationError as error:
            form.take_problems(error.message_dict)
        else:
            return plot_done(request, show)
    return render_plot(request, show, walk_form=form, status=422)


@require_POST
def way_edit(request: HttpRequest, pk: int, way_pk: int) -> HttpResponse:
    """Change the minutes of a way."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.LEAD)
    walk = Walk.objects.filter(show=show, pk=way_pk).first()
    if walk is None:
        raise Http404("Nothing here.")
    form = WalkEditForm(request.POST, walk=walk)
    if not form.is_valid():
        return render_plot(request, show, walk_edit=form, status=422)
    try:
        edit_walk(
            show=show,
            user=user,
            pk=way_pk,
            walk_s=form.cleaned_data["minutes"],
            version=form.cleaned_data["version"],
        )
    except WalkGone as gone:
        raise Http404("Nothing here.") from gone
    except ValidationError as error:
        form.add_error("minutes", error.messages)
        return render_plot(request, show, walk_edit=form, status=422)
    except StaleEdit as stale:
        now = cast(Walk, stale.row)
        form.say_stands("minutes", f"{format_minutes(now.walk_s)} min", now.version)
        return render_plot(request, show, walk_edit=form, status=409)
    return plot_done(request, show)


@require_POST
def way_remove(request: HttpRequest, pk: int, way_pk: int) -> HttpResponse:
    """Let the show's crossing time count there again."""
    user = cast(User, request.user)
    show = show_for(user, pk, Role.LEAD)
    remove_walk(show=show, user=user, pk=way_pk)
    return plot_done(request, show)
