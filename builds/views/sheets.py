"""Bench sheets: the list of papers that can be printed, and the papers themselves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.access import figure_for
from builds.queries.sheets.listing import list_papers
from builds.sheets import NothingToPrint, desk_for, print_figure, print_pack, print_week
from company.access import membership_of
from company.htmx import render
from company.models import Company, Maker, Role, User
from company.sheets import CannotPrint
from scenes.access import show_for
from scenes.models import Show


@require_safe
def sheet_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every paper of the show, by person and week and by figure."""
    show = show_for(request.user, pk, Role.READER)
    context = {"show": show, "place": "sheets", "paper": _paper(request, show.company)}
    try:
        context["papers"] = list_papers(desk_for(show, only_pinned_up=_sees_pinned(request, show)))
    except NothingToPrint as nothing:
        context["nothing"] = str(nothing)
    return render(request, "builds/sheet_list.html", None, context)


@require_safe
def sheet_figure(request: HttpRequest, pk: int) -> HttpResponse:
    """The bench sheets of one figure."""
    figure = figure_for(request.user, pk, Role.READER)
    show = figure.show

    def make() -> bytes:
        desk = desk_for(show, only_pinned_up=_sees_pinned(request, show))
        own = next((found for found in desk.figures if found.pk == figure.pk), figure)
        return print_figure(desk, own, _paper(request, show.company))

    return _answer(request, show, f"figure-{figure.tag}.pdf", make)


@require_safe
def sheet_week(request: HttpRequest, pk: int, maker_pk: int, monday: str) -> HttpResponse:
    """One person's week."""
    show = show_for(request.user, pk, Role.READER)
    maker = Maker.objects.for_company(show.company).filter(pk=maker_pk).first()
    try:
        first = date.fromisoformat(monday)
    except ValueError as wrong:
        raise Http404("Not a day.") from wrong
    if maker is None:
        raise Http404("Nobody of that name here.")

    def make() -> bytes:
        desk = desk_for(show, only_pinned_up=_sees_pinned(request, show))
        return print_week(desk, maker, first, _paper(request, show.company))

    return _answer(request, show, f"week-{maker.pk}-{first.isoformat()}.pdf", make)


@require_safe
def sheet_pack(request: HttpRequest, pk: int) -> HttpResponse:
    """All papers of the show in one file."""
    show = show_for(request.user, pk, Role.READER)

    def make() -> bytes:
        desk = desk_for(show, only_pinned_up=_sees_pinned(request, show))
        return print_pack(desk, _paper(request, show.company))

    return _answer(request, show, "pack.pdf", make)


def _answer(request: HttpRequest, show: Show, name: str, make: Callable[[], bytes]) -> HttpResponse:
    """The PDF, shown by the browser; or the list of papers with what is in the way."""
    try:
        pdf = make()
    except (NothingToPrint, CannotPrint) as trouble:
        context = {"show": show, "place": "sheets", "nothing": str(trouble)}
        return render(request, "builds/sheet_list.html", None, context, status=422)
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="{name}"',
            "Cache-Control": "private, no-store",
        },
    )


def _paper(request: HttpRequest, company: Company) -> str:
    """The paper asked for, else the company's."""
    asked = request.GET.get("paper", "")
    return asked if asked in Company.Paper.values else company.paper


def _sees_pinned(request: HttpRequest, show: Show) -> bool:
    """Whether the person sees only what is pinned up: everybody but the lead."""
    user: User = request.user  # type: ignore[assignment]
    return not membership_of(user, show.company).allows(Role.LEAD)
