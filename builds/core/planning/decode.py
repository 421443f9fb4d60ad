"""From priorities to plans: both decoders and the forward-backward passes on one layout."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from builds.core.planning.compiled import PLAIN_LOOPS, compiled_loops
from builds.core.planning.mirror import mirror
from builds.core.planning.priorities import topological
from builds.core.planning.sheet import lay_sheet
from builds.core.planning.tables import Layout, Numbers

Score = tuple[int, int]
Loops = Mapping[str, Callable[..., Any]]


@dataclass(slots=True)
class Draft:
    """Start, finish and option of each step, with what the draft is worth."""

    start: Numbers
    finish: Numbers
    choice: Numbers
    score: Score


class Decoder:
    """Makes drafts from keys. `failed` is the step that last found no place, else -1."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.tables = layout.tables
        self.loops: Loops = PLAIN_LOOPS
        self.topo = topological(layout)
        n = self.tables.n
        rank = [0] * n
        for place, i in enumerate(self.topo):
            rank[i] = place
        self.failed = -1
        self.sheet: Any = lay_sheet(self.tables)
        self.turned: Any = lay_sheet(mirror(layout))
        self.rank: Any = rank
        self._free: Any = [-1] * n
        self._no_bias: Any = [0] * len(self.tables.opt_person)
        self._is_compiled = False

    def compile(self) -> None:
        """Go over to the compiled loops, where there are any."""
        loops = compiled_loops()
        if loops is None or self._is_compiled:
            return
        self.loops, self._is_compiled = loops, True
        for name in ("sheet", "turned", "rank", "_free", "_no_bias"):
            setattr(self, name, self.row(getattr(self, name)))

    def row(self, values: Numbers) -> Any:
        """A row as the loops want it: a list, or an array where they are compiled."""
        if not self._is_compiled:
            return list(values)
        import numpy as np

        return np.array(values, dtype=np.int64)

    def biases(self, wait_min: dict[str, int]) -> Numbers:
        """Minutes by which an option must be better, from what each person's time is worth."""
        worth = self.row([wait_min.get(one, 0) for one in self.layout.people])
        bias = self.row([0] * len(self.tables.opt_person))
        self.loops["set_bias"](self.sheet, worth, bias)
        return listed(bias)

    def serial(
        self, key: Numbers, bias: Numbers | None = None, forced: Numbers | None = None
    ) -> Draft | None:
        """Insert steps by rising key. `forced`: the option each step keeps, or -1 for any."""
        n = self.tables.n
        order = self.row([0] * n)
        self.loops["feasible_order"](self.sheet, self.row(key), order, self.row([0] * n))
        return self._insert(order, bias, self._free if forced is None else self.row(forced))

    def dispatch(self, key: Numbers, bias: Numbers | None = None) -> Draft | None:
        """Let whoever is free take the step with the lowest key."""
        start, finish, choice = self._blank()
        blank = [0] * self.tables.n
        nobody = [0] * self.tables.people
        self.failed = self.loops["dispatch_all"](
            self.sheet,
            self.row(key),
            self._no_bias if bias is None else self.row(bias),
            self._free,
            start,
            finish,
            choice,
            self.row(blank),
            self.row(blank),
            self.row(nobody),
            self.row(nobody),
        )
        return self._draft(start, finish, choice)

    def justify(self, draft: Draft, bias: Numbers | None = None, *, keep: bool = True) -> Draft:
        """Push late, then early again. With `keep` nobody changes and the draft gets no worse."""
        n = self.tables.n
        order = self.row([0] * n)
        was = self.row(draft.finish)
        self.loops["set_latest"](self.sheet, self.turned, was, draft.score[1])
        self.loops["order_by"](self.sheet, was, -1, self.rank, order)
        start, finish, choice = self._blank()
        failed = self.loops["push_late"](
            self.sheet,
            self.turned,
            order,
            self._no_bias if bias is None else self.row(bias),
            self.row(draft.choice) if keep else self._free,
            start,
            finish,
            choice,
        )
        if failed >= 0:
            return draft
        self.loops["order_by"](self.sheet, start, 1, self.rank, order)
        again = self._insert(order, bias, self.row(listed(choice)) if keep else self._free)
        return draft if again is None or again.score > draft.score else again

    def _insert(self, order: Any, bias: Numbers | None, forced: Any) -> Draft | None:
        start, finish, choice = self._blank()
        self.failed = self.loops["insert_all"](
            self.sheet,
            order,
            self._no_bias if bias is None else self.row(bias),
            forced,
            start,
            finish,
            choice,
            0,
        )
        return self._draft(start, finish, choice)

    def _blank(self) -> tuple[Any, Any, Any]:
        blank = [0] * self.tables.n
        return self.row(blank), self.row(blank), self.row(blank)

    def _draft(self, start: Any, finish: Any, choice: Any) -> Draft | None:
        if self.failed >= 0:
            return None
        late, ready = self.loops["score"](self.sheet, finish)
        return Draft(listed(start), listed(finish), listed(choice), (int(late), int(ready)))


def listed(row: Any) -> Numbers:
    """A row as plain whole numbers."""
    return list(row) if isinstance(row, list) else [int(value) for value in row.tolist()]
