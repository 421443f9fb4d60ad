"""What the shelf of moulds and its pages show: pours to come, a mould's card, the whole shelf."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.casting.life import MoreMoulds, Ready, Wear
from builds.models import Casting, Figure, Mould, PlannedStep, Pour, Step
from builds.queries.in_moulds import InMould
from company.drawing import Knot
from scenes.models import Guise


@dataclass(frozen=True)
class ToPour:
    """A pour still to come: for whom, in which mould, and when the plan has it."""

    pour: Pour
    castings: tuple[Casting, ...]
    step: Step | None
    slip: PlannedStep | None
    ready: Ready

    @property
    def is_free_by_then(self) -> bool:
        """Whether the mould is free now, or dry and rested by the time the plan pours it."""
        if self.ready.is_free:
            return True
        at = self.ready.ready_at
        is_planned_later = self.slip is not None and at is not None and self.slip.start >= at
        return not self.ready.forbidden and is_planned_later

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures that wait for it; none: it is poured in case another fails."""
        return tuple(c.figure for c in self.castings if c.figure is not None)


@dataclass(frozen=True)
class MouldCard:
    """One mould as the shelf shows it."""

    mould: Mould
    title: str
    guises: tuple[Guise, ...]
    made_of: str
    knots: tuple[tuple[str, Knot], ...]
    castings: tuple[Casting, ...]
    drawn: int
    wear: Wear
    ready: Ready
    is_drying: bool
    filled: InMould | None
    pours: tuple[ToPour, ...]
    making: PlannedStep | None
    owed: int
    planned: int
    yield_share: float
    has_record: bool
    more: MoreMoulds
    words: str = ""
    poured: tuple[Pour, ...] = ()

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure that a casting of it is in."""
        return tuple(c.figure for c in self.castings if c.figure is not None)

    @property
    def is_busy(self) -> bool:
        """Whether something is in it, to be poured in it, or still to be done to it."""
        return bool(self.filled or self.pours or self.is_drying or not self.mould.is_made)

    @property
    def may_pour(self) -> bool:
        """Whether a pour can be recorded, if need be with a reason."""
        return not self.ready.forbidden

    @property
    def good(self) -> int:
        """Castings that came out good."""
        return sum(c.result == Casting.Result.GOOD for c in self.castings)


@dataclass(frozen=True)
class Shelf:
    """The page of moulds and pours."""

    cards: tuple[MouldCard, ...]
    resting: tuple[MouldCard, ...]
    retired: tuple[MouldCard, ...]
    filled: tuple[InMould, ...]
    to_pour: tuple[ToPour, ...]
    lying: tuple[Casting, ...]
    costs: tuple[Pour, ...]
    lede: str
    next: ToPour | None
    has_plan: bool

    @property
    def has_moulds(self) -> bool:
        """Whether there is any mould at all."""
        return bool(self.cards or self.resting or self.retired)
