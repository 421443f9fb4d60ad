"""What is held, dries and rests over the weeks: a row for each mould, frame or piece.

draw_spans((SpanRow("mould of Jory", (Span(start, finish, "held", "pour 1"),)),), ...)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString

from builds.drawings.axis import Axis, draw_day, draw_days, place_of
from company import drawing as d
from company.lettering import clip

NAMES = 270.0
LANE = 24.0
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
    y = TOP
    for row, lanes in zip(rows, laid, strict=True):
        name = row.name[:1].upper() + row.name[1:]
        parts.append(d.clipped_words(4, y + 19, name, NAMES - 12, 14))
        for number, lane in enumerate(lanes):
            parts += [_draw_span(span, axis, y + number * LANE, zone) for span in lane]
        y += _height(lanes)
        parts.append(d.line(0, y, width, y, "axis-line"))
    parts += draw_day(axis, today, "today", TOP, bottom, "axis-today")
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


def _draw_span(span: Span, axis: Axis, y: float, zone: ZoneInfo) -> SafeString:
    a, b = axis.x(place_of(span.start, zone)), axis.x(place_of(span.finish, zone))
    wide = max(3.0, b - a)
    bar = d.rect(a, y + 5, wide, LANE - 4, f"span-{span.sort}")
    said = d.group(bar, title=f"{span.words}: {SIGNS[span.sort]}, {_say(span, zone)}")
    label = clip(span.words, 12, wide - 8) if span.sort == "dries" and wide > 70 else ""
    inner = [said, d.words(a + 4, y + 19, label, size=12)] if label else [said]
    return d.tag("a", *inner, href=span.url) if span.url else d.group(*inner)


def _say(span: Span, zone: ZoneInfo) -> str:
    a, b = span.start.astimezone(zone), span.finish.astimezone(zone)
    return f"{a.day} {a:%b %H:%M} to {b.day} {b:%b %H:%M}"
