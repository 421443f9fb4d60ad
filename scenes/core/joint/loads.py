"""Which people are free when, while changes are put in one by one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from scenes.core.hands import Crew, Stretch
from scenes.core.joint.windows import Span


@dataclass(slots=True)
class Pool:
    """People of one sort, and what keeps them: (from, until, how many)."""

    people: int
    busy: list[tuple[int, int, int]] = field(default_factory=list)

    def free(self, starts_s: int, ends_s: int) -> int:
        """How many are free all the time from one second to another."""
        here = [b for b in self.busy if b[0] < ends_s and starts_s < b[1]]
        times = [starts_s, *(b[0] for b in here if b[0] > starts_s)]
        most = max(
            sum(people for first, last, people in here if first <= at_s < last) for at_s in times
        )
        return max(0, self.people - most)

    def take(self, starts_s: int, ends_s: int, people: int) -> None:
        """Keep so many from one second to another."""
        if people:
            self.busy.append((starts_s, ends_s, people))


@dataclass(slots=True)
class Loads:
    """Those who work figures, loaded with the scenes, and those who only help."""

    workers: Pool
    helpers: Pool

    @classmethod
    def of(cls, crew: Crew, stretches: Iterable[Stretch]) -> Loads:
        """The scenes as they stand; where more work than there are, nobody is free."""
        busy = [
            (s.starts_s, s.ends_s, min(s.working, crew.workers)) for s in stretches if s.working
        ]
        return cls(Pool(crew.workers, busy), Pool(crew.dressers - crew.dressers_who_work))

    def place(self, starts: Sequence[Span], change_s: int, people: int) -> tuple[int, int] | None:
        """The first second at which the people are free in one go, and how many of them work
        figures; None where there is none. They are kept from then on."""
        ends = sorted({b[1] for pool in (self.workers, self.helpers) for b in pool.busy})
        for span in starts:
            for at_s in [span.first_s, *(e for e in ends if span.first_s < e <= span.last_s)]:
                until_s = at_s + change_s
                by_helpers = min(people, self.helpers.free(at_s, until_s))
                by_workers = people - by_helpers
                if by_workers <= self.workers.free(at_s, until_s):
                    self.helpers.take(at_s, until_s, by_helpers)
                    self.workers.take(at_s, until_s, by_workers)
                    return at_s, by_workers
        return None

    def copy(self) -> Loads:
        """The same loads, to be tried on."""
        return Loads(
            Pool(self.workers.people, list(self.workers.busy)),
            Pool(self.helpers.people, list(self.helpers.busy)),
        )
