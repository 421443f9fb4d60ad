"""How sure a plan is: played with the company's own pace, as words and, once sound, as figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from builds.core import planning as core
from builds.core.planning.pace import Pace
from builds.core.planning.risk import RUNS, Odds, sample_plan
from builds.loading import Loaded, instant_of
from builds.queries.pace import read_pace
from builds.services.plan_words import OUTLOOK
from scenes.models import Show

SOME_DAYS = 2  # so far off the plan's own day asks for a reason
NEAR = 0.03  # so near to what was planned counts as planned
PARTS = {
    0.05: "a twentieth",
    0.1: "a tenth",
    0.2: "a fifth",
    0.25: "a quarter",
    0.33: "a third",
    0.5: "half",
}


@dataclass(frozen=True, slots=True)
class PlayedOdds:
    """Tight, fair or easy; the sentence; and the figures, which are None until they are sound."""

    word: str
    words: str
    document: dict[str, Any]


def play_plan(show: Show, loaded: Loaded, plan: core.Plan) -> PlayedOdds | None:
    """Play a plan two thousand times at the company's pace; None where there is no plan."""
    if not plan.steps:
        return None
    pace = read_pace(show.company)
    points = {
        ident: pace.of(piece.step.stage_id)
        for ident, piece in loaded.pieces.items()
        if piece.step.finished_at is None
    }
    odds = sample_plan(loaded.problem, plan, seed=1, runs=RUNS, points=points)
    if odds is None:
        return None
    document: dict[str, Any] = {"on_record": pace.steps}
    if pace.is_sound:
        document |= _figures(loaded, pace, odds)
    return PlayedOdds(odds.word, say_outlook(show, pace, odds, plan), document)


def _figures(loaded: Loaded, pace: Pace, odds: Odds) -> dict[str, Any]:
    by_tag = {figure.tag: figure.pk for figure in loaded.figures}
    decides: dict[str, float] = {}
    for ident, share in odds.decides.items():
        piece = loaded.pieces[ident]
        if piece.step.finished_at is None:
            key = str(piece.step.pk)
            decides[key] = max(decides.get(key, 0.0), share)
    return {
        "runs": RUNS,
        "took": round(pace.took, 3),
        "chance": odds.chance,
        "half": instant_of(odds.half_by).isoformat(),
        "most": instant_of(odds.four_fifths_by).isoformat(),
        "nearly": instant_of(odds.nearly_sure_by).isoformat(),
        "dates": [[share, instant_of(at).isoformat()] for share, at in odds.dates],
        "figures": {str(by_tag[tag]): chance for tag, chance in odds.figures.items()},
        "decides": decides,
    }


def say_outlook(show: Show, pace: Pace, odds: Odds, plan: core.Plan) -> str:
    """Tight, fair or easy; with enough on record also the pace and the day it leads to."""
    said = OUTLOOK[odds.word]
    if not pace.is_sound:
        return said
    zone = ZoneInfo(show.company.time_zone)
    day = instant_of(odds.half_by).astimezone(zone)
    planned = instant_of(plan.ready or 0).astimezone(zone)
    why = ""
    if pace.took < 1 + NEAR and (day.date() - planned.date()).days > SOME_DAYS:
        # Said, or nobody would believe it: the pace is as planned and the day is not.
        why = (
            f", not on {date_format(planned, 'j F')}: what runs over waits for the next day on "
            "which its people are in"
        )
    return (
        f"{odds.word.capitalize()}. With {pace.steps} steps on record, yours take "
        f"{say_pace(pace.took)}. At that pace all is ready on "
        f"{date_format(day, 'j F')}{why}."
    )


def say_pace(took: float) -> str:
    """How long steps take beside the plan, in words.

    >>> say_pace(1.11), say_pace(0.99), say_pace(0.78)
    ('a tenth longer than planned', 'about as long as planned', 'a fifth less than planned')
    """
    over = abs(took - 1)
    if over < NEAR:
        return "about as long as planned"
    if took >= 1.75:
        return f"{took:.1f} times as long as planned"
    part = PARTS[min(PARTS, key=lambda share: abs(share - over))]
    return f"{part} {'longer' if took > 1 else 'less'} than planned"
