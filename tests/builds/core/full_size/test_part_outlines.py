"""Outlines of parts: an ellipse is one, a taper keeps its widths, a pair has its side."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.full_size.part_outlines import PartShape, front_polygon, profile_polygon

ENDS = st.tuples(st.floats(-300, 300), st.floats(0, 600))


def area(points: tuple[tuple[float, float], ...]) -> float:
    """The area inside, by the surveyor's formula."""
    pairs = zip(points, (*points[1:], points[0]), strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


@given(top=ENDS, bottom=ENDS, depth=st.floats(5, 200))
def test_an_ellipse_has_the_area_of_one(
    top: tuple[float, float], bottom: tuple[float, float], depth: float
) -> None:
    length = math.dist(top, bottom)
    polygon = profile_polygon(PartShape("ellipsoid", top, bottom, 10, depth))
    if length > 5:
        # A polygon of 96 corners inside an ellipse has sin(3.75 deg) / (3.75 deg) of its area.
        assert area(polygon) == pytest.approx(math.pi * length * depth / 4, rel=0.001)
        assert math.dist(polygon[0], top) == pytest.approx(0, abs=1e-9)
        assert math.dist(polygon[48], bottom) == pytest.approx(0, abs=1e-6)


@given(top=ENDS, bottom=ENDS, depth=st.floats(5, 200), low=st.floats(5, 200))
def test_a_taper_has_the_area_of_a_trapezium(
    top: tuple[float, float], bottom: tuple[float, float], depth: float, low: float
) -> None:
    polygon = profile_polygon(PartShape("taper", top, bottom, 10, depth, None, low))
    if math.dist(top, bottom) > 1:
        assert area(polygon) == pytest.approx(math.dist(top, bottom) * (depth + low) / 2, rel=1e-6)


def test_a_lower_width_left_blank_is_like_the_upper() -> None:
    part = PartShape("taper", (0, 100), (0, 0), 40, 30)
    assert profile_polygon(part) == ((-15, 100), (15, 100), (15, 0), (-15, 0))
    assert front_polygon(part) == ((-20, 100), (20, 100), (20, 0), (-20, 0))


def test_a_drawn_outline_is_taken_as_drawn() -> None:
    drawn = ((0.0, 10.0), (20.0, 90.0), (-20.0, 80.0))
    part = PartShape("outline", (0, 100), (0, 0), 40, 30, outline=drawn, z_top=60, z_bottom=60)
    assert profile_polygon(part) == drawn
    assert front_polygon(part) == ((40, 100), (80, 100), (80, 0), (40, 0))


def test_a_foot_shows_its_end_from_the_front() -> None:
    foot = PartShape("taper", (-20, 12), (60, 12), 30, 24, 26, 10, z_top=40, z_bottom=40)
    assert front_polygon(foot) == ((25, 24), (55, 24), (55, 0), (25, 0))


def test_ends_at_one_point_make_no_outline() -> None:
    assert profile_polygon(PartShape("taper", (3, 4), (3, 4), 40, 30)) == ((3, 4),)
