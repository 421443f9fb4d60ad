"""The page 'Scenes and roles' in all its states, which the views of scenes and roles share."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.forms.roles import RoleForm
from scenes.forms.scenes import SceneForm
from scenes.models import Character, Show
from scenes.queries.scenes import RunningOrder, roles_of, running_order, say_show
from scenes.queries.undo import read_undo


@require_safe
def scene_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Scenes in playing order, roles with their guises and costumes."""
    show = show_for(request.user, pk, Role.READER)
    return render_list(
        request, show, part="roles" if request.GET.get("part") == "roles" else "scenes"
    )


def render_list(
    request: HttpRequest,
    show: Show,
    *,
    part: str = "scenes",
    status: int = 200,
    said: str = "",
    **state: Any,
) -> HttpResponse:
    """The page, or by htmx its `part` ('scenes' or 'roles').

    `state` says what is open in it: scene_form, open_scene (key) with open_form, removing_scene
    (key) with going, role_form, open_role (pk) with role_edit, open_guise (pk of the role) with
    new_guise, removing_role (pk) with reasons, focus (the id of the element to go to).
    """
    if request.method == "POST":
        show.refresh_from_db(fields=["current_draft"])
    order, roles = running_order(show), list(roles_of(show))
    can_edit = membership_of(request.user, show.company).allows(Role.LEAD)
    is_fragment = bool(request.htmx) and not request.htmx.history_restore_request  # type: ignore[attr-defined]
    context = {
        "show": show,
        "place": "scenes",
        "draft": show.current_draft,
        "order": order,
        "roles": roles,
        "lede": say_show(order, roles),
        "can_edit": can_edit,
        "can_write": can_edit,
        "said": said,
        "undo": read_undo(show, request.user) if can_edit else None,
        "is_fragment": is_fragment,
        **_closed_forms(show, order, roles, state),
        **state,
    }
    fragment = f"scenes/_{part}.html"
    return render(request, "scenes/scene_list.html", fragment, context, status=status)


def done(
    request: HttpRequest, show: Show, words: str, *, part: str = "scenes", focus: str = ""
) -> HttpResponse:
    """After an edit: by htmx the part anew, else back to the page, at the same place."""
    if request.htmx:  # type: ignore[attr-defined]
        return render_list(request, show, part=part, said=words, focus=focus)
    messages.success(request, words)
    return redirect(f"{reverse('scenes:scene_list', args=[show.pk])}#{focus or part}")


def _closed_forms(
    show: Show, order: RunningOrder, roles: list[Character], state: dict[str, Any]
) -> dict[str, Any]:
    """The two lines that stand open for typing, where the view did not bring its own."""
    forms: dict[str, Any] = {}
    if "scene_form" not in state:
        forms["scene_form"] = SceneForm(show=show, order=order)
    if "role_form" not in state:
        forms["role_form"] = RoleForm(show=show)
    return forms
