"""The figure drawn from plain values: views, marks, names beside it, and the pins of placing."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.picture_scale import PictureScale
from builds.drawings.figure_outline import (
    FigureOutline,
    OutlinePart,
    OutlinePicture,
    OutlinePoint,
    Pen,
    draw_front,
    draw_profile,
    draw_thumbnail,
    thumbnail_pen,
)
from builds.drawings.full_size import draw_full_size, lay_full_size, lay_head
from builds.drawings.outline_labels import Label, spread_labels
from builds.drawings.placing import Pin, PlacingView, draw_placing, place_of, to_units

SVG = "{http://www.w3.org/2000/svg}"
TORSO = OutlinePart(
    "torso", ((-30, 480), (30, 480), (30, 300), (-30, 300)), ((-60, 480), (60, 300))
)
THIGH = OutlinePart(
    "thigh", ((0, 300), (28, 160)), ((20, 300), (60, 160)), True, ((7, 265), (21, 195))
)
POINTS = (
    OutlinePoint("shoulder", 0, 478, 60, is_hole=True, side="pair", is_key=True),
    OutlinePoint("back", -52, 380, 0, is_hole=True),
    OutlinePoint("knee", 28, 160, 42, side="pair"),
    OutlinePoint("nose", 80, 540, 12, is_hole=True, side="left"),
)
FIGURE = FigureOutline(600, (TORSO, THIGH), POINTS)


def parse(markup: str) -> ElementTree.Element:
    return ElementTree.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{markup}</svg>')


def rings(markup: str) -> list[tuple[float, float]]:
    """Centres of the marks, from the outermost ring of each."""
    places = []
    for group in parse(markup).iter(f"{SVG}g"):
        if (group.get("class") or "").startswith(("outline-hole", "outline-joint")):
            ring = group.find(f"{SVG}circle")
            assert ring is not None
            places.append((float(ring.get("cx", "")), float(ring.get("cy", ""))))
    return places


class TestViews:
    def test_a_profile_that_faces_left(self) -> None:
        assert rings(draw_profile(FIGURE, Pen(x=200, floor=700))) == [
            (200, 222),
            (252, 320),
            (172, 540),
            (120, 160),
        ]

    def test_a_profile_that_faces_right(self) -> None:
        turned = FigureOutline(600, (), POINTS, faces_left=False)
        assert rings(draw_profile(turned, Pen(x=200, floor=700)))[2] == (228, 540)

    def test_both_sides_of_a_pair_and_one_of_a_lone_hole(self) -> None:
        # The figure faces us: a hole on its left is on our right.
        assert rings(draw_front(FIGURE, Pen(x=200, floor=700))) == [
            (140, 222),
            (260, 222),
            (200, 320),
            (158, 540),
            (242, 540),
            (212, 160),
        ]

    def test_parts_of_a_pair_twice_from_the_front_and_once_in_profile(self) -> None:
        assert draw_front(FIGURE, Pen()).count("part-thigh") == 2
        assert draw_profile(FIGURE, Pen()).count("part-thigh") == 1
        assert draw_front(FIGURE, Pen()).count("part-torso") == 1

    @given(scale=st.floats(0.1, 3), x=st.floats(-200, 200), floor=st.floats(0, 2000))
    def test_a_pen_moves_and_scales_everything_alike(
        self, scale: float, x: float, floor: float
    ) -> None:
        plain = rings(draw_profile(FIGURE, Pen()))
        moved = rings(draw_profile(FIGURE, Pen(x=x, floor=floor, scale=scale)))
        for (px, py), (mx, my) in zip(plain, moved, strict=True):
            assert (mx, my) == pytest.approx((x + scale * px, floor + scale * py), abs=0.011)

    def test_grain_where_it_is_said(self) -> None:
        assert draw_profile(FIGURE, Pen()).count("outline-grain") == 1


class TestThumbnail:
    def test_says_what_it_shows_and_how_tall(self) -> None:
        drawn = draw_thumbnail(FIGURE, ident="j4", title="Jory at sixty as he is drawn")
        assert "<title" in drawn
        assert "Jory at sixty as he is drawn" in drawn
        assert "600 mm" in drawn
        assert "shoulder hole" in drawn
        assert "style=" not in drawn

    def test_what_lies_over_it_uses_its_pen(self) -> None:
        pen = thumbnail_pen(FIGURE, 520)
        drawn = draw_thumbnail(FIGURE, ident="j4", title="x")
        profile = drawn[drawn.index("outline-profile") :]
        x, y = pen.profile(28, 160)
        assert f'cx="{x:.2f}'.rstrip("0").rstrip(".") in profile
        assert f'cy="{y:.2f}'.rstrip("0").rstrip(".") in profile

    def test_points_alone_and_nothing_at_all(self) -> None:
        for figure in (FigureOutline(600, (), POINTS), FigureOutline(600)):
            ElementTree.fromstring(draw_thumbnail(figure, ident="j4", title="x"))

    def test_names_that_are_markup(self) -> None:
        odd = FigureOutline(600, (), (OutlinePoint("<b>&", 0, 300, is_hole=True),))
        assert "<b>" not in draw_thumbnail(odd, ident="j4", title="<i>")


class TestLabels:
    @given(st.lists(st.floats(0, 500), max_size=20))
    def test_none_lies_on_another_and_order_is_kept(self, places: list[float]) -> None:
        labels = [Label(f"{n}", 0, at, 10) for n, at in enumerate(places)]
        spread = spread_labels(labels, 12, low=0, high=600)
        for one, two in pairwise(spread):
            assert two.y - one.y >= 12 - 1e-6
            assert one.at_y <= two.at_y

    @given(st.lists(st.integers(0, 40), min_size=1, max_size=12, unique=True))
    def test_where_there_is_room_each_stands_at_its_place(self, places: list[int]) -> None:
        labels = [Label("", 0, 12.0 * n, 10) for n in places]
        for label in spread_labels(labels, 12, low=0, high=600):
            assert label.y == pytest.approx(label.at_y)

    def test_two_that_press_on_each_other_share_it(self) -> None:
        spread = spread_labels([Label("a", 0, 100, 0), Label("b", 0, 104, 0)], 12, low=0, high=300)
        assert [label.y for label in spread] == [96, 108]


class TestFullSize:
    def test_views_do_not_touch(self) -> None:
        full = lay_full_size(FIGURE)
        assert full.front.x + 60 < full.profile.x - 80
        assert full.factor == 1
        assert full.height_mm > 600

    def test_a_photo_is_let_in_by_so_much_and_no_more(self) -> None:
        photo = OutlinePicture("profile", "x", 4000, 2000, (0.5, 0, 0, 0.5, -1000, -800))
        plain = lay_full_size(FIGURE)
        with_it = lay_full_size(FigureOutline(600, FIGURE.parts, POINTS, (photo,)))
        assert with_it.width_mm - plain.width_mm == pytest.approx(60)

    @pytest.mark.parametrize("factor", [0.4, 2.1])
    def test_a_head_of_no_such_scale(self, factor: float) -> None:
        with pytest.raises(ValueError, match="outside 0.5 to 2"):
            lay_head(FIGURE, factor)

    def test_no_head_without_a_neck(self) -> None:
        assert lay_head(FIGURE, 1.1) is None

    def test_places_to_a_hundredth_of_a_millimetre(self) -> None:
        odd = FigureOutline(600, (), (OutlinePoint("knee", 27.3, 160.7, 42.1, side="pair"),))
        full = lay_full_size(odd)
        (found,) = rings(draw_profile(odd, full.profile))
        assert found == pytest.approx(
            (full.profile.x - 27.3, full.profile.floor - 160.7), abs=0.006
        )
        assert "NaN" not in draw_full_size(full, "d")


class TestPlacing:
    SCALE = PictureScale(0.5, (500.0, 1300.0), (0.0, -1.0), -1)

    def view(self, **more: object) -> PlacingView:
        pins = (
            Pin("joint-knee", "knee", "joint", (28, 160), True),
            Pin("profile-mark_a", "first mark", "mark", (100, 100)),
            Pin("joint-hip", "hip", "joint"),
        )
        return PlacingView(**{"view": "profile", "outline": FIGURE, "pins": pins, **more})  # type: ignore[arg-type]

    def pins(self, drawn: str) -> dict[str, tuple[str | None, str | None]]:
        return {
            group.get("data-pin", ""): (group.get("transform"), group.get("display"))
            for group in ElementTree.fromstring(drawn).iter(f"{SVG}g")
            if group.get("data-pin")
        }

    def test_over_a_photo(self) -> None:
        drawn = draw_placing(
            self.view(href="/p/", size_px=(800, 1400), scale=self.SCALE), title="Profile"
        )
        pins = self.pins(drawn)
        assert (pins["joint-knee"][0] or "").startswith("translate(444 980)")
        assert (pins["profile-mark_a"][0] or "").startswith("translate(100 100)")
        assert pins["joint-hip"] == (None, "none")
        assert 'href="/p/"' in drawn

    def test_over_a_photo_without_a_scale_only_marks_are_seen(self) -> None:
        pins = self.pins(draw_placing(self.view(href="/p/", size_px=(800, 1400)), title="Profile"))
        assert pins["joint-knee"] == (None, "none")
        assert (pins["profile-mark_a"][0] or "").startswith("translate(100 100)")

    def test_on_blank_paper_a_unit_is_a_millimetre(self) -> None:
        pins = self.pins(draw_placing(self.view(), title="Profile"))
        assert (pins["joint-knee"][0] or "").startswith("translate(-28 -160)")

    def test_the_other_side_of_a_pair_follows_in_the_front_view(self) -> None:
        drawn = draw_placing(self.view(view="front"), title="Front")
        assert re.search(r'data-twin="joint-knee" transform="translate\(-28 -160\)', drawn)

    def test_no_inline_style(self) -> None:
        assert "style=" not in draw_placing(self.view(), title="Profile")

    @given(
        x=st.floats(-300, 300),
        y=st.floats(-50, 650),
        up=st.floats(-0.5, 0.5),
        mm=st.floats(0.1, 2),
        across=st.sampled_from((-1, 1)),
    )
    def test_what_is_measured_and_the_pins_fall_together(
        self, x: float, y: float, up: float, mm: float, across: int
    ) -> None:
        """The group in mm and the pins over it reach the photo by two ways."""
        scale = PictureScale(mm, (512.5, 1301.0), (up, -((1 - up * up) ** 0.5)), across)
        at = place_of(Pin("joint-knee", "knee", "joint", (x, y)), scale)
        numbers = re.findall(r"-?[\d.]+(?:e-?\d+)?", to_units(scale))
        a, b, c, d, e, f = (float(n) for n in numbers)
        seen = (x * across, -y)
        through = (a * seen[0] + c * seen[1] + e, b * seen[0] + d * seen[1] + f)
        assert at is not None
        assert through == pytest.approx(at, abs=0.05)
