"""The full-size drawing read back from its PDF: places, tiles that meet, scales, pictures."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

import pytest
from PIL import Image

from builds.core.full_size.tiles import CHECK_MM, PAPERS_MM, lay_tiles
from builds.drawing_sheets import drawing_file, drawing_paper
from builds.drawings.full_size import FullSize, lay_full_size, lay_head
from builds.drawings.tiled import LONG_EDGE_MM
from builds.loading.outlines import load_outline
from builds.models import Drawing
from builds.sheets import NothingToPrint
from company.sheet_files import media_address, read_own_file
from scenes.models import Guise
from tests.builds.desk import Desk
from tests.builds.drawings import HOLES, JOINTS, begin, lay_whole, read
from tests.papers import page_picture, read_words, unembedded_fonts
from tests.strokes import Segment, Strokes, near, read_strokes

pytestmark = pytest.mark.django_db

MARGIN_MM = 6.35
WITHIN_MM = 0.2  # what the drawing promises
POINT_ARM_MM = 2.5 * 1.9
JOIN_ARM_MM = 4.0


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def guise(desk: Desk) -> Guise:
    return desk.role("Jory Tarrow", "at sixty", "pilot coat")


@pytest.fixture
def drawing(desk: Desk, guise: Guise) -> Drawing:
    return lay_whole(guise, desk.lead)


def pages_of(drawing: Drawing, paper: str) -> list[Strokes]:
    return read_strokes(drawing_paper(drawing, paper).pdf())


def layout(drawing: Drawing) -> FullSize:
    return lay_full_size(load_outline(drawing))


def wanted_places(full: FullSize) -> dict[str, list[tuple[float, float]]]:
    """Where every hole and joint belongs, in mm from the upper left of the whole drawing.

    Worked out here from the numbers as they were placed: x forward is to the left.
    """
    front, profile = full.front.x, full.profile.x
    places: dict[str, list[tuple[float, float]]] = {}
    for name, (x, y, z) in JOINTS.items():
        level = full.front.floor - y
        places[f"joint {name}"] = [(profile - x, level), (front - z, level), (front + z, level)]
    for name, (_, side, (x, y, z)) in HOLES.items():
        level = full.front.floor - y
        sides = [(front - z, level), (front + z, level)] if side == "pair" else [(front, level)]
        places[f"hole {name}"] = [(profile - x, level), *sides]
    return places


def is_there(at: tuple[float, float], found: list[tuple[float, float]]) -> bool:
    return any(math.dist(at, one) <= WITHIN_MM for one in found)


class TestLongPage:
    def test_every_hole_and_joint_within_two_tenths(self, drawing: Drawing) -> None:
        _, page = pages_of(drawing, "long")
        found = page.crosses(POINT_ARM_MM)
        for name, places in wanted_places(layout(drawing)).items():
            for x, y in places:
                assert is_there((x + LONG_EDGE_MM, y + LONG_EDGE_MM), found), name

    def test_nothing_else_looks_like_a_place(self, drawing: Drawing) -> None:
        _, page = pages_of(drawing, "long")
        wanted = [at for places in wanted_places(layout(drawing)).values() for at in places]
        assert len({(round(x), round(y)) for x, y in page.crosses(POINT_ARM_MM)}) == len(
            {(round(x), round(y)) for x, y in wanted}
        )

    def test_from_floor_to_crown_is_the_height(self, drawing: Drawing) -> None:
        _, page = pages_of(drawing, "long")
        full = layout(drawing)
        measures = [s for s in page.segments if near(s.x1, s.x2) and near(s.length, 600, WITHIN_MM)]
        assert measures
        floor = full.front.floor + LONG_EDGE_MM
        assert any(near(max(s.y1, s.y2), floor, WITHIN_MM) for s in measures)

    def test_the_line_of_balance_is_one_upright_line(self, drawing: Drawing) -> None:
        _, page = pages_of(drawing, "long")
        x = layout(drawing).profile.x + LONG_EDGE_MM
        assert any(
            near(s.x1, x, WITHIN_MM) and near(s.x2, x, WITHIN_MM) and s.length > 600
            for s in page.segments
        )

    def test_the_outline_of_a_part_where_it_was_drawn(self, drawing: Drawing) -> None:
        # The thigh's upper face by hand: its axis runs from (0, 302) to (28, 158), 146.7 long; 26
        # across it to both sides of the upper end is 25.52 along x and 4.96 along y.
        _, page = pages_of(drawing, "long")
        full = layout(drawing)
        ends = []
        for sign in (1, -1):
            x, y = sign * 25.52, 302 + sign * 4.96
            ends.append((full.profile.x - x + LONG_EDGE_MM, full.profile.floor - y + LONG_EDGE_MM))
        assert any(
            is_there((s.x1, s.y1), ends) and is_there((s.x2, s.y2), ends) and s.length > 40
            for s in page.segments
        )

    def test_the_check_line(self, drawing: Drawing) -> None:
        _, page = pages_of(drawing, "long")
        assert has_check_line(page)


def has_check_line(page: Strokes) -> bool:
    return any(near(s.y1, s.y2) and near(s.length, CHECK_MM, 0.05) for s in page.segments)


@pytest.mark.parametrize("paper", ["A4", "Letter", "A3"])
class TestTiles:
    def test_every_place_is_on_some_sheet(self, drawing: Drawing, paper: str) -> None:
        full = layout(drawing)
        tiling = lay_tiles(full.width_mm, full.height_mm, paper)
        pages = pages_of(drawing, paper)[1:]
        assert len(pages) == len(tiling.tiles)
        assert {(round(p.width, 1), round(p.height, 1)) for p in pages} == {
            (tiling.page_width_mm, tiling.page_height_mm)
        }
        assert sorted((tiling.page_width_mm, tiling.page_height_mm)) == sorted(PAPERS_MM[paper])
        edge = tiling.margin_mm
        joined: list[tuple[float, float]] = []
        for tile, page in zip(tiling.tiles, pages, strict=True):
            for x, y in page.crosses(POINT_ARM_MM):
                inside = (
                    edge <= x <= edge + tiling.window_width_mm
                    and edge <= y <= edge + tiling.window_height_mm
                )
                if inside:
                    joined.append((x - edge + tile.left_mm, y - edge + tile.top_mm))
        for name, places in wanted_places(full).items():
            for at in places:
                assert is_there(at, joined), name

    def test_neighbours_have_the_same_crosses(self, drawing: Drawing, paper: str) -> None:
        full = layout(drawing)
        tiling = lay_tiles(full.width_mm, full.height_mm, paper)
        edge = tiling.margin_mm
        right, bottom = edge + tiling.window_width_mm, edge + tiling.window_height_mm
        seen: list[tuple[float, float]] = []
        for tile, page in zip(tiling.tiles, pages_of(drawing, paper)[1:], strict=True):
            for x, y in page.crosses(JOIN_ARM_MM):
                if edge < x < right and edge < y < bottom:
                    seen.append((x - edge + tile.left_mm, y - edge + tile.top_mm))
        for join in tiling.joins:
            for part in (0.25, 0.75):
                at = (
                    join.x1_mm + (join.x2_mm - join.x1_mm) * part,
                    join.y1_mm + (join.y2_mm - join.y1_mm) * part,
                )
                on = [one for one in seen if math.dist(one, at) < 0.02]
                assert len(on) >= 2, "a cross on one sheet alone joins nothing"

    def test_every_sheet_has_its_number_and_check_line(
        self, drawing: Drawing, paper: str, tmp_path: Path
    ) -> None:
        pdf = drawing_paper(drawing, paper).pdf()
        pages = read_strokes(pdf)
        assert all(has_check_line(page) for page in pages[1:])
        assert read_words(pdf).count("This line is 100 mm long") == len(pages) - 1
        assert unembedded_fonts(pdf) == []
        assert margins_are_white(pdf, tmp_path, range(1, len(pages) + 1))


def margins_are_white(pdf: bytes, tmp_path: Path, pages: Iterable[int]) -> bool:
    """Whether nothing is printed on the quarter inch that desk printers leave white."""
    dpi = 60
    edge = int(MARGIN_MM / 25.4 * dpi)
    for number in pages:
        page = Image.open(page_picture(pdf, tmp_path, page=number, dpi=dpi)).convert("L")
        page.paste(255, (edge, edge, page.width - edge, page.height - edge))
        if page.getextrema()[0] < 250:
            return False
    return True


def test_sheets_laid_edge_to_edge_make_the_long_page(drawing: Drawing, tmp_path: Path) -> None:
    """The sheets are made pictures, cut at their joins and laid together: then the eye's test."""
    dpi = 50
    px = dpi / 25.4
    full = layout(drawing)
    tiling = lay_tiles(full.width_mm, full.height_mm, "A4")
    pdf = drawing_paper(drawing, "A4").pdf()
    joined = Image.new("L", (round(full.width_mm * px), round(full.height_mm * px)), 255)
    half = tiling.overlap_mm / 2
    for tile in tiling.tiles:
        page = Image.open(page_picture(pdf, tmp_path, page=tile.number + 1, dpi=dpi)).convert("L")
        left = half if tile.column else 0.0
        top = half if tile.row else 0.0
        edge = tiling.margin_mm
        box = [edge + left, edge + top, edge + tiling.window_width_mm - half * (
            tile.column < tiling.columns - 1), edge + tiling.window_height_mm - half * (
            tile.row < tiling.rows - 1)]  # fmt: skip
        piece = page.crop([round(side * px) for side in box])
        joined.paste(piece, (round((tile.left_mm + left) * px), round((tile.top_mm + top) * px)))
    long_page = Image.open(
        page_picture(drawing_paper(drawing, "long").pdf(), tmp_path, page=2, dpi=dpi)
    ).convert("L")
    at = round(LONG_EDGE_MM * px)
    whole = long_page.crop([at, at, at + joined.width, at + joined.height])
    # What is dark on the one lies within a point or two of something dark on the other.
    dark = whole.point(lambda v: 255 if v < 100 else 0)
    close = joined.point(lambda v: 255 if v < 200 else 0)
    missing = 0
    near_px = 2
    lit = close.load()
    points = [
        (x, y) for y in range(dark.height) for x in range(dark.width) if dark.getpixel((x, y))
    ]
    for x, y in points:
        around = (
            lit[i, j]
            for i in range(max(0, x - near_px), min(close.width, x + near_px + 1))
            for j in range(max(0, y - near_px), min(close.height, y + near_px + 1))
        )
        missing += not any(around)
    assert len(points) > 3000
    assert missing / len(points) < 0.002


