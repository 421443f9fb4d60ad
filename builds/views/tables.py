"""Tables of the show for a spreadsheet: tracks and figures, as CSV and as workbooks."""

from __future__ import annotations

from typing import cast

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from builds.queries.tables import figures_table, tracks_table
from company.models import Role, User
from company.spreadsheets import Sheet, write_workbook
from scenes.access import show_for
from scenes.models import Show
from scenes.services.workbooks import write_csv
from scenes.views.files import send_file


@require_safe
def table_download(request: HttpRequest, pk: int, name: str) -> HttpResponse:
    """`tracks` or `figures`, as .csv or .xlsx."""
    show = show_for(cast(User, request.user), pk, Role.READER)
    what, _, form = name.partition(".")
    if what not in ("tracks", "figures") or form not in ("csv", "xlsx"):
        raise Http404("There is no such file.")
    sheet = _sheet(show, cast(User, request.user), what)
    data = write_csv(sheet) if form == "csv" else write_workbook([sheet])
    return send_file(f"{slugify(show.title) or 'show'}-{name}", data)


def _sheet(show: Show, user: User, what: str) -> Sheet:
    return tracks_table(show) if what == "tracks" else figures_table(show, user)
