"""The plot as spreadsheets: taken out, and brought in as a new draft."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.core.plot_files import Problem
from scenes.forms.files import PlotFilesForm
from scenes.models import Show
from scenes.services.exports import NAMES, export_plot
from scenes.services.imports import ImportRefused, import_plot
from scenes.services.workbooks import WORKBOOK, export_workbook

MOST_SHOWN = 100
CSV = "text/csv; charset=utf-8"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_safe
def file_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Where the plot leaves as spreadsheets, and comes in from them."""
    show = show_for(request.user, pk, Role.READER)
    return _render(request, show, PlotFilesForm())


@require_http_methods(["POST"])
def plot_import(request: HttpRequest, pk: int) -> HttpResponse:
    """A new draft from these files; with any problem nothing is saved, and all are listed."""
    show = show_for(request.user, pk, Role.LEAD)
    form = PlotFilesForm(request.POST, request.FILES)
    problems: tuple[Problem, ...] = ()
    if form.is_valid():
        try:
            done = import_plot(
                company=show.company, user=request.user, title=show.title, sources=form.sources()
            )
        except ImportRefused as refused:
            problems = refused.problems
        else:
            messages.success(
                request,
                f"Draft {done.draft.number} is written, with {done.scenes} scenes and "
                f"{done.appearances} entries. The draft before it is kept.",
            )
            before = show.current_draft
            if before is None:
                return redirect("scenes:scene_list", show.pk)
            url = reverse("builds:draft_compare", args=[show.pk])
            return redirect(f"{url}?from={before.number}&to={done.draft.number}")
    return _render(request, show, form, problems, status=422)


@require_safe
def file_download(request: HttpRequest, pk: int, name: str) -> HttpResponse:
    """One of the files of the current draft, with the show's title before its name."""
    show = show_for(request.user, pk, Role.READER)
    number = show.current_draft.number if show.current_draft else 1
    stem = slugify(show.title) or "show"
    called = f"{stem}-draft-{number}-{name}"
    if name == WORKBOOK:
        return send_file(called, export_workbook(show))
    if name not in NAMES:
        raise Http404("There is no such file.")
    return send_file(called, export_plot(show)[name])


def send_file(called: str, data: bytes) -> HttpResponse:
    """A spreadsheet to be kept, under this name."""
    is_workbook = called.endswith(".xlsx")
    response = HttpResponse(data, content_type=XLSX if is_workbook else CSV)
    response["Content-Disposition"] = content_disposition_header(True, called)
    return response


def _render(
    request: HttpRequest,
    show: Show,
    form: PlotFilesForm,
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> HttpResponse:
    context = {
        "show": show,
        "place": "scenes",
        "draft": show.current_draft,
        "form": form,
        "names": NAMES,
        "workbook": WORKBOOK,
        "problems": problems[:MOST_SHOWN],
        "more_problems": max(0, len(problems) - MOST_SHOWN),
        "can_edit": membership_of(request.user, show.company).allows(Role.LEAD),
    }
    return render(request, "scenes/file_list.html", context=context, status=status)