class TestHead:
    def test_as_large_as_it_is_sculpted(self, drawing: Drawing) -> None:
        # Ten per cent of shrinkage: 1 / (1 - 0.10) = 1.111; 120 mm from chin to crown are 133.3.
        Drawing.objects.update(head_shrinkage_pct=10)
        again = read(drawing.guise)
        file = drawing_paper(again, "long")
        assert "1:1.111, 120 mm becomes 133 mm (the casting shrinks 10 %)" in read_words(file.pdf())
        _, _, page = read_strokes(file.pdf())
        full = lay_head(load_outline(again), 1 / 0.9)
        assert full is not None
        assert any(near(s.x1, s.x2) and near(s.length, 133.33, WITHIN_MM) for s in page.segments)
        x, y, z = HOLES["head"][2]
        neck = (full.profile.x - 18 / 0.9, full.profile.floor - 486 / 0.9)
        level = full.profile.floor - y / 0.9
        for at in (
            neck,
            (full.profile.x - x / 0.9, level),
            (full.front.x - z / 0.9, level),
            (full.front.x + z / 0.9, level),
        ):
            moved = (at[0] + LONG_EDGE_MM, at[1] + LONG_EDGE_MM)
            assert is_there(moved, page.crosses(POINT_ARM_MM))

    def test_nothing_said_of_shrinkage_is_no_second_drawing(self, drawing: Drawing) -> None:
        assert len(pages_of(drawing, "long")) == 2
        Drawing.objects.update(head_shrinkage_pct=0)
        assert len(pages_of(read(drawing.guise), "long")) == 2

    def test_without_a_neck_it_says_what_to_place(self, desk: Desk, guise: Guise) -> None:
        begin(guise, desk.lead)
        Drawing.objects.update(head_shrinkage_pct=Decimal("10"))
        words = read_words(drawing_paper(read(guise), "A4").pdf())
        assert "place the neck joint" in words


