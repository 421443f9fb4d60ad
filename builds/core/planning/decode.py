"""From priorities to plans: both decoders and the forward-backward passes on one layout."""

from __future__ import annotations

from dataclasses import dataclass, field

from builds.core.planning.kernels import PLAIN, Kernels
from builds.core.planning.priorities import topological
from builds.core.planning.sheet import lay_sheet
from builds.core.planning.tables import Layout, mirror

Score = tuple[int, int]


@dataclass(slots=True)
class Draft:
    """Start, finish and option of each step, with what the draft is worth."""

    start: list[int]
    finish: list[int]
    choice: list[int]
    score: Score
    extra: tuple[int, int] = field(default=(0, 0))


class Decoder:
    """Makes drafts from keys. `failed` is the step that last found no place, else -1."""

    def __init__(self, layout: Layout, kernels: Kernels = PLAIN) -> None:
        self.layout = layout
        self.tables = layout.tables
        self.kernels = kernels
        self.sheet = lay_sheet(self.tables)
        self.turned = lay_sheet(mirror(layout))
        n = self.tables.n
        self.rank = [0] * n
        for place, i in enumerate(topological(layout)):
            self.rank[i] = place
        self.free = [-1] * n
        self.failed = -1
        self._order = [0] * n
        self._left = [0] * n
        self._ready = [0] * n
        self._people = [0] * self.tables.people, [0] * self.tables.people
        self._no_bias = [0] * len(self.tables.opt_person)

    def biases(self, wait_min: dict[str, int]) -> list[int]:
        """Minutes by which an option must be better, from what each person's time is worth."""
        t = self.tables
        worth = [wait_min.get(one, 0) for one in self.layout.people]
        raw = [
            (worth[p] if p >= 0 else 0) + (worth[q] if q >= 0 else 0)
            for p, q in zip(t.opt_person, t.opt_second, strict=True)
        ]
        out = list(raw)
        for i in range(t.n):
            options = range(t.opt_at[i], t.opt_at[i + 1])
            least = min((raw[o] for o in options), default=0)
            for o in options:
                out[o] = raw[o] - least
        return out

    def serial(
        self, key: list[int], bias: list[int] | None = None, forced: list[int] | None = None
    ) -> Draft | None:
        """Insert steps by rising key."""
        self.kernels.feasible_order(self.sheet, key, self._order, self._left)
        return self._insert(bias, forced)

    def _insert(self, bias: list[int] | None, forced: list[int] | None) -> Draft | None:
        start, finish, choice = self._blank()
        self.failed = self.kernels.insert_all(
            self.sheet,
            self._order,
            bias or self._no_bias,
            forced or self.free,
            start,
            finish,
            choice,
        )
        return self._draft(start, finish, choice)

    def dispatch(
        self, key: list[int], bias: list[int] | None = None, forced: list[int] | None = None
    ) -> Draft | None:
        """Let whoever is free take the step with the lowest key."""
        start, finish, choice = self._blank()
        self.failed = self.kernels.dispatch_all(
            self.sheet,
            key,
            bias or self._no_bias,
            forced or self.free,
            start,
            finish,
            choice,
            self._left,
            self._ready,
            *self._people,
        )
        return self._draft(start, finish, choice)

    def justify(self, draft: Draft, keep: bool = True) -> Draft:
        """Push late, then early again. With `keep` nobody changes and the draft gets no worse."""
        forced = list(draft.choice) if keep else self.free
        self.kernels.set_latest(self.sheet, self.turned, draft.finish, draft.score[1])
        self.kernels.order_by(self.sheet, draft.finish, -1, self.rank, self._order)
        start, finish, choice = self._blank()
        failed = self.kernels.push_late(
            self.sheet,
            self.turned,
            self._order,
            self._no_bias,
            forced,
            start,
            finish,
            choice,
        )
        if failed >= 0:
            return draft
        self.kernels.order_by(self.sheet, start, 1, self.rank, self._order)
        again = self._insert(None, list(choice) if keep else None)
        return draft if again is None or again.score > draft.score else again

    def _blank(self) -> tuple[list[int], list[int], list[int]]:
        n = self.tables.n
        return [0] * n, [0] * n, [0] * n

    def _draft(self, start: list[int], finish: list[int], choice: list[int]) -> Draft | None:
        if self.failed >= 0:
            return None
        late, ready = self.kernels.score(self.sheet, finish)
        return Draft(start, finish, choice, (int(late), int(ready)))
