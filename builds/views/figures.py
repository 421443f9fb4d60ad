"""The register of figures, the page of one, its printed link, and one figure more."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import figure_for
from builds.forms.figures import FigureAddForm, FigureForm
from builds.forms.photos import PhotoForm
from builds.models import Figure
from builds.queries.figure_card import read_figure
from builds.queries.figures import Filters, read_register
from builds.services.bench import add_figure, set_figure_state
from builds.services.figures import edit_figure
from builds.views.sent import send_or_show
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for

STATES = {
    Figure.State.WANTED: "is wanted again",
    Figure.State.SPARE: "is set aside as a spare",
    Figure.State.STRUCK: "is struck from the bench; its number stays its own",
}


@require_safe
def figure_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every figure, or those that the filters leave."""
    show = show_for(request.user, pk, Role.READER)
    filters = _filters(request)
    context = {
        "show": show,
        "place": "figures",
        "register": read_register(show, request.user, filters),
        "filters": filters,
        "is_lead": membership_of(request.user, show.company).allows(Role.LEAD),
        "add_form": FigureAddForm(show=show),
    }
    return render(request, "builds/figure_list.html", "builds/_figure_table.html", context)


@require_safe
def figure_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One figure: what it is, what is done, what comes next."""
    return render_figure(request, figure_for(request.user, pk, Role.READER))


@require_safe
def figure_link(request: HttpRequest, key: str) -> HttpResponse:
    """The printed link: short, for ever, and only for those of the company."""
    figure = Figure.objects.for_user(request.user).filter(public_key=key.lower()).first()
    if figure is None:
        raise Http404("There is no figure of yours behind this link.")
    return redirect(figure.get_absolute_url())


@require_POST
def figure_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One figure more than the plot needs."""
    show = show_for(request.user, pk, Role.LEAD)
    form = FigureAddForm(request.POST, show=show)
    if form.is_valid():
        figure = add_figure(show=show, user=request.user, **form.asked())
        messages.success(request, f"{figure} is new at the bench.")
        return redirect(figure.get_absolute_url())
    context = {"show": show, "place": "figures", "form": form}
    return render(request, "builds/figure_add.html", None, context, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
def figure_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Where it lies, its note, its date."""
    figure = figure_for(request.user, pk, Role.MAKER)
    is_lead = membership_of(request.user, figure.show.company).allows(Role.LEAD)
    form = FigureForm(request.POST or None, figure=figure, is_lead=is_lead)
    sent = send_or_show(
        request,
        form,
        lambda given: edit_figure(
            figure=figure, user=request.user, version=given["version"], **form.values()
        ),
    )
    if sent.is_done:
        messages.success(request, f"{figure} is saved.")
        return redirect(figure.get_absolute_url())
    context = {
        "show": figure.show, "place": "figures", "figure": figure, "form": form,
        "stands": sent.stands,
    }  # fmt: skip
    return render(
        request, "builds/figure_edit.html", "builds/_figure_edit.html", context, status=sent.status
    )


@require_POST
def figure_state(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it up again, set it aside, or strike it."""
    figure = figure_for(request.user, pk, Role.LEAD)
    version = request.POST.get("version", "")
    state = request.POST.get("state", "")
    try:
        set_figure_state(
            figure=figure,
            state=state,
            user=request.user,
            version=int(version) if version.isdigit() else None,
        )
    except ValidationError as refusal:
        return render_figure(request, figure, status=422, refusal=refusal.messages)
    messages.success(request, f"{figure} {STATES[Figure.State(state)]}.")
    return redirect(figure.get_absolute_url())


def render_figure(
    request: HttpRequest, figure: Figure, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page of a figure. `state`: refusal (sentences), photo_form with what is wrong."""
    place = membership_of(request.user, figure.show.company)
    context = {
        "show": figure.show,
        "place": "figures",
        "figure": figure,
        "card": read_figure(figure, request.user),
        "is_lead": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
        "zone": figure.show.company.time_zone,
        "photo_form": PhotoForm(),
        "user_pk": request.user.pk,
        **state,
    }
    return render(request, "builds/figure_detail.html", None, context, status=status)


def _filters(request: HttpRequest) -> Filters:
    def number(name: str) -> int | None:
        text = request.GET.get(name, "")
        return int(text) if text.isdigit() and len(text) < 10 else None

    return Filters(
        role=number("role"),
        craft=number("craft"),
        maker=number("maker"),
        late=request.GET.get("late", "") in ("1", "on"),
    )
