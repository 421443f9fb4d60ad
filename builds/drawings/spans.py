"""What is held, dries and rests over the weeks: it hangs from a line for each mould or piece.

draw_spans((SpanRow("mould of Jory", (Span(start, finish, "held", "pour 1"),)),), ...)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString
from django.utils.text import capfirst

from builds.drawings.axis import SIZE, Axis, draw_day, draw_days, place_of
from company import drawing as d
from company.lettering import clip

NAMES = 270.0
LANE = 26.0
PEG = 5.0
TOP = 26.0
SIGNS = {"held": "worked on", "dries": "dries or cures", "rests": "rests"}


@dataclass(frozen=True, slots=True)
class Span:
    """From when to when, `sort` being held, dries or rests; what it is, and where to read on."""

    start: datetime
    finish: datetime
    sort: str
    words: str
    url: str = ""
    label: str = ""  # written in it, or beside it where there is room; else `words`


@dataclass(frozen=True, slots=True)
class SpanRow:
    """A mould, a piece of equipment or a piece that dries."""

    name: str
    spans: tuple[Span, ...]


def draw_spans(
    rows: Sequence[SpanRow],
    *,
    ident: str,
    title: str,
    zone: ZoneInfo,
    first: date,
    last: date,
    today: date,
    width: float = 1180,
    printed: bool = False,
) -> SafeString:
    """The rows over the days from `first` to `last`."""
    axis = Axis(first, last, NAMES, width - 8)
    laid = [_lanes(row) for row in rows]
    bottom = TOP + sum(_height(lanes) for lanes in laid)
    parts = draw_days(axis, TOP, bottom)
    parts += draw_day(axis, today, "today", TOP, bottom, "axis-today")
    y = TOP
    for row, lanes in zip(rows, laid, strict=True):
        name = capfirst(row.name)
        parts.append(d.clipped_words(4, y + 19, name, NAMES - 12, 14))
        for number, lane in enumerate(lanes):
            cord = y + number * LANE + 5
            parts.append(d.line(NAMES - 8, cord, width, cord, "drying-cord"))
            parts += _hang(lane, axis, cord, zone)
        y += _height(lanes)
    return d.picture(
        width, bottom + 22, *parts, ident=ident, title=title, css="drawing-spans", printed=printed,
        role="group",
    )  # fmt: skip


def _lanes(row: SpanRow) -> list[list[Span]]:
    """The row's spans on as few lanes as keep any two apart that go on at once."""
    lanes: list[list[Span]] = []
    for span in sorted(row.spans, key=lambda span: (span.start, span.finish)):
        for lane in lanes:
            if lane[-1].finish <= span.start:
                lane.append(span)
                break
        else:
            lanes.append([span])
    return lanes or [[]]


def _height(lanes: list[list[Span]]) -> float:
    return LANE * len(lanes) + 6


def _hang(lane: list[Span], axis: Axis, cord: float, zone: ZoneInfo) -> list[SafeString]:
    """What hangs from one piece of cord, each with the room that is free beside it."""
    parts = []
    for number, span in enumerate(lane):
        ahead = lane[number + 1 :]
        after = span.finish
        while ahead and ahead[0].sort == "rests" and ahead[0].start <= after:
            after = ahead.pop(0).finish  # the mould's rest comes between it and its name
        until = axis.x(place_of(ahead[0].start, zone)) if ahead else axis.right
        beside = axis.x(place_of(after, zone))
        parts.append(_draw_span(span, axis, cord, (beside, until), zone))
    return parts


def _draw_span(
    span: Span, axis: Axis, cord: float, free: tuple[float, float], zone: ZoneInfo
) -> SafeString:
    a, b = axis.x(place_of(span.start, zone)), axis.x(place_of(span.finish, zone))
    wide = max(3.0, b - a)
    bar = d.rect(a, cord, wide, LANE - 8, f"span-{span.sort}")
    said = d.group(bar, title=f"{span.words}: {SIGNS[span.sort]}, {_say(span, zone)}")
    inner = [said]
    if span.sort == "dries":
        ends = {a + 3, b - 3} if wide > 14 else {a + wide / 2}
        inner += [d.rect(x - 1.5, cord - PEG + 1, 3, PEG + 2, "peg") for x in sorted(ends)]
    if span.sort != "rests":
        inner += _label(span, (a, a + wide), (max(free[0], a + wide), free[1]), cord + 13)
    return d.tag("a", *inner, href=span.url) if span.url else d.group(*inner)


def _label(
    span: Span, bar: tuple[float, float], free: tuple[float, float], y: float
) -> list[SafeString]:
    """Its name inside where that is legible, else beside it; both given from where to where."""
    said = span.label or span.words
    wide, room = bar[1] - bar[0], free[1] - free[0]
    inside = clip(said, SIZE, wide - 10) if span.sort == "dries" and wide > 70 else ""
    if inside:
        return [d.words(bar[0] + 5, y, inside, size=SIZE)]
    beside = clip(said, SIZE, room - 12) if room > 50 else ""
    return [d.words(free[0] + 5, y, beside, size=SIZE, css="soft")] if beside else []


def _say(span: Span, zone: ZoneInfo) -> str:
    a, b = span.start.astimezone(zone), span.finish.astimezone(zone)
    return f"{a.day} {a:%b %H:%M} to {b.day} {b:%b %H:%M}"
