"""When all would be ready if the plot, or a changed copy of it, were taken to the bench now."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core import planning as core
from builds.loading import Loaded, instant_of, load_problem
from builds.services.bench import accept_count
from builds.services.plan_words import dated
from builds.services.plans import nothing_to_plan
from scenes.models import Show

WORK = 20  # rounds for each of the plans that are set side by side


@dataclass(frozen=True, slots=True)
class ReadyDay:
    """The day on which all is ready; None with the reason where there is no plan."""

    day: date | None
    why: str = ""


def ready_as_taken(show: Show, change: Callable[[Show], object] | None = None) -> ReadyDay:
    """Plan a copy to which `change` is done and that is taken to the bench; nothing of it stays.

    The copy lives inside a transaction that is turned back before the planner begins.
    """
    with transaction.atomic():
        if change is not None:
            change(_anew(show))
        # A plot without an entry is refused: what is at the bench is planned as it is.
        with suppress(ValidationError):
            accept_count(show=_anew(show), user=None)
        loaded = load_problem(_anew(show))
        transaction.set_rollback(True)
    return _plan(show, loaded)


def _anew(show: Show) -> Show:
    found: Show = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
    return found


def _plan(show: Show, loaded: Loaded) -> ReadyDay:
    missing = nothing_to_plan(loaded)
    if missing:
        return ReadyDay(None, missing[0])
    found = core.solve(loaded.problem, work=WORK, seed=1)
    if found.status == "none" or found.ready is None:
        why = dated(found.reasons[0], show) if found.reasons else "There is no plan."
        return ReadyDay(None, why)
    zone = ZoneInfo(show.company.time_zone)
    return ReadyDay(instant_of(found.ready).astimezone(zone).date())
