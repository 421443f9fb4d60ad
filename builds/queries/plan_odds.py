"""What a plan's odds say, ready for a page: chances, dates, and which steps decide."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.urls import reverse

from builds.core.planning.pace import SOUND_STEPS
from builds.drawings.axis import place_of
from builds.models import Figure, Plan, Stage
from builds.queries.needed import NeededBy, needed_by_dates
from builds.queries.pace import read_pace
from builds.queries.steps import live_steps
from scenes.models import Show

MOST_DECIDING = 12
MOST_PACES = 12


@dataclass(frozen=True, slots=True)
class FigureChance:
    """How likely a figure is fit by its date."""

    figure: Figure
    needed: NeededBy
    percent: int


@dataclass(frozen=True, slots=True)
class Deciding:
    """A step that sets the date in so many of 100 runs."""

    words: str
    url: str
    percent: int


@dataclass(frozen=True, slots=True)
class StagePace:
    """How long a stage takes beside its planned hours: seldom less, mostly, seldom more, of 100."""

    name: str
    steps: int
    low: int
    usual: int
    high: int


@dataclass(frozen=True, slots=True)
class PlanOdds:
    """The odds of a plan; before they are sound only how many steps are on record."""

    on_record: int
    runs: int = 0
    took: float = 1.0
    chance: int | None = None
    half: date | None = None
    most: date | None = None
    nearly: date | None = None
    dates: tuple[tuple[int, float], ...] = ()
    figures: tuple[FigureChance, ...] = ()
    decides: tuple[Deciding, ...] = ()
    paces: tuple[StagePace, ...] = ()

    @property
    def is_sound(self) -> bool:
        """Whether figures can be said."""
        return bool(self.dates)

    @property
    def missing(self) -> int:
        """Finished steps still wanted before figures are said."""
        return max(0, SOUND_STEPS - self.on_record)


def read_odds(show: Show, plan: Plan) -> PlanOdds:
    """The odds as the plan keeps them, in a flat number of queries."""
    kept: dict[str, Any] = plan.odds or {"on_record": 0}
    if "dates" not in kept:
        return PlanOdds(kept["on_record"])
    zone = ZoneInfo(show.company.time_zone)
    figures = list(
        Figure.objects.filter(show=show, pk__in=[int(pk) for pk in kept["figures"]])
        .select_related("guise__character")
        .order_by("letters", "number")
    )
    needed = needed_by_dates(show, figures)
    return PlanOdds(
        on_record=kept["on_record"],
        runs=kept["runs"],
        took=kept["took"],
        chance=None if kept["chance"] is None else percent(kept["chance"]),
        half=_day(kept["half"], zone),
        most=_day(kept["most"], zone),
        nearly=_day(kept["nearly"], zone),
        dates=tuple(
            (share, place_of(datetime.fromisoformat(at), zone)) for share, at in kept["dates"]
        ),
        figures=tuple(
            FigureChance(figure, needed[figure.pk], percent(kept["figures"][str(figure.pk)]))
            for figure in figures
            if figure.pk in needed
        ),
        decides=_deciding(show, kept["decides"]),
        paces=_paces(show),
    )


def _paces(show: Show) -> tuple[StagePace, ...]:
    """The stages with most steps on record, as the company does them now."""
    pace = read_pace(show.company)
    most = sorted(pace.counts, key=lambda stage: (-pace.counts[stage], str(stage)))[:MOST_PACES]
    rows = Stage.objects.filter(pk__in=most).in_bulk()
    found = []
    for pk in most:
        points = pace.of(pk)
        if pk in rows:
            low, usual, high = (round(100 * x) for x in (points.low, points.usual, points.high))
            found.append(StagePace(rows[pk].name, pace.counts[pk], low, usual, high))
    return tuple(found)


def _deciding(show: Show, shares: dict[str, float]) -> tuple[Deciding, ...]:
    most = sorted(shares, key=lambda pk: (-shares[pk], int(pk)))[:MOST_DECIDING]
    rows = {str(step.pk): step for step in live_steps(show).filter(pk__in=[int(p) for p in most])}
    return tuple(
        Deciding(
            f"{rows[pk].stage.name} {rows[pk].subject_words}",
            reverse("builds:step_detail", args=[pk]),
            percent(shares[pk]),
        )
        for pk in most
        if pk in rows and percent(shares[pk])
    )


def percent(share: float) -> int:
    """Hundredths, never 100 or 0 where a run went the other way.

    >>> percent(0.9985), percent(0.0005), percent(1.0), percent(0.0)
    (99, 1, 100, 0)
    """
    if share in (0.0, 1.0):
        return int(share * 100)
    return min(99, max(1, round(share * 100)))


def _day(text: str, zone: ZoneInfo) -> date:
    return datetime.fromisoformat(text).astimezone(zone).date()
