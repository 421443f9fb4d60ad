"""When all would be ready with a draft of the plot, planned as if it were taken to the bench."""

from __future__ import annotations

from django.core.cache import cache

from builds.queries.plans import latest_change
from builds.services.as_taken import ReadyDay, ready_as_taken
from scenes.models import Draft, Show

KEEP_S = 3600


def date_of_draft(show: Show, draft: Draft) -> ReadyDay:
    """The day, kept for the next question until anything of the company changes."""
    newest = latest_change(show.company)
    key = f"date-of-draft:{show.pk}:{draft.pk}:{draft.revision}:{newest}"
    found: ReadyDay | None = cache.get(key)
    if found is None:
        found = ready_as_taken(show, lambda copy: _make_current(copy, draft))
        cache.set(key, found, KEEP_S)
    return found


def _make_current(show: Show, draft: Draft) -> None:
    Show.objects.filter(pk=show.pk).update(current_draft=draft)
