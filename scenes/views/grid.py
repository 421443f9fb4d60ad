"""The writing grid: the page, the panel of a cell, and every edit of one.

An edit answers htmx with its row, the sentence and the count; everybody else with the page again,
at the cell that was edited.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django_htmx.http import reswap, retarget, trigger_client_event

from company.access import membership_of
from company.htmx import render as render_part
from company.models import Role, User
from scenes.access import show_for
from scenes.forms.plot import CellForm, CopyForm
from scenes.models import Costume, Guise, Scene, Show
from scenes.queries.cell import CellPage, read_cell_page
from scenes.queries.grid import UNDECIDED, cell_ident, read_grid
from scenes.queries.undo import read_undo
from scenes.services.cells import CellEdit, CellMoved, copy_along, pick_costume, set_cell


@dataclass(frozen=True)
class CellAddress:
    """The cell that a request is about."""

    request: HttpRequest
    show: Show
    guise: Guise
    scene: Scene

    @property
    def user(self) -> User:
        """Who asks."""
        return cast(User, self.request.user)

    @property
    def is_htmx(self) -> bool:
        """Whether only the parts that changed are wanted."""
        return self.request.headers.get("HX-Request") == "true"


@require_GET
def plot_grid(request: HttpRequest, pk: int) -> HttpResponse:
    """The whole plot to write in; to those who only look, a table."""
    show = show_for(cast(User, request.user), pk, Role.READER)
    context = {"grid": read_grid(show), **_context(request, show)}
    if context["can_write"]:
        context["undo"] = read_undo(show, cast(User, request.user))
        context["took"] = "took" in request.GET
    return render(request, "scenes/plot_grid.html", context)


@require_http_methods(["GET", "POST"])
def plot_cell(request: HttpRequest, pk: int, guise_pk: int, scene_key: UUID) -> HttpResponse:
    """The panel of one cell, as a page of its own or into the dialog of the grid."""
    at = _find_cell(request, pk, guise_pk, scene_key)
    page = read_cell_page(at.show, at.guise, at.scene)
    if request.method == "GET":
        return _panel(at, page, _form(page))
    form = _form(page, request)
    if not form.is_valid():
        return _panel(at, page, form, status=422)
    return _edit(at, page, form)


@require_POST
def cell_pick(request: HttpRequest, pk: int, guise_pk: int, scene_key: UUID) -> HttpResponse:
    """Put the guise into a costume, by a letter typed in the grid."""
    at = _find_cell(request, pk, guise_pk, scene_key)
    sent = request.POST.get("costume", "")
    try:
        costume_id = None if sent == UNDECIDED else int(sent)
    except ValueError:
        return _refuse(at, ["Pick one of the costumes, or 'undecided'."])
    try:
        edit = pick_costume(
            show=at.show,
            user=at.user,
            guise=at.guise,
            scene_key=scene_key,
            costume_id=costume_id,
            stamp=request.POST.get("stamp"),
        )
    except CellMoved:
        wanted = "undecided" if costume_id is None else _name_of(at.guise, costume_id)
        return _say_moved(at, [wanted])
    except ValidationError as error:
        return _refuse(at, error.messages)
    return _answer(at, edit)


@require_POST
def cell_clear(request: HttpRequest, pk: int, guise_pk: int, scene_key: UUID) -> HttpResponse:
    """Take the guise out of the scene."""
    at = _find_cell(request, pk, guise_pk, scene_key)
    try:
        edit = set_cell(
            show=at.show,
            user=at.user,
            guise=at.guise,
            scene_key=scene_key,
            wanted=[],
            stamp=request.POST.get("stamp"),
        )
    except CellMoved:
        return _say_moved(at, ["nothing: you took it out"])
    except ValidationError as error:
        return _refuse(at, error.messages)
    return _answer(at, edit)


@require_POST
def cell_copy(request: HttpRequest, pk: int, guise_pk: int, scene_key: UUID) -> HttpResponse:
    """Carry a cell along its row, into the empty cells up to another scene."""
    at = _find_cell(request, pk, guise_pk, scene_key)
    scenes = list(Scene.objects.filter(draft=at.show.current_draft))
    form = CopyForm(request.POST, scenes=scenes, scene=at.scene)
    if not form.is_valid():
        return _refuse(at, [m for errors in form.errors.values() for m in errors])
    try:
        edit = copy_along(
            show=at.show,
            user=at.user,
            guise=at.guise,
            scene_key=scene_key,
            until_key=UUID(form.cleaned_data["until"]),
        )
    except ValidationError as error:
        return _refuse(at, error.messages)
    return _answer(at, edit)


def _form(page: CellPage, request: HttpRequest | None = None) -> CellForm:
    return CellForm(
        None if request is None else request.POST,
        scene=page.scene,
        guise=page.guise,
        costumes=page.costumes,
        stands=page.stands,
    )


def _edit(at: CellAddress, page: CellPage, form: CellForm) -> HttpResponse:
    try:
        edit = set_cell(
            show=at.show,
            user=at.user,
            guise=at.guise,
            scene_key=at.scene.key,
            wanted=form.wanted(),
            stamp=form.stamp,
        )
    except CellMoved:
        return _say_moved(at, form.say_wanted())
    except ValidationError as error:
        return _panel(at, page, form, status=422, refused=error.messages)
    return _answer(at, edit)


def _answer(at: CellAddress, edit: CellEdit) -> HttpResponse:
    """The row, the sentence and the count; or the page again, at the cell."""
    said = _say_left_alone(edit)
    if not at.is_htmx:
        if said:
            messages.info(at.request, said)
        return redirect(_cell_url(at, took=bool(edit.taken)))
    grid = read_grid(at.show, only={at.guise.pk})
    context = {
        "grid": grid,
        "row": grid.rows[0],
        "undo": read_undo(at.show, at.user),
        "took": edit.taken,
        **_context(at.request, at.show),
    }
    response = render_part(at.request, "scenes/_plot_edit.html", None, context)
    return trigger_client_event(response, "plot:written", {"said": said}, after="settle")


def _say_left_alone(edit: CellEdit) -> str:
    """Which cells were not written over, if any."""
    if not edit.left_alone:
        return ""
    word = "Scene" if len(edit.left_alone) == 1 else "Scenes"
    return f"{word} {', '.join(edit.left_alone)} left as before: it is not empty."


def _panel(
    at: CellAddress,
    page: CellPage,
    form: CellForm,
    *,
    status: int = 200,
    refused: list[str] | None = None,
) -> HttpResponse:
    context = {
        "page": page,
        "form": form,
        "copy_form": CopyForm(scenes=page.scenes, scene=page.scene),
        "sentences": [*((None, words) for words in refused or []), *form.wrong_fields],
        "cell_url": _cell_url(at),
        **_context(at.request, at.show),
    }
    response = render_part(
        at.request, "scenes/plot_cell.html", "scenes/_plot_cell.html", context, status=status
    )
    return _into_panel(at, response)


def _say_moved(at: CellAddress, wanted: list[str]) -> HttpResponse:
    """Two editors: both texts, nothing saved."""
    grid = read_grid(at.show, only={at.guise.pk})
    page = read_cell_page(at.show, at.guise, at.scene)
    context = {
        "grid": grid,
        "row": grid.rows[0] if at.is_htmx else None,
        "guise": at.guise,
        "scene": at.scene,
        "wanted": wanted,
        "stands": page.swatches,
        "cell_url": _cell_url(at),
        **_context(at.request, at.show),
    }
    response = render_part(
        at.request, "scenes/plot_moved.html", "scenes/_plot_moved.html", context, status=409
    )
    return _into_panel(at, response)


def _refuse(at: CellAddress, sentences: list[str]) -> HttpResponse:
    """A refused key press or button: the panel of the cell with what is wrong on top."""
    page = read_cell_page(at.show, at.guise, at.scene)
    return _panel(at, page, _form(page), status=422, refused=sentences)


def _into_panel(at: CellAddress, response: HttpResponse) -> HttpResponse:
    return reswap(retarget(response, "#plot-panel"), "innerHTML") if at.is_htmx else response


def _find_cell(request: HttpRequest, pk: int, guise_pk: int, scene_key: UUID) -> CellAddress:
    show = show_for(cast(User, request.user), pk, Role.LEAD)
    guise = Guise.objects.select_related("character").filter(character__show=show, pk=guise_pk)
    scene = Scene.objects.filter(draft=show.current_draft, key=scene_key)
    found_guise, found_scene = guise.first(), scene.first()
    if found_guise is None or found_scene is None:
        raise Http404("Nothing here.")
    return CellAddress(request, show, found_guise, found_scene)


def _cell_url(at: CellAddress, *, took: bool = False) -> str:
    """The cell in the page of the grid; `took` asks that what hangs on what went is said."""
    column = Scene.objects.filter(
        draft=at.show.current_draft, position__lt=at.scene.position
    ).count()
    grid_url = reverse("scenes:plot_grid", args=[at.show.pk])
    return f"{grid_url}{'?took=1' * took}#{cell_ident(at.guise, column + 1)}"


def _name_of(guise: Guise, costume_id: int) -> str:
    costume = Costume.objects.filter(guise=guise, pk=costume_id).first()
    return costume.name if costume else "a costume of another guise"


def _context(request: HttpRequest, show: Show) -> dict[str, object]:
    return {"show": show, "place": "plot", "can_write": can_write(request, show)}


def can_write(request: HttpRequest, show: Show) -> bool:
    """Whether the person may change the plot."""
    return membership_of(cast(User, request.user), show.company).allows(Role.LEAD)
