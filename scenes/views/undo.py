"""Undo and redo, from the grid, the tracks, and the page of scenes and roles.

The grid gets the rows that changed, as after any other edit; where more than cells changed, and
on the other pages, the page is loaded anew.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRefresh, reswap, retarget

from company.htmx import render
from company.models import Role, User
from scenes.access import show_for
from scenes.models import Show
from scenes.queries.grid import read_grid
from scenes.queries.undo import read_undo
from scenes.services.undo import Undone, UndoRefused, redo_edit, undo_edit

PAGES = {"grid": "scenes:plot_grid", "plot": "scenes:plot", "scenes": "scenes:scene_list"}
Turn = Callable[..., Undone | None]


@require_POST
def plot_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Turn back the person's last edit of the show."""
    return _turn(request, pk, undo_edit, "Undone", "There is nothing left to undo.")


@require_POST
def plot_redo(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the edit again that was undone last."""
    return _turn(request, pk, redo_edit, "Made again", "There is nothing to make again.")


def _turn(request: HttpRequest, pk: int, turn: Turn, verb: str, nothing: str) -> HttpResponse:
    show = show_for(cast(User, request.user), pk, Role.LEAD)
    page = request.POST.get("at", "grid")
    page = page if page in PAGES else "grid"
    step = request.POST.get("step", "")
    wanted = int(step) if step.isdigit() and len(step) < 19 else None
    try:
        undone = turn(show=show, user=request.user, wanted=wanted)
    except UndoRefused as refused:
        return _refuse(request, show, page, refused)
    if undone is not None:
        said = f"{verb}: {undone.said}."
    else:
        said = nothing if wanted is None else "Nothing was done: your last edit is another by now."
    if request.htmx and (undone is None or undone.guise_ids is not None) and page == "grid":  # type: ignore[attr-defined]
        return _answer(request, show, undone, said)
    messages.info(request, said)
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRefresh()
    return redirect(PAGES[page], show.pk)


def _answer(request: HttpRequest, show: Show, undone: Undone | None, said: str) -> HttpResponse:
    """The rows of the grid that changed, the sentence, the count and the two buttons."""
    grid = read_grid(show, only=undone.guise_ids or set() if undone else set())
    context = {
        "grid": grid,
        "said": said,
        "show": show,
        "can_write": True,
        "at": "grid",
        "undo": read_undo(show, cast(User, request.user)),
    }
    return _to_buttons(render(request, "scenes/_undo_answer.html", None, context))


def _refuse(request: HttpRequest, show: Show, page: str, refused: UndoRefused) -> HttpResponse:
    """Nothing was changed: which rows stand in the way, and whose they are."""
    if not request.htmx:  # type: ignore[attr-defined]
        messages.error(request, f"Not turned back: {refused.said}. {refused}")
        return redirect(PAGES[page], show.pk)
    context = {
        "show": show,
        "can_write": True,
        "at": page,
        "undo": read_undo(show, cast(User, request.user)),
        "refused": refused,
    }
    return _to_buttons(render(request, "scenes/_undo.html", None, context, status=409))


def _to_buttons(response: HttpResponse) -> HttpResponse:
    """In place of the buttons as they stand when it comes: several may be on their way."""
    return reswap(retarget(response, "#undo"), "outerHTML")