class TestPhoto:
    def test_at_true_scale_under_the_profile(self, desk: Desk, guise: Guise) -> None:
        # 800 by 1400 points at half a mm each; the foot of the line is at (500, 1300).
        drawing = lay_whole(guise, desk.lead, with_photo=True)
        _, page = pages_of(drawing, "long")
        full = layout_with_photo(drawing)
        left, top = full.profile.x - 250, full.profile.floor - 650
        (corners,) = page.pictures
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        assert min(xs) == pytest.approx(left + LONG_EDGE_MM, abs=WITHIN_MM)
        assert min(ys) == pytest.approx(top + LONG_EDGE_MM, abs=WITHIN_MM)
        assert max(xs) - min(xs) == pytest.approx(400, abs=WITHIN_MM)
        assert max(ys) - min(ys) == pytest.approx(700, abs=WITHIN_MM)

    def test_every_sheet_shares_the_one_picture(self, desk: Desk, guise: Guise) -> None:
        drawing = lay_whole(guise, desk.lead, with_photo=True)
        bare = drawing_paper(drawing, "A4", with_photo=False).pdf()
        with_it = drawing_paper(drawing, "A4").pdf()
        assert sum(len(page.pictures) for page in read_strokes(bare)) == 0
        assert sum(len(page.pictures) for page in read_strokes(with_it)) > 4
        assert len(with_it) < len(bare) + 3 * 40_000


