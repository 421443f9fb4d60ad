"""Bridges: a show's own and those of venues. A height is asked about rail and edge first."""

from __future__ import annotations

from django.db import transaction

from builds.models import BridgeCheck, Venue
from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Show
from scenes.services.problems import Problems
from scenes.services.shows import edit_show

HIGHEST_MM = 6000
# From this drop on somebody competent is asked for by name: common practice after 29 CFR 1910.28
# (guard from 4 ft, 1.2 m) and HSE's work-at-height guidance; local rules come first.
ASKED_FROM_MM = 1200
LEAST_RAIL_MM = 950  # HSE guidance; 29 CFR 1910.29 asks 42 in, give or take 3


@transaction.atomic
def change_bridge(
    *,
    company: Company,
    user: User,
    show: Show | None = None,
    venue: Venue | None = None,
    version: int | None,
    bridge_mm: int,
    rail_mm: int | None,
    has_edge_board: bool,
    looked_at_by: str = "",
) -> BridgeCheck:
    """Give a bridge its height, with what was said of its rail and edge.

    Raises ValidationError with all that is wrong: a drop of 1.2 m or more asks for a rail and for
    the name of somebody competent who has looked at it.
    """
    if (show is None) is (venue is None):
        raise TypeError("give a show or a venue")
    bridge_problems(bridge_mm, rail_mm, looked_at_by).refuse()
    if show is not None:
        edit_show(show=show, user=user, version=version, bridge_mm=bridge_mm)
    else:
        assert venue is not None
        claim_version(venue, version)
        before = snapshot(venue)
        venue.bridge_mm = bridge_mm
        venue.save(update_fields=["bridge_mm"])
        _record(
            company, user, "venue", venue.pk, before, snapshot(venue), f"moved {venue}'s bridge"
        )
    row = BridgeCheck.objects.create(
        company=company,
        show=show,
        venue=venue,
        bridge_mm=bridge_mm,
        rail_mm=rail_mm or 0,
        has_edge_board=has_edge_board,
        looked_at_by=tidy_name(looked_at_by),
        at=clock.now(),
    )
    _record(company, user, "bridge", row.pk, None, snapshot(row), "looked at the bridge's edge")
    return row


def bridge_problems(bridge_mm: int, rail_mm: int | None, looked_at_by: str) -> Problems:
    """All that is wrong with a bridge as it would stand."""
    problems = Problems()
    if not 0 <= bridge_mm <= HIGHEST_MM:
        problems.add("bridge_mm", f"From 0 to {HIGHEST_MM} mm above the stage.")
    if rail_mm is not None and not 0 <= rail_mm <= 2000:
        problems.add("rail_mm", "From 0 to 2000 mm above the bridge's floor.")
    if bridge_mm >= ASKED_FROM_MM:
        if not rail_mm:
            problems.add("rail_mm", "Say how high the guard rail is: the drop is 1.2 m or more.")
        if not tidy_name(looked_at_by):
            problems.add(
                "looked_at_by", "Name who is competent to judge it and has looked at rail and edge."
            )
    if len(looked_at_by) > 80:
        problems.add("looked_at_by", f"At most 80 letters, not {len(looked_at_by)}.")
    return problems


@transaction.atomic
def add_venue(*, company: Company, user: User, name: str, note: str = "") -> Venue:
    """A place the company plays at. Raises ValidationError naming the fields."""
    venue = Venue(company=company, name=tidy_name(name), note=note.strip())
    venue_problems(venue).refuse()
    venue.save()
    _record(company, user, "venue", venue.pk, None, snapshot(venue), f"added {venue}")
    return venue


@transaction.atomic
def edit_venue(
    *, venue: Venue, user: User, version: int | None, name: str, note: str = ""
) -> Venue:
    """Its name and note. The bridge changes by `change_bridge` alone."""
    claim_version(venue, version)
    venue.refresh_from_db()
    before = snapshot(venue)
    venue.name, venue.note = tidy_name(name), note.strip()
    venue_problems(venue).refuse()
    venue.save()
    _record(venue.company, user, "venue", venue.pk, before, snapshot(venue), f"edited {venue}")
    return venue


@transaction.atomic
def strike_venue(*, venue: Venue, user: User) -> None:
    """The company plays there no more; what was said of its bridge stays on record."""
    before = snapshot(venue)
    venue.struck_at = venue.struck_at or clock.now()
    venue.save(update_fields=["struck_at"])
    _record(venue.company, user, "venue", venue.pk, before, snapshot(venue), f"struck {venue}")


def venue_problems(venue: Venue) -> Problems:
    """All that is wrong with a venue's name and note."""
    problems = Problems()
    if not venue.name:
        problems.add("name", "A venue has a name.")
    if len(venue.name) > 80:
        problems.add("name", f"At most 80 letters, not {len(venue.name)}.")
    if len(venue.note) > 300:
        problems.add("note", f"At most 300 letters, not {len(venue.note)}.")
    twins = Venue.objects.filter(company=venue.company, name_key=name_key(venue.name))
    if twins.filter(struck_at=None).exclude(pk=venue.pk).exists():
        problems.add("name", "There is a venue of this name already.")
    return problems


def _record(
    company: Company, user: User, noun: str, row: int, before: object, after: object, said: str
) -> None:
    record_change(
        company=company,
        user=user,
        noun=noun,
        row=row,
        before=before,  # type: ignore[arg-type]
        after=after,  # type: ignore[arg-type]
        said=said,
    )
