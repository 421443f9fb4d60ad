"""The mould card, the pour card and what to buy, as PDFs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.models import Pour
from builds.sheets import mould_paper, pour_paper, shopping_paper
from builds.views.mould_materials import mould_of
from builds.views.sheets import answer_paper
from builds.views.shopping import weeks_asked
from company.access import membership_of, row_for
from company.models import Role
from scenes.access import show_for
from scenes.models import Show


@require_safe
def sheet_mould(request: HttpRequest, pk: int) -> HttpResponse:
    """The card of a mould."""
    mould = mould_of(request, pk, Role.READER)
    show = mould.pattern.show
    pinned = _sees_pinned_up_alone(request, show)
    return answer_paper(
        request, show, lambda paper: mould_paper(mould, paper, only_pinned_up=pinned)
    )


@require_safe
def sheet_pour(request: HttpRequest, pk: int) -> HttpResponse:
    """The card of one pour."""
    rows = Pour.objects.select_related("mould__pattern__show__company")
    pour: Pour = row_for(request.user, rows, pk, Role.READER)
    show = pour.mould.pattern.show
    pinned = _sees_pinned_up_alone(request, show)
    return answer_paper(request, show, lambda paper: pour_paper(pour, paper, only_pinned_up=pinned))


@require_safe
def sheet_shopping(request: HttpRequest, pk: int) -> HttpResponse:
    """What to buy in the next weeks."""
    show = show_for(request.user, pk, Role.READER)
    pinned = _sees_pinned_up_alone(request, show)
    weeks = weeks_asked(request)
    return answer_paper(
        request, show, lambda paper: shopping_paper(show, paper, weeks, only_pinned_up=pinned)
    )


def _sees_pinned_up_alone(request: HttpRequest, show: Show) -> bool:
    place = membership_of(request.user, show.company)  # type: ignore[arg-type]
    return not place.allows(Role.LEAD)
