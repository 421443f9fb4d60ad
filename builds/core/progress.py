"""How far a step is, and what stands in the way of beginning it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum


class Progress(Enum):
    """Where a step stands, as a word."""

    LOOSE = "not begun"
    UNDER_WAY = "under way"
    FINISHED = "finished, waits for the lead's pass"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Before:
    """A step that comes before another: what it is called, how far it is, and what dries after.

    `done_at` is when it was finished, or passed where it waits for the lead's pass; None: not yet.
    """

    words: str
    progress: Progress
    done_at: datetime | None = None
    wait_min: int = 0


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One thing that a step waits for. `until` is given for what only dries."""

    words: str
    why: str
    until: datetime | None = None


def progress_of(
    *, begun: datetime | None, finished: datetime | None, passed: datetime | None, gate: bool
) -> Progress:
    """Where a step stands by its three instants; a gate is done once it is passed.

    >>> day = datetime(2026, 3, 4)
    >>> progress_of(begun=day, finished=day, passed=None, gate=True).value
    "finished, waits for the lead's pass"
    >>> progress_of(begun=day, finished=None, passed=None, gate=False).name
    'UNDER_WAY'
    """
    if finished is not None:
        return Progress.DONE if passed is not None or not gate else Progress.FINISHED
    return Progress.UNDER_WAY if begun is not None else Progress.LOOSE


def find_hindrances(befores: Iterable[Before], now: datetime) -> list[Hindrance]:
    """What a step still waits for: work that is not done, and what is not dry yet.

    >>> noon = datetime(2026, 3, 4, 12)
    >>> prime = Before("prime", Progress.DONE, noon, 24 * 60)
    >>> [(h.words, h.why) for h in find_hindrances([prime], noon + timedelta(hours=6))]
    [('prime', 'still drying')]
    >>> find_hindrances([prime], noon + timedelta(days=1))
    []
    """
    found = []
    for before in befores:
        if before.progress is not Progress.DONE:
            found.append(Hindrance(before.words, before.progress.value))
        elif before.done_at is not None and before.wait_min:
            until = before.done_at + timedelta(minutes=before.wait_min)
            if until > now:
                found.append(Hindrance(before.words, "still drying", until))
    return found
