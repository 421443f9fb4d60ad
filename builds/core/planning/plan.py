"""What planning answers: who does each step when, what is late, and why there is no plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["proved", "found", "none"]
QUARTER_MIN = 15


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step in the plan; instants in minutes from the problem's epoch.

    `resumed` is given for a begun step alone: the minute at which what remains of it goes on
    (`start` is when it was begun). `latest_start` (for a begun step: the latest minute to go on)
    keeps each person's and each mould's order and every date the plan reaches; `in_hand_min` is
    the time from the planned minute to it.
    """

    id: str
    person: str | None
    second: str | None
    start: int
    finish: int
    latest_start: int
    in_hand_min: int = 0
    resumed: int | None = None


@dataclass(frozen=True, slots=True)
class FigureReady:
    """When a figure's needed steps are done, and by how many minutes that is too late."""

    id: str
    ready: int
    late_min: int


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan, or the reasons why there is none.

    `lateness`: weighted minutes late. `ready`: the minute at which the last step is finished.
    `bound`: no plan with these people can have all ready before this minute, whatever is late;
    `bound_by` says what shows it. `lateness_bound`: no plan with these people is less late, in
    weighted minutes. `gap`: (ready - bound) / (ready - now). `status` is 'proved'
    when ready and bound fall on one quarter hour, 'none' when there is no plan.
    """

    status: Status
    steps: tuple[PlannedStep, ...] = ()
    ready: int | None = None
    lateness: int = 0
    figures: tuple[FigureReady, ...] = ()
    bound: int | None = None
    bound_by: str = ""
    lateness_bound: int = 0
    gap: float | None = None
    reasons: tuple[str, ...] = ()
    work: int = 0
    seed: int = 0

    @property
    def score(self) -> tuple[int, int]:
        """What planning makes small: weighted lateness, then the minute all is ready."""
        return (self.lateness, self.ready if self.ready is not None else 0)


def quarter_end(minute: int) -> int:
    """The last minute of a minute's quarter hour.

    >>> quarter_end(30), quarter_end(44)
    (44, 44)
    """
    return minute // QUARTER_MIN * QUARTER_MIN + QUARTER_MIN - 1


def share_left(ready: int, bound: int, now: int) -> float:
    """Part of the time from now to `ready` that the bound does not account for.

    >>> share_left(1100, 1000, 100)
    0.1
    >>> share_left(100, 100, 100)
    0.0
    """
    return (ready - bound) / (ready - now) if ready > now else 0.0
