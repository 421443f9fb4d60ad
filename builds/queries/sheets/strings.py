"""The string chart: every string of a show's guises, for its own bridge and each venue's."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.statics.strings import StringRow
from builds.models import Reach, Venue
from builds.queries.strings import (
    USUAL_REACH_MM,
    StringSet,
    read_hung_guises,
    string_set,
)
from company import clock
from company.templatetags.words import full_day
from scenes.models import Show


@dataclass(frozen=True)
class ChartRow:
    """One string: its row for the show's bridge, and its cut lengths at the venues."""

    row: StringRow
    at_venues: tuple[int | None, ...]


@dataclass(frozen=True)
class GuiseChart:
    """The strings of one guise."""

    name: str
    control: str
    tilt_deg: float
    line: str
    in_hand_g: float
    dressed_as: str
    strings: StringSet
    rows: tuple[ChartRow, ...]


@dataclass(frozen=True)
class StringSheet:
    """The chart of a show. Heights of the hand are bridge and reach together."""

    title: str
    show: str
    lede: str
    printed_from: str
    venues: tuple[tuple[str, int], ...]
    reaches: tuple[tuple[str, int], ...]
    guises: tuple[GuiseChart, ...]


def read_string_sheet(show: Show, guise_pk: int | None = None) -> StringSheet:
    """What the sheet says; no guises where nothing can be reckoned. A flat number of queries."""
    company = show.company
    rows = Venue.objects.filter(company=company, struck_at=None, bridge_mm__isnull=False)
    venues = [venue for venue in rows if venue.bridge_mm != show.bridge_mm][:4]
    reaches = Reach.objects.filter(company=company)
    charts = []
    for guise, drawing, control, hung in read_hung_guises(show):
        if control is None or show.bridge_mm is None or (guise_pk and guise.pk != guise_pk):
            continue
        own = string_set(drawing, control, hung, show.bridge_mm + USUAL_REACH_MM)
        if own is None:
            continue
        others = [
            string_set(drawing, control, hung, (venue.bridge_mm or 0) + USUAL_REACH_MM)
            for venue in venues
        ]
        charts.append(
            GuiseChart(
                name=str(guise),
                control=str(control.get_form_display()),
                tilt_deg=float(control.tilt_deg),
                line=control.line,
                in_hand_g=hung.figure.mass_g + control.weight_g,
                dressed_as=str(hung.costume) if hung.costume else "",
                strings=own,
                rows=tuple(
                    ChartRow(
                        row,
                        tuple(
                            other.rows[n].cut_mm if other is not None else None for other in others
                        ),
                    )
                    for n, row in enumerate(own.rows)
                ),
            )
        )
    bridge = show.bridge_mm or 0
    return StringSheet(
        title=f"String chart, {show}",
        show=str(show),
        lede=(
            f"Bridge {bridge} mm, control held {USUAL_REACH_MM} mm above it: "
            f"{bridge + USUAL_REACH_MM} mm above the stage."
        ),
        printed_from=f"printed {full_day(clock.today(company))}",
        venues=tuple((venue.name, venue.bridge_mm or 0) for venue in venues),
        reaches=tuple((r.name, r.reach_mm) for r in reaches),
        guises=tuple(charts),
    )
