"""Castings come out smaller than they were sculpted: by how much larger to sculpt."""

from __future__ import annotations

from dataclasses import dataclass

MOST = 0.5  # a share no casting material reaches: beyond it somebody typed a wrong number


@dataclass(frozen=True, slots=True)
class SculptScale:
    """How much larger to sculpt, with the range that an uncertain shrinkage leaves.

    Shares of a length: 0.1 is 10 %.
    """

    shrinkage: float
    low: float
    high: float

    @property
    def factor(self) -> float:
        """The wanted size times this is the size to sculpt."""
        return sculpt_factor(self.shrinkage)

    @property
    def is_range(self) -> bool:
        """Whether the shrinkage is known only as a range."""
        return self.low != self.high

    @property
    def percent(self) -> str:
        """'111.1 %'."""
        return f"{self.factor * 100:.1f} %"

    def sculpt_mm(self, wanted_mm: float) -> int:
        """The size to sculpt for a wanted size, to the nearest millimetre."""
        return round_half_up(wanted_mm * self.factor)

    def range_mm(self, wanted_mm: float) -> tuple[int, int]:
        """What a wanted size would have to be sculpted at by the least and greatest shrinkage."""
        return (
            round_half_up(wanted_mm * sculpt_factor(self.low)),
            round_half_up(wanted_mm * sculpt_factor(self.high)),
        )


def sculpt_factor(shrinkage: float) -> float:
    """1 / (1 - s), for a shrinkage s as a share of the sculpted length.

    Making the sculpt larger by the percentage itself falls short: 10 % more shrinks to 99 %.
    Below nought for what grows. Raises ValueError outside -0.5 to 0.5. By the definition of s.

    >>> round(sculpt_factor(0.10), 4), sculpt_factor(0)
    (1.1111, 1.0)
    """
    if not -MOST < shrinkage < MOST:
        raise ValueError(f"shrinkage is {shrinkage}, outside -{MOST} to {MOST} of a length")
    return 1 / (1 - shrinkage)


def volume_left(shrinkage: float) -> float:
    """(1 - s)^3: the share of the sculpt's volume that the casting has.

    >>> round(volume_left(0.10), 3)
    0.729
    """
    sculpt_factor(shrinkage)  # the same limits
    return (1 - shrinkage) ** 3


def shrinkage_between(sculpted_mm: float, came_out_mm: float) -> float:
    """The shrinkage that a trial bar shows: sculpted length against what came out.

    >>> round(shrinkage_between(100, 95), 3)
    0.05
    """
    if not (sculpted_mm > 0 and came_out_mm > 0):
        raise ValueError(
            f"sculpted_mm is {sculpted_mm} and came_out_mm {came_out_mm}: lengths above nought"
        )
    share = 1 - came_out_mm / sculpted_mm
    sculpt_factor(share)
    return share


def round_half_up(value: float) -> int:
    """To the nearest whole number, halves up.

    >>> round_half_up(222.2), round_half_up(2.5)
    (222, 3)
    """
    return int(value + 0.5)
