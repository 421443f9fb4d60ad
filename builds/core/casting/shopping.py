"""How much of each material the coming pours, moulds and sculpts take, against the shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Use:
    """One use of a material: what it takes for good, and what must be at hand for it.

    Slip fills a mould whole and most of it is poured back: 860 ml at hand, 215 ml used.
    """

    key: str
    unit: str  # 'g' or 'ml'
    used: float
    at_hand: float

    def __post_init__(self) -> None:
        if not 0 <= self.used <= self.at_hand:
            raise ValueError(f"used is {self.used}, at_hand {self.at_hand}: more is used than held")


@dataclass(frozen=True, slots=True)
class Need:
    """All uses of a material together."""

    key: str
    unit: str
    used: float
    wanted: float
    uses: int


def add_up(uses: Iterable[Use]) -> tuple[Need, ...]:
    """What is wanted of each material: all that is used, and what the largest filling borrows.

    What one pour pours back serves the next, so only the largest loan is added.

    >>> add_up([Use("slip", "ml", 215, 860), Use("slip", "ml", 100, 400)])
    (Need(key='slip', unit='ml', used=315, wanted=960, uses=2),)
    """
    by_material: dict[tuple[str, str], list[Use]] = defaultdict(list)
    for use in uses:
        by_material[use.key, use.unit].append(use)
    return tuple(
        Need(
            key,
            unit,
            sum(use.used for use in group),
            sum(use.used for use in group) + max(use.at_hand - use.used for use in group),
            len(group),
        )
        for (key, unit), group in by_material.items()
    )


def to_buy(need: Need, on_shelf: float) -> float:
    """What is missing, never below nought.

    >>> to_buy(Need("slip", "ml", 315, 960, 2), 700)
    260
    """
    if on_shelf < 0:
        raise ValueError(f"on_shelf is {on_shelf}: it must be 0 or more")
    return max(0, need.wanted - on_shelf)
