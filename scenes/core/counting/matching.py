"""How many tracks, and nothing else: a greatest matching on pairs, for questions asked often."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from scenes.core.counting.relation import Relation, state_entering, state_leaving
from scenes.core.plot import Placed


def count_tracks(copies: Sequence[int], followers: Sequence[Sequence[int]]) -> int:
    """The fewest tracks that play every copy once.

    `followers[i]` are the appearances that one figure may play straight after i. Tracks are
    copies less a greatest matching of exits to entrances (Fulkerson 1956, Proc. AMS 7), found by
    phases of shortest augmenting ways (Hopcroft and Karp 1973, SIAM J. Comput. 2): about
    pairs x sqrt(copies) steps. Raises ValueError where the two lists differ in length.

    >>> count_tracks([1, 1, 1], [[1, 2], [2], []])
    1
    >>> count_tracks([2, 1], [[1], []])
    2
    """
    if len(copies) != len(followers):
        raise ValueError(f"{len(copies)} appearances have {len(followers)} lists of followers")
    first_unit = [0]
    for n in copies:
        first_unit.append(first_unit[-1] + n)
    units = first_unit[-1]
    onward: list[list[int]] = []
    for i, after in enumerate(followers):
        reached = [u for j in after for u in range(first_unit[j], first_unit[j + 1])]
        onward.extend([reached] * copies[i])
    return units - _match(onward, units)


def _match(onward: Sequence[Sequence[int]], units: int) -> int:
    """The size of a greatest matching of exits to entrances."""
    taken_by = [-1] * units  # by entrance: the exit that feeds it
    gives_to = [-1] * units
    matched = 0
    for exit_unit, entrances in enumerate(onward):  # a greedy start finds most of it
        for entrance in entrances:
            if taken_by[entrance] < 0:
                taken_by[entrance], gives_to[exit_unit] = exit_unit, entrance
                matched += 1
                break
    while True:
        level = _levels(onward, taken_by, gives_to)
        if level is None:
            return matched
        tried = [0] * units
        for exit_unit in range(units):
            if gives_to[exit_unit] < 0:
                matched += _augment(exit_unit, onward, taken_by, gives_to, level, tried)


def _levels(
    onward: Sequence[Sequence[int]], taken_by: Sequence[int], gives_to: Sequence[int]
) -> list[int] | None:
    """How many hand-overs each exit is from an idle one; None where no way ends free."""
    level = [0 if entrance < 0 else -1 for entrance in gives_to]
    queue = deque(unit for unit, at in enumerate(level) if at == 0)
    ends_free = False
    while queue:
        unit = queue.popleft()
        for entrance in onward[unit]:
            other = taken_by[entrance]
            if other < 0:
                ends_free = True
            elif level[other] < 0:
                level[other] = level[unit] + 1
                queue.append(other)
    return level if ends_free else None


def _augment(
    start: int,
    onward: Sequence[Sequence[int]],
    taken_by: list[int],
    gives_to: list[int],
    level: list[int],
    tried: list[int],
) -> int:
    """Follow one way down the levels to a free entrance and turn it round; 1 where found."""
    way = [start]
    while way:
        unit = way[-1]
        if tried[unit] == len(onward[unit]):
            way.pop()
            if way:
                tried[way[-1]] += 1
            continue
        other = taken_by[onward[unit][tried[unit]]]
        if other < 0:
            for step in way:
                entrance = onward[step][tried[step]]
                taken_by[entrance], gives_to[step] = step, entrance
                tried[step] += 1
            return 1
        if level[other] == level[unit] + 1:
            way.append(other)
        else:
            tried[unit] += 1
    return 0


def find_followers(placed: Sequence[Placed], relation: Relation) -> list[list[int]]:
    """For each appearance those that the same figure may play straight after it.

    n appearances take n^2 steps; `placed` in playing order.

    >>> from scenes.core.plot import Appearance, Plot, Scene, place_appearances
    >>> scenes = (Scene("a", "1", 240), Scene("b", "2", 300))
    >>> plot = Plot(scenes, tuple(Appearance(s, "Heron", "grey", s) for s in "ab"))
    >>> find_followers(place_appearances(plot), Relation(plot, "Heron"))
    [[1], []]
    """
    entering = [state_entering(p) for p in placed]
    found = []
    for first in placed:
        leaving = state_leaving(first)
        after = []
        for j, second in enumerate(placed):
            wait_s = second.enters_s - first.leaves_s
            if wait_s < 0:
                continue
            link = relation.link(leaving, entering[j])
            if link is not None and (wait_s >= link.need_s or (wait_s == 0 and link.may_touch)):
                after.append(j)
        found.append(after)
    return found


def count_fewest(placed: Sequence[Placed], relation: Relation) -> int:
    """The fewest figures for these appearances of one guise, without tracks or reason."""
    return count_tracks([p.appearance.copies for p in placed], find_followers(placed, relation))
