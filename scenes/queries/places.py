"""The places that a show knows, each in the spelling that was met first."""

from __future__ import annotations

from company.core.names import name_key
from scenes.models import Appearance, Show, Walk

USUAL_PLACES = ("left", "right")


def spellings(show: Show) -> dict[str, str]:
    """Every place by its key: left and right, those of ways, those of the current draft."""
    known = {name_key(place): place for place in USUAL_PLACES}
    rows = Appearance.objects.filter(draft=show.current_draft_id).order_by()
    for pairs in (
        Walk.objects.filter(show=show).values_list("from_place", "to_place"),
        rows.values_list("from_place", "to_place").distinct(),
    ):
        for pair in pairs:
            for place in filter(None, pair):
                known.setdefault(name_key(place), place)
    return known
