"""Heats: so many rounds of one search on one bench, two of them side by side on two cores.

What a heat finds depends on its own bench alone, and which two go side by side on their numbers of
rounds alone, so that a plan is the same on one core and on two, in plain loops and in compiled.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

from builds.core.planning.compiled import PLAIN_LOOPS
from builds.core.planning.decode import Decoder
from builds.core.planning.search import ROUNDS, Bench
from builds.core.planning.sheet import GRACE, USUAL_GRACE_MIN

# a coarse round costs as much as so many fine ones
COARSE_SHARE = 8
# rounds x steps between two looks at the clock: about a tenth of a second's worth
PLAIN_PIECE, COMPILED_PIECE = 1_500, 40_000
SIDE_BY_SIDE = 2


class Heat(NamedTuple):
    """Some rounds of one search on one bench."""

    coarse: bool
    bench: int
    left: int
    grace_min: int = USUAL_GRACE_MIN


class Heats:
    """Heats in the order in which they are due, and the lots of rounds that are under way."""

    def __init__(self, decoder: Decoder) -> None:
        self._decoder = decoder
        self._due: list[Heat] = []
        self._lots: list[int] = []
        self._desks: list[tuple[Any, Any]] = []

    def __bool__(self) -> bool:
        return bool(self._due)

    def call(self, heats: list[Heat]) -> None:
        """Let these be run next."""
        self._due = list(heats)
        self._lots = []

    def run(self, most: int, bench_of: Callable[[Heat], Bench]) -> tuple[int, list[Bench]]:
        """Run a piece of at most `most` rounds; rounds done, and the benches they were done on.

        Nought rounds are done when the goal is reached.
        """
        if not any(self._lots):
            self._lots = [
                min(self._piece(heat, COMPILED_PIECE), heat.left)
                for heat in self._due[:SIDE_BY_SIDE]
            ]
        shares: list[int] = []
        is_plain = self._decoder.loops is PLAIN_LOOPS
        for heat, lot in zip(self._due, self._lots, strict=False):
            share = min(lot, most - sum(shares))
            if is_plain:
                share = 0 if any(shares) else min(share, self._piece(heat, PLAIN_PIECE))
            shares.append(share)
        asked = [k for k, share in enumerate(shares) if share > 0]
        benches = {k: bench_of(self._due[k]) for k in asked}
        done = self._run_shares(shares, benches)
        self._due[: len(shares)] = [
            heat._replace(left=heat.left - rounds)
            for heat, rounds in zip(self._due, done, strict=False)
        ]
        self._lots = [lot - rounds for lot, rounds in zip(self._lots, done, strict=True)]
        if not any(self._lots):
            self._due = [heat for heat in self._due if heat.left > 0]
        return sum(done), list(benches.values())

    def _run_shares(self, shares: list[int], benches: dict[int, Bench]) -> list[int]:
        """Rounds done of each share, the later ones in threads of their own where that is worth it.

        The compiled loops let go of the interpreter while they run.
        """
        done = [0] * len(shares)
        if len(benches) < SIDE_BY_SIDE or _cores() < SIDE_BY_SIDE:
            for k, bench in benches.items():
                done[k] = self._search(self._due[k], bench, shares[k], 0)
            return done
        with ThreadPoolExecutor(SIDE_BY_SIDE - 1) as others:
            first, *rest = benches
            running = {
                k: others.submit(self._search, self._due[k], benches[k], shares[k], 1 + x)
                for x, k in enumerate(rest)
            }
            done[first] = self._search(self._due[first], benches[first], shares[first], 0)
            for k, search in running.items():
                done[k] = search.result()
        return done

    def _search(self, heat: Heat, bench: Bench, rounds: int, desk: int) -> int:
        sheet, turned = self._desk(desk)
        sheet[GRACE] = turned[GRACE] = heat.grace_min
        before = int(bench.facts[ROUNDS])
        search = self._decoder.loops["search_order" if heat.coarse else "search"]
        search(sheet, turned, bench, rounds)
        return int(bench.facts[ROUNDS]) - before

    def _desk(self, number: int) -> tuple[Any, Any]:
        """Sheets to place steps on: the decoder's own, and copies for those beside it."""
        decoder = self._decoder
        if number == 0:
            return decoder.sheet, decoder.turned
        while len(self._desks) < number:
            self._desks.append((decoder.sheet.copy(), decoder.turned.copy()))
        return self._desks[number - 1]

    def _piece(self, heat: Heat, size: int) -> int:
        rounds = max(1, size // max(1, self._decoder.tables.n))
        return max(1, rounds // COARSE_SHARE) if heat.coarse else rounds


def _cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
