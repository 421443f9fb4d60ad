"""Hand-overs of a small set of appearances: an exact assignment in plain whole numbers.

A figure either takes over from another appearance or is a new one, so the fewest figures are an
assignment of entrances to exits in which 'a new figure' costs more than everything else together.
It saves loading a solver for the handful of appearances that most guises have.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from scenes.core.counting.handover import HandOver, Kept, Weights
from scenes.core.counting.relation import Relation, state_entering, state_leaving
from scenes.core.plot import Placed


def assign(placed: Sequence[Placed], relation: Relation, kept: Kept) -> list[HandOver]:
    """The hand-overs of a best cover, by an assignment over all pairs of copies.

    n copies take about n^3 steps: meant for a few dozen. The aims, in order: fewest figures,
    changes, crossings, then most of `kept` again.
    """
    units = [
        (index, copy)
        for index, p in enumerate(placed)
        for copy in range(1, p.appearance.copies + 1)
    ]
    weights = Weights.of(len(units), len(kept), has_changes=True, has_crossings=True)
    rows = [_costs_after(first, placed, relation, weights) for first in placed]
    costs = [[rows[i][j] for j, _ in units] for i, _ in units]
    number = {unit: n for n, unit in enumerate(units)}
    for before, after in kept:
        costs[number[before]][number[after]] -= 1
    followers = solve_assignment(costs)
    found = Counter(
        (units[row][0], units[column][0])
        for row, column in enumerate(followers)
        if costs[row][column] < weights.figure
    )
    return [HandOver(i, j, count) for (i, j), count in sorted(found.items())]


def _costs_after(
    first: Placed, placed: Sequence[Placed], relation: Relation, weights: Weights
) -> list[int]:
    """What it costs each entrance to be taken by the figure that played `first`."""
    costs = []
    leaving = state_leaving(first)
    for second in placed:
        link = relation.link(leaving, state_entering(second))
        if link is None or not relation.can_follow(first, second):
            costs.append(weights.figure)
        else:
            costs.append(weights.of_link(link))
    return costs


def solve_assignment(costs: Sequence[Sequence[int]]) -> list[int]:
    """The column for each row of a square cost matrix, at the least total cost, exactly.

    Shortest augmenting paths with potentials, about n^3 steps (Kuhn 1955, The Hungarian method
    for the assignment problem, Naval Research Logistics Quarterly 2; Jonker and Volgenant 1987).

    >>> solve_assignment([[4, 1, 3], [2, 0, 5], [3, 2, 2]])
    [1, 0, 2]
    """
    size = len(costs)
    row_price = [0] * (size + 1)
    column_price = [0] * (size + 1)
    row_of = [size] * (size + 1)  # the last row and column are markers for 'none'
    for row in range(size):
        _take_in(row, costs, row_price, column_price, row_of)
    columns = [0] * size
    for column in range(size):
        columns[row_of[column]] = column
    return columns


def _take_in(
    row: int,
    costs: Sequence[Sequence[int]],
    row_price: list[int],
    column_price: list[int],
    row_of: list[int],
) -> None:
    """Assign one more row, moving the others along the cheapest path that makes room."""
    none = len(costs)
    row_of[none] = row
    column = none
    cheapest: list[int | None] = [None] * none
    came_from = [none] * none
    done = [False] * (none + 1)
    while row_of[column] != none:
        done[column] = True
        here = row_of[column]
        least: int | None = None
        nearest = none
        line, price = costs[here], row_price[here]
        for other in range(none):
            if done[other]:
                continue
            cost = line[other] - price - column_price[other]
            known = cheapest[other]
            if known is None or cost < known:
                cheapest[other] = known = cost
                came_from[other] = column
            if least is None or known < least:
                least, nearest = known, other
        assert least is not None  # there is a free column for every row
        for other in range(none + 1):
            if done[other]:
                row_price[row_of[other]] += least
                column_price[other] -= least
            elif other < none:
                value = cheapest[other]
                cheapest[other] = None if value is None else value - least
        column = nearest
    while column != none:
        row_of[column] = row_of[came_from[column]]
        column = came_from[column]
    row_of[none] = none
