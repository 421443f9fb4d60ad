"""Cutting a full-size drawing into sheets of paper that are joined again by hand.

Places on the drawing are mm to the right of its left edge and mm down from its top edge. Every
tile shows its window of the drawing at 1:1; neighbours show the strip between them both, and the
join runs down the middle of that strip with a cross at each end of it, so that the halves of a
cross meet where two sheets are cut and laid edge to edge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise, product

MARGIN_MM = 8.0  # what desk printers leave white: 4 to 6.4 mm, and a little for their slip
OVERLAP_MM = 16.0
STRIP_MM = 12.0  # below the window: number of the tile, check line, what it belongs to
CHECK_MM = 100.0
MOST_TILES = 120
LONGEST_PAGE_MM = 5000.0  # PDF pages end at 14 400 points, 5 080 mm (ISO 32000-1, annex C.2)

# Width and height upright: ISO 216; ANSI/ASME Y14.1 for Letter (8.5 by 11 inches).
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A3": (297.0, 420.0)}


class CannotTile(ValueError):
    """The drawing does not go on this paper; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: its number from 1, row and column from 0, and the window it shows."""

    number: int
    row: int
    column: int
    left_mm: float
    top_mm: float


@dataclass(frozen=True, slots=True)
class Join:
    """A line along which two sheets meet, from one cross to the other."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float


@dataclass(frozen=True, slots=True)
class Tiling:
    """All sheets of one drawing. The window of every tile has the same size."""

    paper: str
    page_width_mm: float
    page_height_mm: float
    margin_mm: float
    overlap_mm: float
    window_width_mm: float
    window_height_mm: float
    rows: int
    columns: int
    tiles: tuple[Tile, ...]

    @property
    def is_landscape(self) -> bool:
        """Whether the paper lies on its side."""
        return self.page_width_mm > self.page_height_mm

    @property
    def joins(self) -> tuple[Join, ...]:
        """The lines along which sheets meet: first those down, then those across."""
        downs = [edge + self.overlap_mm / 2 for edge in self.lefts[1:]]
        acrosses = [edge + self.overlap_mm / 2 for edge in self.tops[1:]]
        right = self.lefts[-1] + self.window_width_mm
        bottom = self.tops[-1] + self.window_height_mm
        rows = list(pairwise([0.0, *acrosses, bottom]))
        columns = list(pairwise([0.0, *downs, right]))
        return tuple(
            [Join(x, top, x, below) for x, (top, below) in product(downs, rows)]
            + [Join(left, y, beyond, y) for y, (left, beyond) in product(acrosses, columns)]
        )

    @property
    def lefts(self) -> list[float]:
        """Where the windows of the columns begin."""
        return [n * (self.window_width_mm - self.overlap_mm) for n in range(self.columns)]

    @property
    def tops(self) -> list[float]:
        """Where the windows of the rows begin."""
        return [n * (self.window_height_mm - self.overlap_mm) for n in range(self.rows)]


def lay_tiles(
    width_mm: float,
    height_mm: float,
    paper: str,
    *,
    margin_mm: float = MARGIN_MM,
    overlap_mm: float = OVERLAP_MM,
) -> Tiling:
    """The fewest sheets of `paper` ('A4', 'Letter', 'A3') that hold a drawing of this size.

    Upright or on its side, whichever takes fewer; upright where both take as many. `width_mm` and
    `height_mm` above nought; `margin_mm` 0 to 30; `overlap_mm` 5 to 40. Raises CannotTile with a
    sentence where one is outside, or where more than MOST_TILES sheets would be needed.

    >>> tiling = lay_tiles(300, 600, "A4")
    >>> tiling.rows, tiling.columns, len(tiling.tiles)
    (3, 2, 6)
    >>> [tile.left_mm for tile in tiling.tiles[:2]]
    [0.0, 178.0]
    """
    faults = find_tile_faults(width_mm, height_mm, paper, margin_mm, overlap_mm)
    if faults:
        raise CannotTile(" ".join(faults))
    short, long = PAPERS_MM[paper]
    upright = _count(width_mm, height_mm, short, long, margin_mm, overlap_mm)
    lying = _count(width_mm, height_mm, long, short, margin_mm, overlap_mm)
    is_lying = math.prod(lying) < math.prod(upright)
    rows, columns = lying if is_lying else upright
    if rows * columns > MOST_TILES:
        raise CannotTile(
            f"The drawing would take {rows * columns} sheets of {paper}, more than {MOST_TILES}: "
            "take larger paper or one long page, and look whether the height is right."
        )
    page_width, page_height = (long, short) if is_lying else (short, long)
    window_width, window_height = page_width - 2 * margin_mm, _window(page_height, margin_mm)
    return Tiling(
        paper=paper,
        page_width_mm=page_width,
        page_height_mm=page_height,
        margin_mm=margin_mm,
        overlap_mm=overlap_mm,
        window_width_mm=window_width,
        window_height_mm=window_height,
        rows=rows,
        columns=columns,
        tiles=tuple(
            Tile(
                number=row * columns + column + 1,
                row=row,
                column=column,
                left_mm=column * (window_width - overlap_mm),
                top_mm=row * (window_height - overlap_mm),
            )
            for row, column in product(range(rows), range(columns))
        ),
    )


def find_tile_faults(
    width_mm: float, height_mm: float, paper: str, margin_mm: float, overlap_mm: float
) -> list[str]:
    """What keeps a drawing from being cut into sheets, all at once, as sentences.

    >>> find_tile_faults(0, 600, "B5", 8, 16)
    ['A drawing has a width above nought.', 'There is no paper B5: A4, Letter or A3.']
    """
    faults = [
        f"A drawing has a {name} above nought."
        for name, size in (("width", width_mm), ("height", height_mm))
        if not (math.isfinite(size) and size > 0)
    ]
    if paper not in PAPERS_MM:
        faults.append(f"There is no paper {paper}: A4, Letter or A3.")
    if not 0 <= margin_mm <= 30:
        faults.append(f"The margin of a sheet is 0 to 30 mm, not {margin_mm:g}.")
    if not 5 <= overlap_mm <= 40:
        faults.append(f"Sheets overlap by 5 to 40 mm, not {overlap_mm:g}.")
    return faults


def _window(page_height_mm: float, margin_mm: float) -> float:
    return page_height_mm - 2 * margin_mm - STRIP_MM


def _count(
    width_mm: float,
    height_mm: float,
    page_width_mm: float,
    page_height_mm: float,
    margin_mm: float,
    overlap_mm: float,
) -> tuple[int, int]:
    """Rows and columns of sheets of a page this way round."""
    return (
        _along(height_mm, _window(page_height_mm, margin_mm), overlap_mm),
        _along(width_mm, page_width_mm - 2 * margin_mm, overlap_mm),
    )


def _along(length_mm: float, window_mm: float, overlap_mm: float) -> int:
    """How many windows cover a length; a hair's breadth over does not ask for one more."""
    return max(1, math.ceil((length_mm - overlap_mm) / (window_mm - overlap_mm) - 1e-9))
