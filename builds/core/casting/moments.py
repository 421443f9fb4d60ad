"""The clock of one pour: when it is poured out, opened and hard, and which of these is next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum


class Moment(Enum):
    """What is done next with a pour, as one says it."""

    DRAIN = "pour out what is left"
    OPEN = "open the mould"
    CURE = "leave it to harden"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class PourClock:
    """Instants of one pour: what was done, and the minutes that its material asks for.

    `drain_min` from pouring (None: nothing is poured out), `open_min` from draining or, without,
    from pouring, `cure_min` from opening; None where the material has no such time.
    """

    poured_at: datetime
    drain_min: int | None = None
    open_min: int | None = None
    cure_min: int | None = None
    drained_at: datetime | None = None
    opened_at: datetime | None = None

    @property
    def drain_due(self) -> datetime | None:
        """When what is left is poured out."""
        if self.drain_min is None:
            return None
        return self.poured_at + timedelta(minutes=self.drain_min)

    @property
    def open_due(self) -> datetime | None:
        """When the mould may be opened: counted from the draining, done or due."""
        if self.open_min is None:
            return None
        begins = self.drained_at or self.drain_due or self.poured_at
        return begins + timedelta(minutes=self.open_min)

    @property
    def cure_due(self) -> datetime | None:
        """When the casting is hard: counted from the opening, done or due."""
        begins = self.opened_at or self.open_due
        if begins is None:
            return None
        return begins + timedelta(minutes=self.cure_min or 0)

    def next_at(self, now: datetime) -> tuple[Moment, datetime | None]:
        """What comes next and when it is due; what is overdue is still next.

        >>> from datetime import UTC
        >>> nine = datetime(2026, 3, 4, 9, tzinfo=UTC)
        >>> slip = PourClock(nine, drain_min=240, open_min=480, cure_min=720)
        >>> slip.next_at(nine)[0].value, slip.next_at(nine)[1].hour
        ('pour out what is left', 13)
        >>> out = PourClock(nine, 240, 480, 720, nine + timedelta(hours=4))
        >>> out.next_at(nine)[0].name, out.next_at(nine)[1].hour
        ('OPEN', 21)
        """
        if self.opened_at is None and self.drained_at is None and self.drain_due is not None:
            return Moment.DRAIN, self.drain_due
        if self.opened_at is None:
            return Moment.OPEN, self.open_due
        if self.cure_due is not None and self.cure_due > now:
            return Moment.CURE, self.cure_due
        return Moment.DONE, None
