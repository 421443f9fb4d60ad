"""One casting with its whole way: poured, judged, put into figures and out of them again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from builds.models import Casting, Figure
from company.models import Change
from company.templatetags.words import day


@dataclass(frozen=True)
class Move:
    """One thing that happened to a casting: when, who, and what in words."""

    at: datetime
    who: str
    words: str


@dataclass(frozen=True)
class CastingCard:
    """The page of one casting."""

    casting: Casting
    moves: tuple[Move, ...]
    lede: str


def read_casting(casting: Casting) -> CastingCard:
    """A casting and its history, newest first; three queries."""
    company = casting.pattern.show.company
    rows = Change.objects.filter(company=company, noun="casting", row=str(casting.pk))
    changes = list(rows.select_related("user").order_by("-pk"))
    named = {
        pk
        for change in changes
        for side in (change.before or {}, change.after or {})
        if (pk := side.get("figure_id")) is not None
    }
    figures = {figure.pk: figure.tag for figure in Figure.objects.filter(pk__in=named)}
    moves = [
        Move(change.at, str(change.user or ""), words)
        for change in changes
        if (words := _said(change.before or {}, change.after or {}, figures))
    ]
    return CastingCard(casting, tuple(moves), _lede(casting, ZoneInfo(company.time_zone)))


def _said(before: Mapping[str, Any], after: Mapping[str, Any], figures: Mapping[int, str]) -> str:
    said = []
    if after.get("result"):
        reason = f", {after['reason']}" if after.get("reason") else ""
        said.append(f"{after['result']}{reason}")
    if "figure_id" in after or "place" in after:
        left, now = before.get("figure_id"), after.get("figure_id")
        if left is not None and left != now:
            said.append(f"out of {figures.get(left, 'its figure')}")
        if now is not None:
            said.append(f"into {figures.get(now, 'a figure')}")
        elif after.get("place"):
            said.append(f"to '{after['place']}'")
    if after.get("words"):
        said.append(str(after["words"]))
    return "; ".join(said)


def _lede(casting: Casting, zone: ZoneInfo) -> str:
    if casting.struck_at is not None:
        return "Struck: it was never poured, or recorded by mistake."
    if casting.result is None:
        for_whom = f" for {casting.figure}" if casting.figure else ", in case another fails"
        if casting.pour.poured_at is None:
            return f"Still to be poured{for_whom}."
        poured = day(casting.pour.poured_at.astimezone(zone))
        return f"In the mould since {poured}{for_whom}."
    said = casting.get_result_display().capitalize()
    said += f": {casting.reason}" if casting.reason else ""
    if casting.result == Casting.Result.THROWN:
        return f"{said}."
    where = f"in {casting.figure}" if casting.figure else f"lies at {casting.place}"
    return f"{said}; {where}."
