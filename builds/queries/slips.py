"""What stands on one slip of the wall: the steps of one person's day, with what may be set."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from builds.loading import may_do
from builds.models import Plan, PlannedStep, Step
from builds.queries.pieces import Piece, read_pieces
from company.models import Maker
from company.queries import makers_of
from scenes.models import Show


@dataclass(frozen=True, slots=True)
class SlipStep:
    """A step on the slip: when on that day, and who else could do it."""

    step: Step
    row: PlannedStep
    start: datetime
    finish: datetime
    minutes: int
    able: tuple[Maker, ...]

    @property
    def is_open(self) -> bool:
        """Whether its person and day can still be chosen."""
        return self.step.begun_at is None


@dataclass(frozen=True, slots=True)
class DaySlip:
    """One person's day."""

    maker: Maker
    day: date
    steps: tuple[SlipStep, ...]

    @property
    def minutes(self) -> int:
        """Work planned on it."""
        return sum(step.minutes for step in self.steps)


def read_slip(show: Show, plan: Plan, maker: Maker, day: date) -> DaySlip:
    """What the maker does on the day, in the order of work. A flat number of queries."""
    read = read_pieces(show, plan, day, day)
    found: dict[int, list[Piece]] = {}
    for piece in sorted(read.pieces, key=lambda piece: piece.start):
        if maker.pk in (piece.row.maker_id, piece.row.second_id):
            found.setdefault(piece.row.step_id, []).append(piece)
    makers = makers_of(show.company)
    return DaySlip(maker, day, tuple(_slip_step(parts, makers) for parts in found.values()))


def _slip_step(parts: list[Piece], makers: list[Maker]) -> SlipStep:
    row = parts[0].row
    return SlipStep(
        row.step,
        row,
        parts[0].start,
        parts[-1].finish,
        sum(part.minutes for part in parts),
        tuple(maker for maker in makers if may_do(maker, row.step.stage)),
    )
