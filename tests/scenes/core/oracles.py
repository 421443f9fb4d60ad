"""Slow and obvious answers to compare the count with: every way to share appearances, tried out.

Nothing here imports the counting package: the rule on pairs is written again from its words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import pairwise

from scenes.core.plot import Appearance, Plot

Unit = tuple[Appearance, int, int, int]  # appearance, copy, enters, leaves in show time


def lay_out(plot: Plot) -> list[Unit]:
    """Every copy of every appearance on the time line, by entrance."""
    starts, at_s = {}, 0
    for scene in plot.scenes:
        starts[scene.key] = (at_s, scene.length_s)
        at_s += scene.length_s + scene.gap_s
    units = []
    for a in plot.appearances:
        start_s, length_s = starts[a.scene]
        enters_s = start_s + (a.enters_s if a.enters_s is not None else 0)
        leaves_s = start_s + (a.leaves_s if a.leaves_s is not None else length_s)
        units.extend((a, copy, enters_s, leaves_s) for copy in range(1, a.copies + 1))
    return sorted(units, key=lambda unit: (unit[2], unit[3], str(unit[0].key), unit[1]))


def cost_of_step(plot: Plot, before: Unit, after: Unit) -> tuple[int, int] | None:
    """Changes and crossings of one figure going from one to the other; None where it cannot."""
    a, _, _, leaves_s = before
    b, _, enters_s, _ = after
    if a.guise != b.guise:
        return None
    if a.rig != b.rig:
        if a.rig and b.rig:
            return None
        if (a.guise, a.rig or b.rig) not in plot.plain_rigs:
            return None
    seconds = 0
    changes = 0
    if a.costume != b.costume:
        rules = [
            r for r in plot.rules
            if (r.guise, r.from_costume, r.to_costume) == (a.guise, a.costume, b.costume)
        ]  # fmt: skip
        if not rules:
            return None
        changes = 1
        seconds += rules[0].change_s
    crossings = 0
    if a.to_place and b.from_place and a.to_place != b.from_place:
        crossings = 1
        seconds += plot.walks.get((a.to_place, b.from_place), plot.crossing_s)
    if leaves_s == enters_s and not changes and not crossings:
        return (0, 0)
    return (changes, crossings) if leaves_s + seconds + plot.reset_s <= enters_s else None


def old_steps(
    plot: Plot, previous: Mapping[tuple[object, int], object]
) -> Counter[tuple[object, object]]:
    """Steps of the old tracks between what is still there, where they are still allowed."""
    tracks: dict[object, list[Unit]] = {}
    for unit in lay_out(plot):
        stop = (unit[0].key, unit[1])
        if stop in previous:
            tracks.setdefault(previous[stop], []).append(unit)
    return Counter(
        (before[0].key, after[0].key)
        for track in tracks.values()
        for before, after in pairwise(track)
        if cost_of_step(plot, before, after) is not None
    )


def best_by_trying_all(
    plot: Plot, previous: Mapping[tuple[object, int], object] | None = None
) -> tuple[int, int, int, int]:
    """Figures, changes, crossings, old steps lost: the best of all partitions, in that order."""
    units = lay_out(plot)
    old = old_steps(plot, previous or {})
    best: tuple[int, int, int, int] | None = None
    for tracks in _partitions(plot, units, 0, [], best_so_far := [len(units)]):
        best_so_far[0] = min(best_so_far[0], len(tracks))
        steps = [step for track in tracks for step in pairwise(track)]
        costs = [cost_of_step(plot, *step) for step in steps]
        kept = Counter((before[0].key, after[0].key) for before, after in steps) & old
        aims = (
            len(tracks),
            sum(cost[0] for cost in costs if cost),
            sum(cost[1] for cost in costs if cost),
            old.total() - kept.total(),
        )
        best = aims if best is None else min(best, aims)
    assert best is not None
    return best


def _partitions(
    plot: Plot, units: list[Unit], at: int, tracks: list[list[Unit]], most: list[int]
) -> Iterator[list[list[Unit]]]:
    """Every way to put the units on tracks, of no more tracks than the fewest met so far."""
    if len(tracks) > most[0]:
        return
    if at == len(units):
        yield tracks
        return
    for track in tracks:
        if cost_of_step(plot, track[-1], units[at]) is not None:
            track.append(units[at])
            yield from _partitions(plot, units, at + 1, tracks, most)
            track.pop()
    tracks.append([units[at]])
    yield from _partitions(plot, units, at + 1, tracks, most)
    tracks.pop()


def all_partitions(plot: Plot, units: list[Unit]) -> Iterator[list[list[Unit]]]:
    """Every way to put the units on tracks; the same lists each time, filled anew."""

    def put(at: int, tracks: list[list[Unit]]) -> Iterator[list[list[Unit]]]:
        if at == len(units):
            yield tracks
            return
        for track in tracks:
            if cost_of_step(plot, track[-1], units[at]) is not None:
                track.append(units[at])
                yield from put(at + 1, tracks)
                track.pop()
        tracks.append([units[at]])
        yield from put(at + 1, tracks)
        tracks.pop()

    yield from put(0, [])


def people_at(plot: Plot, at_s: int) -> tuple[int, int]:
    """People working and hooks in use at one second, from the words of the rule."""
    two = one = hung = handling = 0
    for a, _, enters_s, leaves_s in lay_out(plot):
        if not enters_s <= at_s < leaves_s:
            continue
        two += a.hold == "two hands"
        one += a.hold == "one hand"
        hung += a.hold == "hung in view"
        if a.hold in ("hung in view", "set down"):
            handling += at_s < enters_s + 10 or at_s >= leaves_s - 10
    return two + (one + 1) // 2 + handling, hung
