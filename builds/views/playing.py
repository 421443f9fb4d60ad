"""The papers of a performance: running list and turn-round list."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from builds.playing_sheets import running_paper, turn_round_paper
from builds.views.sheets import answer_paper
from company.models import Role
from scenes.access import show_for


@require_safe
def sheet_running(request: HttpRequest, pk: int) -> HttpResponse:
    """The running list, scene by scene."""
    show = show_for(request.user, pk, Role.READER)
    return answer_paper(request, show, lambda paper: running_paper(show, paper))


@require_safe
def sheet_turn_round(request: HttpRequest, pk: int) -> HttpResponse:
    """What is put right between two performances."""
    show = show_for(request.user, pk, Role.READER)
    return answer_paper(request, show, lambda paper: turn_round_paper(show, paper))
