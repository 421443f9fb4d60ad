"""Adding, editing, ordering and removing roles, each in its place in the list."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from company.models import Role
from scenes.access import show_for
from scenes.forms.roles import NewGuiseForm, RoleEditForm, RoleForm
from scenes.models import Character, Show
from scenes.services.guards import reasons_to_keep_role
from scenes.services.guises import add_guise
from scenes.services.roles import add_role, edit_role, move_role, remove_role
from scenes.views.scene_list import done, render_list


@require_POST
def character_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A role with its first guise and costumes, or one more guise of a role that is there."""
    show = show_for(request.user, pk, Role.LEAD)
    form = RoleForm(request.POST, show=show)
    if not form.is_valid():
        return render_list(request, show, part="roles", status=422, role_form=form)
    guise = add_role(show=show, user=request.user, **form.cleaned_data)
    words = f"{guise} is in, with the letters {guise.character.letters}."
    return done(request, show, words, part="roles", focus="role-new-name")


@require_http_methods(["GET", "HEAD", "POST"])
def character_edit(request: HttpRequest, pk: int, role_pk: int) -> HttpResponse:
    """Name and letters of a role."""
    show = show_for(request.user, pk, Role.LEAD)
    role = _role(show, role_pk)
    form = RoleEditForm(request.POST or None, show=show, character=role)
    if request.method == "POST" and form.is_valid():
        edited = edit_role(show=show, user=request.user, character=role, **form.cleaned_data)
        return done(
            request, show, f"{edited} is saved.", part="roles", focus=f"role-{role.pk}-edit"
        )
    return render_list(
        request,
        show,
        part="roles",
        status=422 if form.is_bound else 200,
        open_role=role.pk,
        role_edit=form,
        focus="" if form.is_bound else form["name"].auto_id,
    )


@require_POST
def character_move(request: HttpRequest, pk: int) -> HttpResponse:
    """One place up or down in the list."""
    show = show_for(request.user, pk, Role.LEAD)
    is_up = "up" in request.POST
    role = _role(show, request.POST.get("up" if is_up else "down", ""))
    move_role(show=show, user=request.user, character=role, is_up=is_up)
    button = f"role-{role.pk}-{'up' if is_up else 'down'}"
    return done(request, show, f"{role} moved.", part="roles", focus=button)


@require_http_methods(["GET", "HEAD", "POST"])
def character_remove(request: HttpRequest, pk: int, role_pk: int) -> HttpResponse:
    """Says what goes with the role, or why it stays; takes it away when told so."""
    show = show_for(request.user, pk, Role.LEAD)
    role = _role(show, role_pk)
    reasons = reasons_to_keep_role(role, show)
    if request.method == "POST" and not reasons:
        try:
            remove_role(show=show, user=request.user, character=role)
        except ValidationError as refusal:
            reasons = refusal.messages
        else:
            return done(request, show, f"{role} is gone.", part="roles", focus="role-new-name")
    return render_list(
        request,
        show,
        part="roles",
        status=422 if request.method == "POST" else 200,
        removing_role=role.pk,
        reasons=reasons,
        focus=f"role-{role.pk}-remove",
    )


@require_http_methods(["GET", "HEAD", "POST"])
def guise_add(request: HttpRequest, pk: int, role_pk: int) -> HttpResponse:
    """One more guise of a role, typed in its place in the list."""
    show = show_for(request.user, pk, Role.LEAD)
    role = _role(show, role_pk)
    form = NewGuiseForm(request.POST or None, show=show, character=role)
    if request.method == "POST" and form.is_valid():
        guise = add_guise(show=show, user=request.user, character=role, **form.cleaned_data)
        return done(request, show, f"{guise} is in.", part="roles", focus=f"guise-{guise.pk}")
    return render_list(
        request,
        show,
        part="roles",
        status=422 if form.is_bound else 200,
        open_guise=role.pk,
        new_guise=form,
        focus="" if form.is_bound else form["name"].auto_id,
    )


def _role(show: Show, pk: object) -> Character:
    try:
        role: Character | None = Character.objects.filter(show=show, pk=pk).first()
    except ValueError:
        role = None
    if role is None:
        raise Http404("That role is no longer there.")
    return role
