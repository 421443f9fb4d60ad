"""The fewest and the most figures of one guise over ways to fill blanks: two integer programs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, Literal, TypeAlias

from scenes.core.counting.matching import count_tracks
from scenes.core.counting.relation import Relation, State
from scenes.core.plot import Placed

Filling: TypeAlias = tuple[State, State]  # how it goes on, how it comes off
Side: TypeAlias = Literal["fewest", "most"]
Held: TypeAlias = Mapping[int, frozenset[int]]  # appearance -> classes it is held to

NODE_LIMIT = 400  # of the branching; beyond it an end is a bound


@dataclass(frozen=True, slots=True)
class End:
    """One end of the range. `bound` is met by `fillings` where `is_proved`."""

    bound: int
    is_proved: bool
    classes: tuple[int, ...]
    fillings: tuple[Filling, ...]


Ends: TypeAlias = tuple[End, End]


@dataclass(slots=True)
class Maze:
    """Appearances of one guise with their ways of filling, alike ones put in one class.

    Two fillings of an appearance are alike where they allow the same hand-overs whatever the
    others are filled with. `follows[i, j]` holds, by class of i, the classes of j that one figure
    may play after it; pairs that no filling allows are left out.
    """

    placed: Sequence[Placed]
    relation: Relation
    copies: list[int]
    classes: list[list[list[Filling]]]
    follows: dict[tuple[int, int], list[frozenset[int]]]

    @classmethod
    def of(
        cls, placed: Sequence[Placed], choices: Sequence[Sequence[Filling]], relation: Relation
    ) -> Maze:
        """Work out pairs and classes: n^2 pairs times the fillings of both."""
        sides = [_Sides.of(fillings) for fillings in choices]
        allowed: dict[tuple[int, int], list[list[bool]]] = {}
        for i, j in product(range(len(placed)), repeat=2):
            wait_s = placed[j].enters_s - placed[i].leaves_s
            if wait_s < 0:
                continue
            table = [
                [_may_follow(relation, leaving, entering, wait_s) for entering in sides[j].entering]
                for leaving in sides[i].leaving
            ]
            if any(map(any, table)):
                allowed[i, j] = table
        signs: list[list[list[object]]] = [[[] for _ in fillings] for fillings in choices]
        for (i, j), table in allowed.items():
            columns = list(zip(*table, strict=True))
            for n, (_, out) in enumerate(sides[i].at):
                signs[i][n].append((j, tuple(table[out])))
            for n, (into, _) in enumerate(sides[j].at):
                signs[j][n].append((i, columns[into]))
        classes: list[list[list[Filling]]] = []
        heads: list[list[tuple[int, int]]] = []
        for fillings, marks, side in zip(choices, signs, sides, strict=True):
            grouped: dict[tuple[object, ...], list[int]] = {}
            for n, mark in enumerate(marks):
                grouped.setdefault(tuple(mark), []).append(n)
            classes.append([[fillings[n] for n in group] for group in grouped.values()])
            heads.append([side.at[group[0]] for group in grouped.values()])
        follows = {
            (i, j): [
                frozenset(g for g, (into, _) in enumerate(heads[j]) if table[out][into])
                for _, out in heads[i]
            ]
            for (i, j), table in allowed.items()
        }
        copies = [p.appearance.copies for p in placed]
        return cls(placed, relation, copies, classes, follows)

    @property
    def is_settled(self) -> bool:
        """Whether no blank can move any pair."""
        return all(len(classes) == 1 for classes in self.classes)

    @property
    def ways(self) -> int:
        """Pairs times the classes of both: the size of the programs."""
        return sum(len(self.classes[i]) * len(self.classes[j]) for i, j in self.follows)

    def figures_by(self, classes: Sequence[int]) -> int:
        """Figures with each appearance filled by its class."""
        followers: list[list[int]] = [[] for _ in self.placed]
        for (i, j), after in self.follows.items():
            if classes[j] in after[classes[i]]:
                followers[i].append(j)
        return count_tracks(self.copies, followers)

    def figures_with(self, fillings: Sequence[Filling]) -> int:
        """Figures with each appearance filled so."""
        return self.figures_by(
            [
                next(n for n, members in enumerate(classes) if filling in members)
                for classes, filling in zip(self.classes, fillings, strict=True)
            ]
        )

    def bounds(self) -> tuple[int, int]:
        """Figures if every pair went the best of its ways, and if each went the worst."""
        best: list[list[int]] = [[] for _ in self.placed]
        worst: list[list[int]] = [[] for _ in self.placed]
        for (i, j), after in self.follows.items():
            best[i].append(j)
            if all(len(allowed) == len(self.classes[j]) for allowed in after):
                worst[i].append(j)
        return count_tracks(self.copies, best), count_tracks(self.copies, worst)


@dataclass(slots=True)
class _Sides:
    """Entering and leaving states of an appearance, each once, and where each filling has them."""

    entering: list[State]
    leaving: list[State]
    at: list[tuple[int, int]]

    @classmethod
    def of(cls, fillings: Sequence[Filling]) -> _Sides:
        entering = list(dict.fromkeys(entering for entering, _ in fillings))
        leaving = list(dict.fromkeys(leaving for _, leaving in fillings))
        return cls(
            entering, leaving, [(entering.index(one), leaving.index(two)) for one, two in fillings]
        )


def _may_follow(relation: Relation, leaving: State, entering: State, wait_s: int) -> bool:
    link = relation.link(leaving, entering)
    return link is not None and (wait_s >= link.need_s or (wait_s == 0 and link.may_touch))


def find_end(maze: Maze, side: Side, held: Held | None = None) -> End:
    """The fewest or the most figures, with some appearances held to some of their classes."""
    program = _Program(maze, held or {})
    if side == "fewest":
        program.ask_for_fewest()
    else:
        program.ask_for_most()
    bound = program.solve()
    units = sum(maze.copies)
    classes = program.chosen
    figures = maze.figures_by(classes)
    # Both programs minimise: the fewest minus the greatest matching, the most a smallest cover.
    limit = units + bound if side == "fewest" else units - bound
    is_proved = figures == limit
    return End(
        limit, is_proved, tuple(classes),
        tuple(maze.classes[i][n][0] for i, n in enumerate(classes)),
    )  # fmt: skip


class _Program:
    """Rows and columns of one integer program, and the columns that choose the classes."""

    def __init__(self, maze: Maze, held: Held) -> None:
        self.maze = maze
        self.costs: list[float] = []
        self.tops: list[float] = []
        self.is_whole: list[int] = []
        self.rows: list[tuple[list[int], list[float], float, float]] = []
        self.fixed: dict[int, int] = {}
        self.pick: dict[int, dict[int, int]] = {}
        self.chosen: list[int] = []
        for i, classes in enumerate(maze.classes):
            allowed = sorted(held.get(i, range(len(classes))))
            if len(allowed) == 1:
                self.fixed[i] = allowed[0]
                continue
            self.pick[i] = {n: self._column(0, 1, whole=True) for n in allowed}
            self._row([(column, 1.0) for column in self.pick[i].values()], 1.0, 1.0)

    def ask_for_fewest(self) -> None:
        """Figures handed over, each pair only where the classes chosen allow it."""
        out: dict[int, list[int]] = {}
        into: dict[int, list[int]] = {}
        for (i, j), groups in self._pairs():
            most = min(self.maze.copies[i], self.maze.copies[j])
            column = self._column(-1, most, whole=True)
            out.setdefault(i, []).append(column)
            into.setdefault(j, []).append(column)
            for after, before in groups.items():
                terms, said = self._sums(i, before, j, after)
                # handed <= most x (1 - [i is one of before] + [j is one of after])
                row = [(column, 1.0)] + [(c, most * sign) for c, sign in terms]
                self._row(row, -float("inf"), most * (1 - said))
        for columns, index in [(c, i) for i, c in out.items()] + [(c, j) for j, c in into.items()]:
            self._row([(c, 1.0) for c in columns], -float("inf"), self.maze.copies[index])

    def ask_for_most(self) -> None:
        """A smallest set of exits and entrances that touches every pair allowed (Koenig)."""
        exits: dict[int, int] = {}
        entrances: dict[int, int] = {}
        for (i, j), groups in self._pairs():
            for side, index in ((exits, i), (entrances, j)):
                if index not in side:
                    side[index] = self._column(self.maze.copies[index], 1, whole=True)
            allowed = [(after, before) for after, before in groups.items() if after]
            for after, before in allowed:
                terms, said = self._sums(i, before, j, after, both=True)
                row = [(exits[i], 1.0), (entrances[j], 1.0), *((c, -1.0) for c, _ in terms)]
                self._row(row, said - 1, float("inf"))

    def solve(self) -> int:
        """The proved bound below every cost, in whole numbers; the classes found are `chosen`."""
        if not self.costs:
            self.chosen = [self.fixed[i] for i in range(len(self.maze.placed))]
            return 0
        import math

        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_matrix

        at = [(r, c, v) for r, row in enumerate(self.rows) for c, v in zip(*row[:2], strict=True)]
        shape = (len(self.rows), len(self.costs))
        data: Any = csr_matrix(
            ([v for *_, v in at], ([r for r, *_ in at], [c for _, c, _ in at])), shape=shape
        )
        found = milp(
            np.array(self.costs),
            integrality=np.array(self.is_whole),
            bounds=Bounds(0, np.array(self.tops)),
            constraints=LinearConstraint(data, [r[2] for r in self.rows], [r[3] for r in self.rows])
            if self.rows
            else (),
            options={"node_limit": NODE_LIMIT, "mip_rel_gap": 0},
        )
        if found.x is None:  # nothing found within the limit: any filling will do
            self.chosen = [
                self.fixed[i] if i in self.fixed else next(iter(self.pick[i]))
                for i in range(len(self.maze.placed))
            ]
            least = sum(
                min(0.0, cost * top) for cost, top in zip(self.costs, self.tops, strict=True)
            )
            return math.floor(least)
        self.chosen = [
            self.fixed[i]
            if i in self.fixed
            else max(self.pick[i], key=lambda n: (found.x[self.pick[i][n]] > 0.5, -n))
            for i in range(len(self.maze.placed))
        ]
        bound: float = found.fun if found.status == 0 else found.mip_dual_bound
        return math.ceil(bound - 1e-6)

    def _pairs(self) -> Iterable[tuple[tuple[int, int], dict[frozenset[int], list[int]]]]:
        """Pairs, and for each set of classes of j that some classes of i allow, those of i."""
        for (i, j), after in self.maze.follows.items():
            mine = self.pick.get(i) or [self.fixed[i]]
            theirs = frozenset(self.pick.get(j) or [self.fixed[j]])
            groups: dict[frozenset[int], list[int]] = {}
            for n in mine:
                groups.setdefault(after[n] & theirs, []).append(n)
            if any(groups):
                yield (i, j), groups

    def _sums(
        self, i: int, before: Sequence[int], j: int, after: frozenset[int], *, both: bool = False
    ) -> tuple[list[tuple[int, float]], int]:
        """[i is one of before] and [j is one of after] as columns with signs and a constant.

        The first counts +1 and the second -1; with `both` each counts +1.
        """
        terms: list[tuple[int, float]] = []
        said = 0
        if i in self.pick:
            terms.extend((self.pick[i][n], 1.0) for n in before)
        else:
            said += 1
        sign = 1 if both else -1
        if j in self.pick:
            if len(after) == len(self.pick[j]):
                said += sign
            else:
                terms.extend((self.pick[j][n], float(sign)) for n in sorted(after))
        elif after:
            said += sign
        return terms, said

    def _column(self, cost: float, top: float, *, whole: bool) -> int:
        self.costs.append(cost)
        self.tops.append(top)
        self.is_whole.append(int(whole))
        return len(self.costs) - 1

    def _row(self, terms: Sequence[tuple[int, float]], low: float, high: float) -> None:
        self.rows.append(([c for c, _ in terms], [v for _, v in terms], low, high))
