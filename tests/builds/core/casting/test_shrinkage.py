"""Sculpting larger: the table of factors, and the trap of adding the percentage."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.casting.materials import find_material
from builds.core.casting.shrinkage import (
    SculptScale,
    sculpt_factor,
    shrinkage_between,
    volume_left,
)

# 1 / (1 - s) and (1 - s)^3, worked out by hand from the definition of linear shrinkage.
FACTORS = [
    (0.002, 1.0020, 0.994),
    (0.01, 1.0101, 0.970),
    (0.02, 1.0204, 0.941),
    (0.05, 1.0526, 0.857),
    (0.10, 1.1111, 0.729),
    (0.12, 1.1364, 0.681),
]

# Linear shrinkage as published, with the address; None where no measured figure was found.
PUBLISHED = [
    ("cast", "neoprene slip", 0.10, "sagecraft.com/puppetry/building/neoprene"),
    ("cast", "paper pulp", 0.10, "simplybible.com/puppetwiz12"),
    ("cast", "plaster", -0.002, "sheffield-pottery.com, sculpt.com catalog_98: it expands"),
    ("mould", "plaster", -0.0021, "sheffield-pottery.com: setting expansion at most 0.21 %"),
    ("mould", "tin silicone", 0.0003, "kb.hairquip.nz StmproX50: below 0.03 % as claimed"),
]


@pytest.mark.parametrize(("share", "factor", "left"), FACTORS)
def test_factor_and_volume_left(share: float, factor: float, left: float) -> None:
    assert sculpt_factor(share) == pytest.approx(factor, abs=0.00005)
    assert volume_left(share) == pytest.approx(left, abs=0.0005)


@pytest.mark.parametrize(("kind", "key", "share", "source"), PUBLISHED)
def test_shrinkage_of_materials_is_the_published_one(
    kind: str, key: str, share: float, source: str
) -> None:
    material = find_material(kind, key)

    assert material is not None
    assert material.shrinkage is not None
    assert material.shrinkage.usual == pytest.approx(share), source


def test_adding_the_percentage_falls_short() -> None:
    # 10 % larger and then 10 % smaller is 0.99 of what was wanted.
    wanted_mm = 200

    assert wanted_mm * 1.10 * 0.90 == pytest.approx(198)
    assert wanted_mm * sculpt_factor(0.10) * 0.90 == pytest.approx(200)


def test_two_hundred_becomes_two_hundred_and_twenty_two() -> None:
    scale = SculptScale(0.10, 0.10, 0.10)

    assert scale.percent == "111.1 %"
    assert scale.sculpt_mm(200) == 222
    assert not scale.is_range


def test_a_range_says_both_ends() -> None:
    scale = SculptScale(0.05, 0.03, 0.10)

    assert scale.is_range
    assert scale.range_mm(200) == (206, 222)


@given(share=st.floats(-0.4, 0.49), wanted_mm=st.floats(1, 2000))
def test_what_was_sculpted_larger_shrinks_to_what_was_wanted(
    share: float, wanted_mm: float
) -> None:
    sculpted_mm = wanted_mm * sculpt_factor(share)

    assert sculpted_mm * (1 - share) == pytest.approx(wanted_mm)
    assert shrinkage_between(sculpted_mm, wanted_mm) == pytest.approx(share, abs=1e-9)


@pytest.mark.parametrize("share", [0.5, 1.0, -0.5, 7])
def test_absurd_shrinkage_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="shrinkage is"):
        sculpt_factor(share)


def test_a_bar_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="lengths above nought"):
        shrinkage_between(0, 95)
