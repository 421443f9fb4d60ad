"""Where the knots and threads of a route's picture lie: strands hang down, time runs downward.

Head, body, control and costume are four threads that hang side by side; where they meet, the work
goes on under the head, which stands first so that a phone shows the figure's own thread. A stage
stands one row below the last of what it waits for. Its words stand at the right of its knot;
threads that go across run in the gap between two rows, so that none passes over words.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from builds.core.route_defaults.recipe import PlainStage
from builds.core.routes import in_order, longest_chain

# The lanes from left to right, and the strands that run in each.
LANES: tuple[tuple[str, ...], ...] = (
    ("guise", "head", "meet", "finish", "end"),
    ("body",),
    ("control",),
    ("costume",),
)
LANE_WORDS = ("head, then the figure", "body", "control", "costume")
LANE_WIDTH, ROW_HEIGHT, MARGIN_X, MARGIN_Y = 232, 48, 18, 56
GAP_ABOVE = 22  # from a knot up to the middle of the gap between two rows of words
ASIDE = 10  # how far a thread keeps from knots that it only passes
BEND = 9


@dataclass(frozen=True)
class Knot:
    """A stage in the picture: its key, its number in the route, and where it hangs in px."""

    key: str
    number: int
    name: str
    hours_min: int
    wait_min: int
    x: int
    y: int
    is_red: bool
    is_gate: bool

    @property
    def label_x(self) -> int:
        """Where its words begin."""
        return self.x + 18


@dataclass(frozen=True)
class Strand:
    """A thread from one knot to a later one, as an SVG path."""

    path: str
    is_red: bool


@dataclass(frozen=True)
class LaneHead:
    """The word above a lane."""

    word: str
    x: int


@dataclass(frozen=True)
class ChainDrawing:
    """The whole picture in px."""

    width: int
    height: int
    knots: tuple[Knot, ...]
    strands: tuple[Strand, ...]
    lanes: tuple[LaneHead, ...]


def draw_chain(stages: Sequence[PlainStage]) -> ChainDrawing:
    """The picture of a route. Stages that wait in a circle are left out of it.

    >>> drawn = draw_chain([PlainStage("a", "A", "head", 60),
    ...                     PlainStage("b", "B", "head", 60, ("a",))])
    >>> [(knot.key, knot.x, knot.y) for knot in drawn.knots]
    [('a', 28, 56), ('b', 28, 104)]
    """
    rows = _rows(stages)
    places = _places(stages, rows)
    chain = longest_chain(stages)
    red = set(chain)
    numbers = {stage.key: number for number, stage in enumerate(stages, start=1)}
    knots = {
        stage.key: Knot(
            stage.key,
            numbers[stage.key],
            stage.name,
            stage.hours_min,
            stage.wait_min,
            10 + MARGIN_X + places[stage.key] * LANE_WIDTH,
            MARGIN_Y + rows[stage.key] * ROW_HEIGHT,
            stage.key in red,
            stage.gate,
        )
        for stage in stages
        if stage.key in rows
    }
    lanes = _lane_heads(stages, rows, places)
    wide = max(places.values(), default=0) + 1
    return ChainDrawing(
        width=MARGIN_X * 2 + wide * LANE_WIDTH,
        height=MARGIN_Y + (max(rows.values(), default=0) + 1) * ROW_HEIGHT,
        knots=tuple(knots.values()),
        strands=tuple(_strands(stages, knots, chain)),
        lanes=lanes,
    )


def _rows(stages: Sequence[PlainStage]) -> dict[str, int]:
    """How far down each stage hangs: one row below the last of what it waits for."""
    by_key = {stage.key: stage for stage in stages}
    rows: dict[str, int] = {}
    for key in in_order(stages):
        above = [rows[a] for a in by_key[key].after if a in rows]
        rows[key] = max(above, default=-1) + 1
    return rows


def _lane_of(strand: str) -> int:
    return next(i for i, strands in enumerate(LANES) if strand in strands)


def _places(stages: Sequence[PlainStage], rows: dict[str, int]) -> dict[str, int]:
    """Which thread of which lane each stage hangs on, counted from the left.

    A stage goes on under what it waits for where that place is free, else beside it.
    """
    taken: dict[int, set[tuple[int, int]]] = defaultdict(set)
    within: dict[str, int] = {}
    by_key = {stage.key: stage for stage in stages}
    for key in rows:
        stage = by_key[key]
        lane = _lane_of(stage.strand)
        above = [a for a in stage.after if a in within and _lane_of(by_key[a].strand) == lane]
        wish = min((within[a] for a in above), default=0)
        while (wish, rows[key]) in taken[lane]:
            wish += 1
        taken[lane].add((wish, rows[key]))
        within[key] = wish
    widths = [
        max((place for place, _ in taken[lane]), default=-1) + 1 for lane in range(len(LANES))
    ]
    starts = [sum(widths[:lane]) for lane in range(len(LANES))]
    return {key: starts[_lane_of(by_key[key].strand)] + place for key, place in within.items()}


def _lane_heads(
    stages: Sequence[PlainStage], rows: dict[str, int], places: dict[str, int]
) -> tuple[LaneHead, ...]:
    first: dict[int, int] = {}
    for stage in stages:
        if stage.key in rows:
            lane = _lane_of(stage.strand)
            first[lane] = min(first.get(lane, places[stage.key]), places[stage.key])
    return tuple(
        LaneHead(LANE_WORDS[lane], 10 + MARGIN_X + place * LANE_WIDTH)
        for lane, place in sorted(first.items())
    )


def _strands(
    stages: Sequence[PlainStage], knots: dict[str, Knot], chain: Sequence[str]
) -> list[Strand]:
    """A thread for each wait that no other chain of waits already shows, the red ones last."""
    afters = {stage.key: [a for a in stage.after if a in knots] for stage in stages}
    behind: dict[str, set[str]] = {}
    for key in in_order(stages):
        behind[key] = set(afters[key]).union(*(behind[a] for a in afters[key]))
    # Stages that only some figures have lie beside the red thread, never in it.
    red = set(pairwise(chain))
    drawn = []
    for stage in stages:
        for after in afters[stage.key] if stage.key in knots else ():
            is_red = (after, stage.key) in red
            is_shown = any(after in behind[other] for other in afters[stage.key] if other != after)
            if is_red or not is_shown:
                path = _path(knots[after], knots[stage.key], list(knots.values()))
                drawn.append(Strand(path, is_red))
    return sorted(drawn, key=lambda strand: strand.is_red)


def _path(above: Knot, below: Knot, knots: Sequence[Knot]) -> str:
    """Down beside what it passes, across in the gap above its end, and down to its knot."""
    passed = [k for k in knots if k.x == above.x and above.y < k.y < below.y]
    run_x = above.x - ASIDE if passed else above.x
    # Threads of neighbouring stages run beside each other in a gap, not on top of each other.
    gap_y = below.y - GAP_ABOVE + (above.number % 3 - 1) * 4
    path = f"M{above.x} {above.y}"
    if run_x != above.x:
        path += f"C{above.x} {above.y + 16} {run_x} {above.y + 8} {run_x} {above.y + 26}"
    if run_x == below.x:
        return f"{path}V{below.y}"
    if above.x == below.x:
        back = f"C{run_x} {below.y - 8} {below.x} {below.y - 16} {below.x} {below.y}"
        return f"{path}V{below.y - 26}{back}"
    way = 1 if below.x > run_x else -1
    return (
        f"{path}V{gap_y - BEND}Q{run_x} {gap_y} {run_x + way * BEND} {gap_y}"
        f"H{below.x - way * BEND}Q{below.x} {gap_y} {below.x} {gap_y + BEND}V{below.y}"
    )
