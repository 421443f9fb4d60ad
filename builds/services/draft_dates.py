"""When all would be ready with a draft of the plot, planned as if it were taken to the bench."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core import planning as core
from builds.loading import Loaded, instant_of, load_problem
from builds.queries.plans import latest_change
from builds.services.bench import accept_count
from builds.services.plan_words import dated
from builds.services.plans import nothing_to_plan
from scenes.models import Draft, Show

WORK = 20  # rounds of improvement for each of the plans that are set side by side
KEEP_S = 3600


@dataclass(frozen=True, slots=True)
class DraftDate:
    """The day on which all is ready; None with the reason where there is no plan."""

    ready: date | None
    why: str = ""


def date_of_draft(show: Show, draft: Draft) -> DraftDate:
    """Plan a copy in which the draft is taken to the bench; nothing of the copy stays.

    Kept for the next question, until anything of the company changes.
    """
    newest = latest_change(show.company)
    key = f"date-of-draft:{show.pk}:{draft.pk}:{draft.revision}:{newest}"
    found: DraftDate | None = cache.get(key)
    if found is None:
        found = _plan(show, _load_as_taken(show, draft))
        cache.set(key, found, KEEP_S)
    return found


def _load_as_taken(show: Show, draft: Draft) -> Loaded:
    with transaction.atomic():
        Show.objects.filter(pk=show.pk).update(current_draft=draft)
        copy = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
        # A plot without an entry is refused: what is at the bench is planned as it is.
        with suppress(ValidationError):
            accept_count(show=copy, user=None)
        loaded = load_problem(copy)
        transaction.set_rollback(True)
    return loaded


def _plan(show: Show, loaded: Loaded) -> DraftDate:
    missing = nothing_to_plan(loaded)
    if missing:
        return DraftDate(None, missing[0])
    found = core.solve(loaded.problem, work=WORK, seed=1)
    if found.status == "none" or found.ready is None:
        why = dated(found.reasons[0], show) if found.reasons else "There is no plan."
        return DraftDate(None, why)
    zone = ZoneInfo(show.company.time_zone)
    return DraftDate(instant_of(found.ready).astimezone(zone).date())
