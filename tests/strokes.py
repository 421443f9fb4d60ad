"""Reading a printed drawing back: every straight line and picture of a page, in mm on the paper.

The page's own operators are walked with the matrix they stand under (ISO 32000-1, 8.3.4 and 8.5),
so that what is measured is what a printer is told, not what was meant.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import Any

from pypdf import PdfReader
from pypdf.generic import ContentStream, StreamObject

MM_PER_PT = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]
UNIT: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Segment:
    """A straight line in mm from the upper left corner of the paper."""

    x1: float
    y1: float
    x2: float
    y2: float

    @property
    def middle(self) -> tuple[float, float]:
        return ((self.x1 + self.x2) / 2, (self.y1 + self.y2) / 2)

    @property
    def length(self) -> float:
        return float(((self.x2 - self.x1) ** 2 + (self.y2 - self.y1) ** 2) ** 0.5)


@dataclass(frozen=True)
class Strokes:
    """What is on a page: its size in mm, its straight lines, and where pictures have corners."""

    width: float
    height: float
    segments: list[Segment]
    pictures: list[list[tuple[float, float]]]

    def crosses(self, arm: float) -> list[tuple[float, float]]:
        """Centres of crosses whose arms, level and upright, are each so long."""
        flat = [s for s in self.segments if abs(s.y1 - s.y2) < 0.01 and near(s.length, 2 * arm)]
        tall = [s for s in self.segments if abs(s.x1 - s.x2) < 0.01 and near(s.length, 2 * arm)]
        return [
            one.middle
            for one in flat
            for other in tall
            if near(one.middle[0], other.middle[0]) and near(one.middle[1], other.middle[1])
        ]


def near(one: float, other: float, within: float = 0.03) -> bool:
    """Whether two lengths in mm are the same."""
    return abs(one - other) <= within


def read_strokes(pdf: bytes) -> list[Strokes]:
    """Every page of the file."""
    reader = PdfReader(io.BytesIO(pdf))
    return [_read(reader, page) for page in reader.pages]


def _read(reader: PdfReader, page: Any) -> Strokes:
    width, height = float(page.mediabox.width), float(page.mediabox.height)
    walk = _Walk(reader, height)
    walk.run(page.get_contents(), page["/Resources"], UNIT)
    return Strokes(width * MM_PER_PT, height * MM_PER_PT, walk.segments, walk.pictures)


class _Walk:
    """Follows the operators that move, draw and call other streams."""

    def __init__(self, reader: PdfReader, height_pt: float) -> None:
        self.reader = reader
        self.height_pt = height_pt
        self.segments: list[Segment] = []
        self.pictures: list[list[tuple[float, float]]] = []

    def run(self, stream: Any, resources: Any, start: Matrix) -> None:
        content = (
            stream if isinstance(stream, ContentStream) else ContentStream(stream, self.reader)
        )
        matrix, kept, at = start, [], (0.0, 0.0)
        for operands, operator in content.operations:
            name = operator.decode()
            if name == "q":
                kept.append(matrix)
            elif name == "Q":
                matrix = kept.pop()
            elif name == "cm":
                matrix = _times(tuple(map(float, operands)), matrix)  # type: ignore[arg-type]
            elif name == "m":
                at = (float(operands[0]), float(operands[1]))
            elif name == "l":
                to = (float(operands[0]), float(operands[1]))
                self.segments.append(Segment(*self.place(matrix, at), *self.place(matrix, to)))
                at = to
            elif name == "c":
                at = (float(operands[4]), float(operands[5]))
            elif name == "Do":
                self.call(resources["/XObject"][operands[0]], resources, matrix)

    def call(self, thing: StreamObject, resources: Any, matrix: Matrix) -> None:
        if thing["/Subtype"] == "/Image":
            corners = [(0, 0), (1, 0), (1, 1), (0, 1)]
            self.pictures.append([self.place(matrix, at) for at in corners])
            return
        own = tuple(float(n) for n in thing.get("/Matrix", UNIT))
        inner = thing.get("/Resources", resources)
        self.run(thing, inner, _times(own, matrix))  # type: ignore[arg-type]

    def place(self, matrix: Matrix, at: tuple[float, float]) -> tuple[float, float]:
        a, b, c, d, e, f = matrix
        x, y = at
        return (
            (a * x + c * y + e) * MM_PER_PT,
            (self.height_pt - (b * x + d * y + f)) * MM_PER_PT,
        )


def _times(one: Matrix, other: Matrix) -> Matrix:
    """`one` first, then `other`."""
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (
        a * g + b * i,
        a * h + b * j,
        c * g + d * i,
        c * h + d * j,
        e * g + f * i + k,
        e * h + f * j + m,
    )
