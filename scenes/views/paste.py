"""Pasting a block into the plot: written into a field or over the grid, looked at, then put in."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods
from django_htmx.http import HttpResponseClientRefresh, reswap, retarget, trigger_client_event

from company.htmx import render
from company.models import Role, User
from scenes.access import show_for
from scenes.models import Show
from scenes.queries.grid import read_grid
from scenes.queries.paste import LookedAt, Place, look_at_block
from scenes.queries.paste_preview import read_preview
from scenes.queries.undo import read_undo
from scenes.services.paste import PlotMoved, paste_block, say_plan

MOST_ROWS = 4  # of the grid in one answer; beyond it the page is loaded anew


@require_http_methods(["GET", "HEAD", "POST"])
def plot_paste(request: HttpRequest, pk: int) -> HttpResponse:
    """A field to paste into; what the block will do; and doing it."""
    show = show_for(cast(User, request.user), pk, Role.LEAD)
    text, at = request.POST.get("block", ""), _place(request)
    if request.method != "POST":
        return _page(request, show, text)
    if not text.strip():
        return _page(request, show, text, status=422, refused=["Paste a block of cells first."])
    if "put" not in request.POST:
        return _preview(request, show, text, at, look_at_block(show, text, at))
    stamp = request.POST.get("stamp", "")
    try:
        looked = paste_block(show=show, user=request.user, text=text, at=at, stamp=stamp)  # type: ignore[arg-type]
    except PlotMoved:
        said = ["Somebody changed the plot meanwhile. Nothing was put in: look at it once more."]
        show.refresh_from_db()
        return _preview(request, show, text, at, look_at_block(show, text, at), said, status=409)
    except ValidationError as refusal:
        looked = look_at_block(show, text, at)
        return _preview(request, show, text, at, looked, refusal.messages, status=422)
    return _done(request, show, looked)


def _place(request: HttpRequest) -> Place | None:
    """The cell that a block without names begins in, where it was pasted over the grid."""
    guise, scene = request.POST.get("guise", ""), request.POST.get("scene", "")
    try:
        return int(guise), UUID(scene)
    except ValueError:
        return None


def _page(
    request: HttpRequest,
    show: Show,
    text: str,
    *,
    status: int = 200,
    refused: list[str] | None = None,
    **more: Any,
) -> HttpResponse:
    context = {
        "show": show,
        "place": "plot",
        "pasted": text,
        "refused": refused or [],
        "grid_url": reverse("scenes:plot_grid", args=[show.pk]),
        **more,
    }
    page, fragment = "scenes/plot_paste.html", "scenes/_plot_paste.html"
    response = render(request, page, fragment, context, status=status)
    if request.htmx:  # type: ignore[attr-defined]
        return reswap(retarget(response, "#plot-panel"), "innerHTML")
    return response


def _preview(
    request: HttpRequest,
    show: Show,
    text: str,
    at: Place | None,
    looked: LookedAt,
    refused: list[str] | None = None,
    status: int = 0,
) -> HttpResponse:
    """What the block will do; where nothing in it is understood that is a refusal."""
    does = looked.does_something
    is_fine = does or not looked.not_understood
    return _page(
        request,
        show,
        text,
        status=status or (200 if is_fine else 422),
        refused=refused,
        preview=read_preview(looked),
        at=at,
    )


def _done(request: HttpRequest, show: Show, looked: LookedAt) -> HttpResponse:
    words = say_plan(looked.plan)
    if looked.not_understood:
        words += f", {len(looked.not_understood)} left out"
    said = f"Pasted: {words}."
    done = (line for line in looked.plan.lines if line.fate != "left alone")
    guises = {cast(int, s.guise) for line in done if (s := line.after or line.before)}
    if not request.htmx:  # type: ignore[attr-defined]
        messages.success(request, said)
        return redirect("scenes:plot_grid", show.pk)
    if len(guises) > MOST_ROWS:
        messages.success(request, said)
        return HttpResponseClientRefresh()
    context = {
        "grid": read_grid(show, only=guises),
        "said": said,
        "show": show,
        "can_write": True,
        "oob": True,
        "undo": read_undo(show, cast(User, request.user)),
    }
    response = render(request, "scenes/_undo_answer.html", None, context)
    return trigger_client_event(response, "plot:written", {"said": said}, after="settle")
