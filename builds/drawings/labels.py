"""Where the words along a thread stand: in lanes above and below it, never over each other."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from company import drawing as d
from company.drawing import Box

LANE = 17.0
MOST_LANES = 3


@dataclass(frozen=True)
class Label:
    """Words for a place on the thread; x counts from the left, the thread runs at y = 0."""

    x: float
    text: str
    bold: bool = False
    css: str = ""
    prefers_above: bool = False
    must_show: bool = True


@dataclass(frozen=True)
class PlacedLabel:
    """Where a label came to stand."""

    label: Label
    left: float
    lane: int  # above: -1, -2, ...; below: 1, 2, ...
    box: Box
    has_leader: bool


def place_labels(labels: list[Label], fixtures: list[Box], width: int) -> list[PlacedLabel]:
    """The labels where they touch nothing else.

    Those that must show come first. The rest are tried from both ends, flying like flags to the
    right or to the left, which stacks a crowd like stairs; the way that shows most is kept.
    """
    first = [label for label in labels if label.must_show]
    rest = [label for label in labels if not label.must_show]
    ways = [
        _place_in_order(first + rest, fixtures, width, "middle right left"),
        _place_in_order(first + rest[::-1], fixtures, width, "right middle left"),
        _place_in_order(first + rest, fixtures, width, "left middle right"),
    ]
    return max(ways, key=lambda way: (len(way), -sum(abs(placed.lane) for placed in way)))


def _place_in_order(
    labels: list[Label], fixtures: list[Box], width: int, sides: str
) -> list[PlacedLabel]:
    """Each label into the nearest lane where it and its leader touch nothing placed before."""
    taken = list(fixtures)
    placed = []
    for label in labels:
        preferred = "middle right left" if label.must_show else sides
        found = _find_place(label, taken, width, MOST_LANES, preferred)
        if found is None and label.must_show:
            found = _find_place(label, taken, width, 9, preferred, needs_leader=False)
        if found:
            placed.append(found)
            taken.append(found.box)
            if found.has_leader:
                taken.append(_leader_box(found))
    return placed


def _find_place(
    label: Label,
    taken: list[Box],
    width: int,
    most: int,
    sides: str,
    *,
    needs_leader: bool = True,
) -> PlacedLabel | None:
    size = 14 if label.bold else 13
    room = d.words_box(0, 0, label.text, size=size, bold=label.bold)
    wide = room[2] - room[0]
    by_side = {
        "middle": [label.x - wide / 2],
        "right": [label.x + 9, label.x + 13],
        "left": [label.x - wide - 9, label.x - wide - 13],
    }
    lefts = [left for side in sides.split() for left in by_side[side]]
    for step in range(1, most + 1):
        for lane in (-step, step) if label.prefers_above else (step, -step):
            for left in lefts:
                left = min(max(left, 4.0), width - wide - 4)
                foot = _foot(lane)
                box = (left - 5, foot - size * 0.8, left + wide + 5, foot + size * 0.28)
                found = PlacedLabel(label, left, lane, box, needs_leader and step > 1)
                needs = [box, _leader_box(found)] if found.has_leader else [box]
                if not any(d.overlaps(need, other) for need in needs for other in taken):
                    return found
    return None


def _foot(lane: int) -> float:
    """Where the letters of a lane stand, the thread being at 0."""
    return 12 + LANE * lane if lane > 0 else LANE * (lane + 1) - 18


def _leader_box(placed: PlacedLabel) -> Box:
    x, end = placed.label.x, _leader_end(placed)
    return (x - 1, 10, x + 1, end) if placed.lane > 0 else (x - 1, end, x + 1, -12)


def draw_leaders(placed: list[PlacedLabel]) -> list[SafeString]:
    """A hair from the knot to words that stand further off."""
    return [
        d.line(p.label.x, 4 if p.lane > 0 else -10, p.label.x, _leader_end(p), "hair")
        for p in placed
        if p.has_leader
    ]


def _leader_end(placed: PlacedLabel) -> float:
    """At the near edge of words that hang under it, at the far edge of words beside it."""
    left, top, right, foot = placed.box
    is_beside = not left < placed.label.x < right
    if placed.lane > 0:
        return foot - 3 if is_beside else top
    return top + 2 if is_beside else foot


def draw_words(placed: list[PlacedLabel]) -> list[SafeString]:
    return [
        d.words(
            p.left,
            _foot(p.lane),
            p.label.text,
            size=14 if p.label.bold else 13,
            bold=p.label.bold,
            css=p.label.css,
        )
        for p in placed
    ]
