"""Volumes and centres against closed forms and against cutting into thin slices."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.statics.parts import DrawnPart, profile_of, soles_of, weigh_part
from builds.core.statics.shapes import ellipsoid, outline, polygon, taper
from builds.core.statics.woods import (
    MATERIALS,
    METALS_KG_M3,
    density_of,
    metal_volume_cm3,
    wood_density,
)

sizes = st.floats(5, 200)


def test_ball_and_cone_have_their_textbook_volumes():
    # Textbook geometry: 4/3 pi r^3, and a third of the cylinder with its centre at a quarter.
    assert ellipsoid(60, 60, 60).volume_mm3 == pytest.approx(4 / 3 * math.pi * 30**3)
    cone = taper(80, (50, 50), (0, 0))
    assert cone.volume_mm3 == pytest.approx(math.pi * 25**2 * 80 / 3)
    assert cone.centre_mm == pytest.approx(20)


def test_frustum_agrees_with_the_handbook_formula():
    # Frustum of a cone: V = pi h / 3 (R^2 + R r + r^2), centre h (R^2 + 2 R r + 3 r^2) /
    # (4 (R^2 + R r + r^2)) from the wide end (Beyer, CRC Standard Mathematical Tables).
    length, wide, narrow = 120.0, 30.0, 18.0
    body = taper(length, (2 * wide, 2 * wide), (2 * narrow, 2 * narrow))
    squares = wide**2 + wide * narrow + narrow**2
    assert body.volume_mm3 == pytest.approx(math.pi * length / 3 * squares)
    centre = length * (wide**2 + 2 * wide * narrow + 3 * narrow**2) / (4 * squares)
    assert body.centre_mm == pytest.approx(centre)


@given(length=sizes, w0=sizes, d0=sizes, w1=sizes, d1=sizes)
def test_taper_agrees_with_thin_slices(length, w0, d0, w1, d1):
    at = (np.arange(4000) + 0.5) / 4000
    area = math.pi / 4 * (w0 + (w1 - w0) * at) * (d0 + (d1 - d0) * at)
    body = taper(length, (w0, d0), (w1, d1))
    assert body.volume_mm3 == pytest.approx(float(area.mean()) * length, rel=1e-6)
    centre = float((area * at).sum() / area.sum()) * length
    assert body.centre_mm == pytest.approx(centre, rel=1e-6)


@given(sizes, sizes, sizes, st.floats(0.5, 90))
def test_shell_never_weighs_more_than_the_solid(length, width, depth, wall):
    solid = ellipsoid(length, width, depth)
    shell = ellipsoid(length, width, depth, wall)
    assert 0 < shell.volume_mm3 <= solid.volume_mm3
    shelled = taper(length, (width, depth), (depth, width), wall)
    assert 0 < shelled.volume_mm3 <= taper(length, (width, depth), (depth, width)).volume_mm3
    assert 0 < shelled.centre_mm < length


def test_thin_shell_is_surface_times_wall():
    # Sphere: 4 pi r^2 t for a thin wall.
    assert ellipsoid(92, 92, 92, 0.1).volume_mm3 == pytest.approx(
        4 * math.pi * 46**2 * 0.1, rel=0.005
    )


@given(st.floats(-300, 300), st.floats(-300, 300), st.booleans())
def test_outline_does_not_mind_where_it_lies_or_which_way_round(x, y, is_reversed):
    corner = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 80), (0, 80)]
    moved = [(px + x, py + y) for px, py in corner]
    area, centre = polygon(moved[::-1] if is_reversed else moved)
    # An L of 60 x 20 and 20 x 60: areas and moments by hand.
    assert area == pytest.approx(2400)
    assert centre[0] - x == pytest.approx((1200 * 30 + 1200 * 10) / 2400)
    assert centre[1] - y == pytest.approx((1200 * 10 + 1200 * 50) / 2400)


def test_outline_shell_stays_below_the_solid_and_refuses_nothing_enclosed():
    square = [(0, 0), (50, 0), (50, 50), (0, 50)]
    solid, _ = outline(square, 40, 0.8)
    assert outline(square, 40, 0.8, 2)[0] < solid == outline(square, 40, 0.8, 40)[0]
    with pytest.raises(ValueError, match="encloses nothing"):
        outline([(0, 0), (10, 0), (20, 0)], 40)


@pytest.mark.parametrize("call", [
    lambda: ellipsoid(0, 10, 10),
    lambda: taper(-1, (10, 10), (10, 10)),
    lambda: ellipsoid(10, 10, float("nan")),
    lambda: ellipsoid(10, 10, 10, 0),
])  # fmt: skip
def test_sizes_of_nought_are_refused_by_name(call):
    with pytest.raises(ValueError, match="more than nought"):
        call()


@pytest.mark.parametrize(("gravity", "density"), [
    # Forest Products Laboratory, Wood Handbook (FPL-GTR-190, 2010), table 5-3b, as excerpted:
    # basswood 0.37, paper birch 0.55, yellow birch 0.62, quaking aspen 0.38, cottonwood 0.35.
    (0.37, 414), (0.55, 616), (0.62, 694), (0.38, 426), (0.35, 392),
])  # fmt: skip
def test_wood_handbook_gravity_makes_the_published_density(gravity, density):
    assert round(wood_density(gravity)) == density


def test_densities_are_the_published_ones():
    assert density_of("lime") == 535  # timbex.net, linden timber
    assert density_of("basswood") == 414  # advantagelumber.com trades it as 415
    assert density_of("spruce") == 450  # simetric.co.uk, density of wood
    assert METALS_KG_M3["lead"] == 11340  # simetric.co.uk and wermac.org, density of metals
    # The room that 20 g takes, cm3: brass 2.35, mild steel 2.55, lead 1.76 (by division).
    assert [round(metal_volume_cm3(20, m), 2) for m in ("brass", "steel", "lead")] == [
        2.35, 2.55, 1.76,
    ]  # fmt: skip
    assert all(row.source and row.density_kg_m3 > 100 for row in MATERIALS.values())


def test_lime_block_weighs_what_its_volume_says():
    # 100 x 40 x 30 mm of lime at 535 kg/m3 is 64.2 g; 12 g of hooks are fixed in it.
    block = DrawnPart(
        "torso", "outline", (0, 100), (0, 0), 40, 30, fullness=1, hardware_g=12,
        outline=((0, 0), (30, 0), (30, 100), (0, 100)),
    )  # fmt: skip
    piece = weigh_part(block)
    assert (round(piece.mass_g, 1), piece.x_mm, piece.y_mm) == (76.2, 15, 50)


def test_pair_of_thighs_is_reckoned_once_and_counted_twice():
    thigh = weigh_part(DrawnPart("thigh", "taper", (0, 300), (20, 160), 50, 50, 40, 40))
    assert thigh.count == 2
    assert 160 < thigh.y_mm < 300


def test_soles_are_the_two_lowest_corners():
    foot = DrawnPart("foot", "outline", (-20, 10), (70, 8), 30, 20,
                     outline=((-25, 0), (72, 1), (60, 20), (-15, 32)))  # fmt: skip
    assert soles_of(foot) == ((-25, 0), (72, 1))
    assert len(profile_of(DrawnPart("head", "ellipsoid", (0, 560), (0, 470), 70, 80))) == 24
