"""Cutting a drawing into sheets: nothing lost between them, marks that meet, as few as can be."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.tiles import (
    MOST_TILES,
    OVERLAP_MM,
    PAPERS_MM,
    CannotTile,
    Tiling,
    find_tile_faults,
    lay_tiles,
)

SIZES = st.floats(10, 1500)
ANY_PAPER = st.sampled_from(sorted(PAPERS_MM))


def test_papers_are_the_standards() -> None:
    # ISO 216:2007, table 1; ANSI/ASME Y14.1: A is 8.5 by 11 inches.
    assert PAPERS_MM["A4"] == (210, 297)
    assert PAPERS_MM["A3"] == (297, 420)
    assert PAPERS_MM["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_by_hand() -> None:
    # A4 upright: 210 - 2 x 8 = 194 wide, 297 - 2 x 8 - 12 = 269 high; each sheet adds that less
    # 16. 500 wide: (500 - 16) / 178 = 2.7, 3 columns; 700 high: (700 - 16) / 253 = 2.7, 3 rows.
    # Lying: 281 and 182: (500 - 16) / 265 = 1.8, 2 columns; (700 - 16) / 166 = 4.1, 5 rows: 10.
    tiling = lay_tiles(500, 700, "A4")
    assert (tiling.rows, tiling.columns, tiling.is_landscape) == (3, 3, False)
    assert [(t.number, t.row, t.column) for t in tiling.tiles][3:6] == [
        (4, 1, 0),
        (5, 1, 1),
        (6, 1, 2),
    ]
    assert (tiling.tiles[4].left_mm, tiling.tiles[4].top_mm) == (178, 253)


def test_on_its_side_where_that_takes_fewer() -> None:
    tiling = lay_tiles(280, 150, "A4")
    assert (tiling.is_landscape, len(tiling.tiles)) == (True, 1)
    assert tiling.joins == ()


def covers(tiling: Tiling, width: float, height: float) -> bool:
    """Whether every place lies in some window, with the overlap kept between neighbours."""
    right = tiling.lefts[-1] + tiling.window_width_mm
    bottom = tiling.tops[-1] + tiling.window_height_mm
    steps = [
        one + size - other
        for edges, size in (
            (tiling.lefts, tiling.window_width_mm),
            (tiling.tops, tiling.window_height_mm),
        )
        for one, other in pairwise(edges)
    ]
    return (
        right >= width - 1e-6
        and bottom >= height - 1e-6
        and all(step == pytest.approx(tiling.overlap_mm) for step in steps)
    )


@given(width=SIZES, height=SIZES, paper=ANY_PAPER, overlap=st.floats(5, 40))
def test_nothing_falls_between_two_sheets(
    width: float, height: float, paper: str, overlap: float
) -> None:
    tiling = lay_tiles(width, height, paper, overlap_mm=overlap)
    assert covers(tiling, width, height)
    assert [tile.number for tile in tiling.tiles] == list(range(1, len(tiling.tiles) + 1))


@given(width=SIZES, height=SIZES, paper=ANY_PAPER)
def test_one_sheet_fewer_would_not_do(width: float, height: float, paper: str) -> None:
    tiling = lay_tiles(width, height, paper)
    if tiling.columns > 1:
        assert tiling.lefts[-2] + tiling.window_width_mm < width
    if tiling.rows > 1:
        assert tiling.tops[-2] + tiling.window_height_mm < height


@given(width=SIZES, height=SIZES, paper=ANY_PAPER)
def test_every_join_is_seen_on_both_its_sheets(width: float, height: float, paper: str) -> None:
    tiling = lay_tiles(width, height, paper)
    expected = (tiling.columns - 1) * tiling.rows + (tiling.rows - 1) * tiling.columns
    assert len(tiling.joins) == expected
    for join in tiling.joins:
        middle = ((join.x1_mm + join.x2_mm) / 2, (join.y1_mm + join.y2_mm) / 2)
        seen = [
            tile
            for tile in tiling.tiles
            if tile.left_mm <= middle[0] <= tile.left_mm + tiling.window_width_mm
            and tile.top_mm <= middle[1] <= tile.top_mm + tiling.window_height_mm
        ]
        assert len(seen) >= 2


@given(width=SIZES, height=SIZES)
def test_larger_paper_never_takes_more(width: float, height: float) -> None:
    assert len(lay_tiles(width, height, "A3").tiles) <= len(lay_tiles(width, height, "A4").tiles)


class TestRefused:
    def test_all_at_once(self) -> None:
        assert find_tile_faults(0, math.nan, "B5", -1, 50) == [
            "A drawing has a width above nought.",
            "A drawing has a height above nought.",
            "There is no paper B5: A4, Letter or A3.",
            "The margin of a sheet is 0 to 30 mm, not -1.",
            "Sheets overlap by 5 to 40 mm, not 50.",
        ]
        with pytest.raises(CannotTile, match=r"width above nought.*no paper B5"):
            lay_tiles(-1, 500, "B5")

    def test_more_sheets_than_anybody_joins(self) -> None:
        with pytest.raises(CannotTile, match=f"more than {MOST_TILES}"):
            lay_tiles(5000, 5000, "A4")


def test_a_hairs_breadth_takes_no_further_sheet() -> None:
    window = 210 - 16
    assert lay_tiles(window + 1e-12, 100, "A4", overlap_mm=OVERLAP_MM).columns == 1