def test_a_photo_is_printed_with_every_point_it_has(desk: Desk, guise: Guise) -> None:
    drawing = lay_whole(guise, desk.lead, with_photo=True)
    address = media_address(drawing.pictures.get().file.name)
    whole, small = (read_own_file(one) for one in (f"{address}?whole", address))
    assert whole is not None
    assert small is not None
    sizes = [max(Image.open(io.BytesIO(data)).size) for data, _ in (whole, small)]
    assert sizes == [1400, 1000]


def layout_with_photo(drawing: Drawing) -> FullSize:
    return lay_full_size(load_outline(drawing, lambda picture: "photo"))


class TestWhatCannotBePrinted:
    def test_a_giant_on_small_paper(self, desk: Desk, guise: Guise) -> None:
        begin(guise, desk.lead)
        Drawing.objects.update(height_mm=4990)
        with pytest.raises(NothingToPrint, match=r"sheets of A4, more than 120"):
            drawing_paper(read(guise), "A4")
        with pytest.raises(NothingToPrint, match="at most 5 m long"):
            drawing_paper(read(guise), "long")

    def test_names_of_files(self, guise: Guise) -> None:
        assert drawing_file(guise) == f"drawing-jory-tarrow-at-sixty-{guise.pk}.pdf"


def test_long_names_stay_on_the_paper(desk: Desk, tmp_path: Path) -> None:
    long = "Wolfeschlegelsteinhausenbergerdorffshire"
    guise = desk.role(long, f"at {long[:36]}", "coat")
    pdf = drawing_paper(lay_whole(guise, desk.lead), "Letter").pdf()
    pages = len(read_strokes(pdf))
    assert margins_are_white(pdf, tmp_path, (1, 2, pages))


def test_strokes_read_a_known_page() -> None:
    """The reader itself, on a page written by hand: 72 points are an inch."""
    from pypdf import PdfWriter
    from pypdf.generic import DecodedStreamObject, DictionaryObject, NameObject

    writer = PdfWriter()
    page = writer.add_blank_page(width=200, height=100)
    stream = DecodedStreamObject()
    stream.set_data(b"q 2 0 0 2 10 20 cm 1 1 m 37 1 l S Q 0 0 m 0 72 l S")
    page[NameObject("/Contents")] = writer._add_object(stream)
    page[NameObject("/Resources")] = DictionaryObject()
    out = io.BytesIO()
    writer.write(out)
    (read_page,) = read_strokes(out.getvalue())
    # (1, 1) and (37, 1) under the matrix are (12, 22) and (84, 22): an inch apart.
    first, second = read_page.segments
    assert first.length == pytest.approx(25.4)
    assert (first.x1, first.y1) == pytest.approx((12 * 25.4 / 72, 78 * 25.4 / 72))
    assert second == Segment(0, pytest.approx(100 * 25.4 / 72), 0, pytest.approx(28 * 25.4 / 72))
