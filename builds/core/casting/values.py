"""What the workshop knows of a material: how heavy, how much it shrinks, how long it takes.

Every number that was published has its address beside it; 'common practice' and 'from memory'
are said where they hold. All of them are defaults: the maker's own data sheet overrides them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

COMMON = "common practice, no source"
MEMORY = "from memory"


class Kind(StrEnum):
    """What a material is used for."""

    SCULPT = "sculpt"
    MOULD = "mould"
    CAST = "cast"


class Mark(StrEnum):
    """What closes a material to a person, as the company writes it beside a maker's name."""

    LATEX_ALLERGY = "latex allergy"
    UNDER_18 = "under 18"


@dataclass(frozen=True, slots=True)
class Span:
    """A number with its range, `low <= usual <= high`, and where it is from."""

    usual: float
    low: float
    high: float
    source: str

    def __post_init__(self) -> None:
        if not self.low <= self.usual <= self.high:
            raise ValueError(f"usual is {self.usual}, outside {self.low} to {self.high}")

    @property
    def is_exact(self) -> bool:
        """Whether one number is all that is known."""
        return self.low == self.high


def exactly(value: float, source: str) -> Span:
    """A number without a range.

    >>> exactly(1.05, COMMON).is_exact
    True
    """
    return Span(value, value, value, source)


@dataclass(frozen=True, slots=True)
class Mix:
    """Parts that are stirred together: names with amounts, by weight or by volume.

    `least_g` is the smallest batch that is sensible, 0 where any is. Plaster has `water`: its
    second part is water, so that it is written as parts of water to 100 of plaster.
    """

    names: tuple[str, ...]
    amounts: tuple[float, ...]
    by: str  # 'weight' or 'volume'
    source: str
    least_g: int = 0

    def __post_init__(self) -> None:
        if len(self.names) != len(self.amounts) or len(self.names) < 2:
            raise ValueError(f"names are {self.names} for {len(self.amounts)} amounts")
        if self.by not in ("weight", "volume"):
            raise ValueError(f"by is {self.by!r}, not 'weight' or 'volume'")
        if any(not amount > 0 for amount in self.amounts):
            raise ValueError(f"amounts are {self.amounts}: each must be above nought")


@dataclass(frozen=True, slots=True)
class Times:
    """The clock of a material, whole minutes; None where it has no such time.

    `pot_min` to use it once mixed; `top_up_min` to go on filling as it sinks; `drain_min` from
    pouring until what is left is poured out; `open_min` from draining, or from pouring where
    nothing is drained, until the mould may be opened; `ready_min` from opening until it is hard,
    cured or dry enough to go on with; `rest_min` from one pour into a mould to the next.
    """

    pot_min: int | None = None
    top_up_min: int | None = None
    drain_min: int | None = None
    open_min: int | None = None
    ready_min: int | None = None
    rest_min: int | None = None
    words: str = ""
    source: str = COMMON


@dataclass(frozen=True, slots=True)
class Care:
    """What can hurt somebody, which gloves, and to whom the material is closed."""

    words: str
    gloves: str = ""
    closed_to: frozenset[Mark] = frozenset()


@dataclass(frozen=True, slots=True)
class Material:
    """A material as a maker meets it.

    `density` in g per ml as it is weighed (plaster: the wet mix); `shrinkage` is the share of a
    length lost from mould to finished casting (0.1 is 10 %), below nought where it grows.
    `measured_by` says how it is bought and measured out: 'weight' or 'volume'. `stays` is the
    share of a filling that stays in the mould (1 where all of it does). `life` is how many
    castings a mould of it is good for; `dry_every` after how many castings of it a plaster mould
    is dried for a day; `shell_mm` how thick it is laid or pressed, where it never fills the mould.
    """

    key: str
    name: str
    kind: Kind
    care: Care
    density: Span | None = None
    shrinkage: Span | None = None
    mix: Mix | None = None
    times: Times = Times()
    measured_by: str = "weight"
    stays: float = 1.0
    life: Span | None = None
    wall: str = ""
    temperature: str = ""
    is_slip: bool = False
    dry_every: int | None = None
    shell_mm: float | None = None

    @property
    def sources(self) -> tuple[str, ...]:
        """Where its numbers are from, each once."""
        found = [self.density, self.shrinkage, self.mix, self.times, self.life]
        return tuple(dict.fromkeys(part.source for part in found if part is not None))
