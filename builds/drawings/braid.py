"""A figure as a braid: its strands run side by side, meet, and go on as one cord to ready.

    BraidData(
        strands=(Strand("head", knots, joins=0), Strand("costume", knots, joins=6), ...),
        trunk=(BraidKnot("trial hang", Knot.LOOSE), ..., BraidKnot("dress", ...), ...),
    ) -> draw_braid(data, ident="j4")

`joins` is the place in the trunk where a strand comes in. A kind of puppet that lacks a strand
leaves it out. Strands are drawn in the order in which they come in, so that none cross.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from company import drawing as d
from company.drawing import Knot
from company.lettering import measure


@dataclass(frozen=True)
class BraidKnot:
    """One step of the figure: what it is called and how far it is."""

    words: str
    state: Knot = Knot.LOOSE


@dataclass(frozen=True)
class Strand:
    """Steps that follow each other until they join the trunk."""

    word: str
    knots: tuple[BraidKnot, ...] = ()
    joins: int = 0


@dataclass(frozen=True)
class BraidData:
    """The strands of a figure and the trunk in which they meet."""

    strands: tuple[Strand, ...] = ()
    trunk: tuple[BraidKnot, ...] = ()


@dataclass(frozen=True)
class _Measures:
    row: float
    pitch: float
    trunk_pitch: float
    r: float
    trunk_r: float
    bend: float
    left: float


SMALL = _Measures(row=15, pitch=16, trunk_pitch=19, r=4.1, trunk_r=5, bend=24, left=4)
LARGE = _Measures(row=24, pitch=24, trunk_pitch=30, r=6, trunk_r=7.5, bend=34, left=4)
TAIL = 10.0
LETTER = 13.0


def describe_braid(data: BraidData) -> str:
    """The whole braid as sentences, for those who listen."""
    said = []
    for strand in data.strands:
        done = sum(knot.state is Knot.TIED for knot in strand.knots)
        now = [knot.words for knot in strand.knots if knot.state is Knot.HALF]
        under_way = f", {' and '.join(now)} under way" if now else ""
        said.append(f"{strand.word.capitalize()}: {done} of {len(strand.knots)} done{under_way}.")
    if data.trunk:
        steps = ", ".join(f"{knot.words} {knot.state.value}" for knot in data.trunk)
        said.append(f"Then {steps}.")
    return " ".join(said)


def name_braid(data: BraidData) -> str:
    """How far the figure is, in a few words."""
    every = [knot for strand in data.strands for knot in strand.knots] + list(data.trunk)
    done = sum(knot.state is Knot.TIED for knot in every)
    if not every:
        return "No steps yet"
    return "All steps done" if done == len(every) else f"{done} of {len(every)} steps done"


def draw_braid(
    data: BraidData, *, ident: str, with_words: bool = False, printed: bool = False
) -> SafeString:
    """The braid, small for a register, or large with the strands' and the trunk's words."""
    layout = _Layout(data, with_words)
    parts: list[str] = []
    for row in range(len(layout.strands)):
        parts.append(d.path(layout.strand_path(row), "thread-line strand"))
    if data.trunk:
        cord = f"M{d.num(layout.trunk_start)} {d.num(layout.trunk_y)}H{d.num(layout.cord_end)}"
        parts.append(d.path(cord, "thread-line cord"))
        parts.append(d.path(cord, "ply"))
    for row, strand in enumerate(layout.strands):
        places = layout.knot_places(row)
        parts.extend(_draw_knots(strand.knots, places, layout.m.r, with_words))
    trunk_places = [(x, layout.trunk_y) for x in layout.trunk_x]
    parts.extend(_draw_knots(data.trunk, trunk_places, layout.m.trunk_r, with_words))
    if with_words:
        parts.extend(_lettering(data, layout))
    if not data.strands and not data.trunk:
        parts.append(d.words(layout.m.left, layout.top + 8, "no steps yet", css="soft"))
    return d.picture(
        layout.width,
        layout.height,
        *parts,
        ident=ident,
        title=name_braid(data),
        desc=describe_braid(data),
        css="drawing-braid",
        printed=printed,
    )


class _Layout:
    """Where each strand, the cord and every knot stand."""

    def __init__(self, data: BraidData, with_words: bool) -> None:
        self.m = m = LARGE if with_words else SMALL
        self.with_words = with_words
        last = max(len(data.trunk) - 1, 0)
        self.joins = sorted(min(max(s.joins, 0), last) for s in data.strands)
        order = sorted(data.strands, key=lambda s: min(max(s.joins, 0), last))
        self.strands = tuple(order)
        names = [measure(s.word, LETTER) for s in order] if with_words else []
        self.x0 = m.left + (max(names) + 14 if names else 0)
        self.top = 32.0 if with_words else m.r * 1.8 + 2
        # A trunk that no strand begins has the top row for itself.
        self.free_rows = 1 if data.trunk and order and 0 not in self.joins else 0
        self.trunk_x = self._trunk_places(data.trunk)
        self.trunk_y = self._trunk_row()
        longest = max((len(s.knots) for s in order), default=0)
        self.strand_end = self.x0 + longest * m.pitch
        self.trunk_start = self._trunk_start()
        self.cord_end = self.trunk_x[-1] + TAIL if self.trunk_x else 0
        words_end = 0.0
        if with_words and data.trunk:
            words_end = self.trunk_x[-1] + measure(data.trunk[-1].words, LETTER)
        end = max(self.cord_end, words_end, self.strand_end if not self.trunk_x else 0)
        self.width = max(end, self.x0 + 20 if order else self.x0 + 76) + 4
        rows = max(len(order) + self.free_rows, 1)
        foot = self.top + (rows - 1) * m.row + m.r * 1.2 + 3
        self.height = max(foot, self.trunk_y + m.trunk_r * 1.2 + 3, self.top + 13)

    def y(self, row: int) -> float:
        return self.top + (row + self.free_rows) * self.m.row

    def _trunk_places(self, trunk: tuple[BraidKnot, ...]) -> list[float]:
        places: list[float] = []
        for number in range(len(trunk)):
            x = self.x0 + self.m.bend
            if places:
                x = places[-1] + self._room_after(trunk[number - 1])
            for strand, joins in zip(self.strands, self.joins, strict=True):
                if joins == number:
                    x = max(x, self.x0 + len(strand.knots) * self.m.pitch + self.m.bend)
            places.append(x)
        return places

    def _room_after(self, one: BraidKnot) -> float:
        if not self.with_words:
            return self.m.trunk_pitch
        return max(self.m.trunk_pitch, measure(one.words, LETTER) + 14)

    def _trunk_row(self) -> float:
        """Half way between the strands that begin the trunk; one strand simply goes on as it."""
        first = [row for row, joins in enumerate(self.joins) if joins == 0]
        if not first:
            return self.top
        return (self.y(first[0]) + self.y(first[-1])) / 2

    def _trunk_start(self) -> float:
        if not self.trunk_x:
            return 0
        return self.trunk_x[0] - (0 if 0 in self.joins else self.m.bend / 2)

    def strand_path(self, row: int) -> str:
        y, m = self.y(row), self.m
        start = f"M{d.num(self.x0)} {d.num(y)}"
        if not self.trunk_x:
            return f"{start}H{d.num(self.strand_end + 6)}"
        x = self.trunk_x[self.joins[row]]
        if abs(y - self.trunk_y) < 0.5:
            return f"{start}H{d.num(x)}"
        bend = x - m.bend + m.r
        mid = (bend + x) / 2
        ty = d.num(self.trunk_y)
        return f"{start}H{d.num(bend)}C{d.num(mid)} {d.num(y)} {d.num(mid)} {ty} {d.num(x)} {ty}"

    def knot_places(self, row: int) -> list[tuple[float, float]]:
        """Knots from the left, a little wider apart where the strand has far to go."""
        count, m = len(self.strands[row].knots), self.m
        pitch = m.pitch
        if self.trunk_x and count:
            room = self.trunk_x[self.joins[row]] - m.bend - self.x0
            pitch = min(m.pitch * 2, max(m.pitch, room / count))
        return [(self.x0 + m.pitch / 2 + at * pitch, self.y(row)) for at in range(count)]


def _draw_knots(
    knots: tuple[BraidKnot, ...], places: list[tuple[float, float]], r: float, with_titles: bool
) -> list[SafeString]:
    if with_titles:
        return [
            d.knot(knot.state, x, y, r, f"{knot.words}: {knot.state.value}")
            for knot, (x, y) in zip(knots, places, strict=True)
        ]
    return [
        d.knots(
            state,
            [place for knot, place in zip(knots, places, strict=True) if knot.state is state],
            r,
        )
        for state in Knot
    ]


def _lettering(data: BraidData, layout: _Layout) -> list[SafeString]:
    """Strand names at the left; the trunk's words above its knots."""
    said = [
        d.words(layout.m.left, layout.y(row) + 4, strand.word, size=LETTER, css="soft")
        for row, strand in enumerate(layout.strands)
    ]
    foot = layout.trunk_y - layout.m.trunk_r * 1.8 - 6
    for knot, x in zip(data.trunk, layout.trunk_x, strict=True):
        said.append(d.words(x - 4, foot, knot.words, size=LETTER, css="soft"))
    return said
