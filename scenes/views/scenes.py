"""Adding, editing, moving and removing scenes, each in its line of the list."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from company.models import Role
from scenes.access import show_for
from scenes.forms.scenes import MoveForm, SceneForm
from scenes.models import Appearance, Scene, Show
from scenes.queries.scenes import running_order
from scenes.services.scenes import add_scene, edit_scene, move_scene, remove_scene
from scenes.views.scene_list import done, render_list


@require_POST
def scene_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One more scene at the end; the line stays open for the next."""
    show = show_for(request.user, pk, Role.LEAD)
    form = SceneForm(request.POST, show=show)
    if not form.is_valid():
        return render_list(request, show, status=422, scene_form=form)
    scene = add_scene(show=show, user=request.user, **form.values())
    return done(request, show, f"Scene {scene} is in.", focus="scene-new-title")


@require_http_methods(["GET", "HEAD", "POST"])
def scene_edit(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """The scene's line open for writing; where an exit no longer fits, it asks what to do."""
    show = show_for(request.user, pk, Role.LEAD)
    scene = _scene(show, key)
    form = SceneForm(request.POST or None, show=show, scene=scene)
    if request.method == "POST" and form.is_valid():
        edited = edit_scene(
            show=show,
            user=request.user,
            key=key,
            version=form.cleaned_data["version"],
            exits=form.cleaned_data["exits"],
            **form.values(),
        )
        return done(request, show, f"Scene {edited} is saved.", focus=f"scene-{key}-edit")
    status = 422 if form.is_bound else 200
    return render_list(
        request, show, status=status, open_scene=key, open_form=form, focus=_first_field(form)
    )


@require_POST
def scene_move(request: HttpRequest, pk: int) -> HttpResponse:
    """One up, one down, or behind another scene; the interval stays where it stood."""
    show = show_for(request.user, pk, Role.LEAD)
    form = MoveForm(request.POST)
    if not form.is_valid():
        raise Http404("No such move.")
    try:
        scene = move_scene(show=show, user=request.user, **form.values())
    except Scene.DoesNotExist as gone:
        raise Http404("That scene is no longer there.") from gone
    lines = running_order(show).lines
    place = next(n for n, line in enumerate(lines) if line.scene.key == scene.key)
    behind = f"after scene {lines[place - 1].scene.label}" if place else "first of all"
    words = f"Scene {scene.label} now plays {behind}."
    return done(request, show, words, focus=f"scene-{scene.key}-{form.button}")


@require_http_methods(["GET", "HEAD", "POST"])
def scene_remove(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Says what goes with the scene, and takes it out when told so."""
    show = show_for(request.user, pk, Role.LEAD)
    scene = _scene(show, key)
    if request.method == "POST":
        gone = remove_scene(show=show, user=request.user, key=key)
        return done(request, show, f"Scene {gone} is out.", focus="scene-new-title")
    going = Appearance.objects.filter(scene=scene).select_related("guise__character", "costume")
    return render_list(
        request, show, removing_scene=key, going=list(going), focus=f"scene-{key}-remove"
    )


def _first_field(form: SceneForm) -> str:
    """Where to write first; after a refusal the list of errors takes the focus instead."""
    return "" if form.is_bound else form["title"].auto_id


def _scene(show: Show, key: UUID) -> Scene:
    scene = Scene.objects.filter(draft=show.current_draft_id, key=key).first()
    if scene is None:
        raise Http404("That scene is no longer there.")
    return scene
