"""Bench sheets: the list of papers that can be printed, and the papers themselves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from builds.access import figure_for
from builds.models import Figure
from builds.queries.drawings import list_drawings
from builds.queries.plans import latest_plan, plan_seen_by
from builds.queries.sheets.bench import makers_of_figure
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.listing import list_papers
from builds.sheets import (
    NO_PLAN,
    NOT_PINNED_UP,
    NothingToPrint,
    desk_for,
    figure_paper,
    pack_paper,
    paper_of,
    plot_paper,
    register_paper,
    wall_paper,
    week_paper,
)
from company import clock
from company.access import membership_of
from company.htmx import render
from company.models import Maker, Role, User
from company.sheets import NO_PANGO, CannotPrint, PaperFile, can_print
from scenes.access import show_for
from scenes.models import Show

FARTHEST = timedelta(days=3 * 366)  # no plan reaches farther; a sheet beyond is a slip of the hand
WEEKS_OFFERED = ("1", "2", "4")


@require_safe
def sheet_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every paper of the show, by person and week and by figure."""
    return _list(request, show_for(request.user, pk, Role.READER))


@require_safe
def sheet_figure(request: HttpRequest, pk: int) -> HttpResponse:
    """The bench sheets of one figure."""
    figure = figure_for(request.user, pk, Role.READER)

    def make(paper: str) -> PaperFile:
        desk = _desk(request, figure.show)
        own = desk.figure_by_id.get(figure.pk, figure)
        return figure_paper(desk, own, paper, _one_maker(request, desk, own))

    return answer_paper(request, figure.show, make)


@require_safe
def sheet_week(request: HttpRequest, pk: int, maker_pk: int, monday: str) -> HttpResponse:
    """One person's week; a day inside a week leads to the week's own address."""
    show = show_for(request.user, pk, Role.READER)
    maker = Maker.objects.for_company(show.company).filter(pk=maker_pk, struck_at=None).first()
    if maker is None:
        raise Http404("Nobody of that number works here.")
    asked = _read_day(monday, clock.today(show.company))
    first = asked - timedelta(days=(asked.weekday() - show.company.week_start) % 7)
    if monday != first.isoformat():
        address = redirect("builds:sheet_week", show.pk, maker.pk, first.isoformat())
        query = request.GET.urlencode()
        return redirect(f"{address.url}?{query}" if query else address.url)

    return answer_paper(
        request, show, lambda paper: week_paper(_desk(request, show), maker, first, paper)
    )


@require_safe
def sheet_pack(request: HttpRequest, pk: int) -> HttpResponse:
    """All papers of the plan in one file; with ?weeks=2 what falls due in two weeks."""
    show = show_for(request.user, pk, Role.READER)
    asked = request.GET.get("weeks", "")
    weeks = int(asked) if asked in WEEKS_OFFERED else None
    return answer_paper(
        request, show, lambda paper: pack_paper(_desk(request, show), paper, weeks=weeks)
    )


@require_safe
def sheet_register(request: HttpRequest, pk: int) -> HttpResponse:
    """The figure register with the count's reasons."""
    show = show_for(request.user, pk, Role.READER)
    return answer_paper(request, show, lambda paper: register_paper(show, paper))


@require_safe
def sheet_plot(request: HttpRequest, pk: int) -> HttpResponse:
    """The costume plot on wide paper."""
    show = show_for(request.user, pk, Role.READER)
    return answer_paper(request, show, lambda paper: plot_paper(show, paper))


@require_safe
def sheet_wall(request: HttpRequest, pk: int) -> HttpResponse:
    """The wall plan on wide paper; everybody but the lead prints what is pinned up."""
    show = show_for(request.user, pk, Role.READER)

    def make(paper: str) -> PaperFile:
        plan = plan_seen_by(request.user, show)  # type: ignore[arg-type]
        if plan is None:
            raise NothingToPrint(NO_PLAN if _is_lead(request, show) else NOT_PINNED_UP)
        return wall_paper(show, plan, paper)

    return answer_paper(request, show, make)


def _list(request: HttpRequest, show: Show, trouble: str = "", status: int = 200) -> HttpResponse:
    context = {
        "show": show,
        "place": "sheets",
        "paper": paper_of(show.company, request.GET.get("paper", "")),
        "trouble": trouble or ("" if can_print() else NO_PANGO),
        "is_lead": _is_lead(request, show),
        "drawings": list_drawings(show),
    }
    try:
        desk = _desk(request, show)
        context["papers"] = list_papers(desk)
        newest = latest_plan(show)
        context["is_followed"] = newest is not None and newest.pk != desk.plan.pk
    except NothingToPrint as nothing:
        context["nothing"] = str(nothing)
    return render(request, "builds/sheet_list.html", None, context, status=status)


def answer_paper(
    request: HttpRequest, show: Show, make: Callable[[str], PaperFile]
) -> HttpResponse:
    """The PDF, shown by the browser; or the list of papers with what is in the way."""
    try:
        file = make(paper_of(show.company, request.GET.get("paper", "")))
        pdf = file.pdf()
    except (NothingToPrint, CannotPrint) as trouble:
        return _list(request, show, str(trouble), status=422)
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": content_disposition_header(False, file.name) or "inline",
            "Cache-Control": "private, no-store",
        },
    )


def _desk(request: HttpRequest, show: Show) -> Desk:
    """What the sheets draw on; everybody but the lead sees only what is pinned up."""
    return desk_for(show, only_pinned_up=not _is_lead(request, show))


def _is_lead(request: HttpRequest, show: Show) -> bool:
    user: User = request.user  # type: ignore[assignment]
    return membership_of(user, show.company).allows(Role.LEAD)


def _one_maker(request: HttpRequest, desk: Desk, figure: Figure) -> Maker | None:
    """The one person that a sheet is asked for; None for everybody with work on the figure."""
    asked = request.GET.get("maker", "")
    if not asked:
        return None
    for maker in makers_of_figure(desk, figure):
        if str(maker.pk) == asked:
            return maker
    raise Http404("Nobody of that number has work on the figure.")


def _read_day(text: str, today: date) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError as wrong:
        raise Http404("Not a day.") from wrong
    if abs(day - today) > FARTHEST:
        raise Http404("No plan reaches as far.")
    return day
