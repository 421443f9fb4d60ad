"""Keeping the count of a draft: what the bench accepts, once its checker has passed it."""

from __future__ import annotations

from django.db import transaction

from company import clock
from company.models import User
from company.services.changes import record_change
from scenes.core.counting import check_count
from scenes.core.pins import PinnedCount, PinnedGuise, check_pinned
from scenes.loading import read_stops, write_tracks
from scenes.models import Count, Show
from scenes.queries.counts import CountedPlot, count_show, previous_tracks
from scenes.queries.pinned import to_pins
from scenes.services.cells import lock_plot
from scenes.services.drafts import open_draft
from scenes.services.people_counts import kept_people

__all__ = ["previous_tracks", "store_count"]


class CountWrong(Exception):
    """The checker refused a count: a fault of the program, never of the plot."""


@transaction.atomic
def store_count(*, show: Show, user: User | None) -> Count:
    """Keep the count of the current draft as it stands; the one kept already where there is one.

    Nothing is kept that the independent checker refuses (CountWrong). A kept count that was not
    accepted is counted again where the show's times have changed under it.
    """
    lock_plot(show)
    if show.current_draft is None:
        open_draft(show=show, user=user)
    draft = show.current_draft
    draft.refresh_from_db()
    kept = Count.objects.filter(draft=draft, revision=draft.revision).first()
    if kept is not None and kept.accepted_at is not None:
        return kept
    counted = count_show(show)
    wrong = [*check_count(counted.plot, counted.count), *_check_built(counted)]
    if wrong:
        raise CountWrong("; ".join(wrong))
    if kept is not None:
        if read_stops(kept) == _stops_of(counted):
            return kept
        kept.delete()
    people = kept_people(counted)
    count = Count.objects.create(
        draft=draft,
        revision=draft.revision,
        figures=counted.count.figures,
        with_people=people.figures if people else None,
        proved=people.proved if people else True,
        gap=people.gap if people else 0,
        made_at=clock.now(),
        by=user,
    )
    write_tracks(count, counted.built)
    record_change(
        company=show.company,
        user=user,
        noun="count",
        row=count.pk,
        after={"draft": draft.number, "revision": draft.revision, "figures": count.figures},
    )
    return count


def _check_built(counted: CountedPlot) -> list[str]:
    """What is wrong with the tracks that pins have changed."""
    if not counted.pinned.guises:
        return []
    pins = to_pins(counted.rows.pins)
    kept = dict.fromkeys(pin for pk, pin in pins.items() if pk not in counted.pinned.why)
    guises = tuple(
        counted.pinned.guises.get(one.guise, PinnedGuise(one.guise, one.figures, one.tracks))
        for one in counted.count.guises
    )
    return check_pinned(counted.plot, PinnedCount(counted.count, guises, tuple(kept)))


def _stops_of(counted: CountedPlot) -> list[tuple[object, list[tuple[object, int]]]]:
    return [
        (of_guise.guise, [(stop.key, stop.copy) for stop in track.stops])
        for of_guise in counted.built.guises
        for track in of_guise.tracks
    ]
