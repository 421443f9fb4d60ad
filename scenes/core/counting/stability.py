"""From hand-overs to tracks that stray as little as can be from the last accepted count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from scenes.core.counting.cover import Cover
from scenes.core.counting.relation import Relation, state_entering, state_leaving
from scenes.core.plot import AppearanceKey, Placed

OldTrack: TypeAlias = object
Old: TypeAlias = Mapping[tuple[AppearanceKey, int], OldTrack]

MOST_SWAPS_TRIED = (
    200_000  # about a fifth of a second; beyond it tracks stay as the solver left them
)


class Played(NamedTuple):
    """An appearance by its place in the list, and the old track whose copy it takes, if any."""

    position: int
    old: OldTrack | None


@dataclass(slots=True)
class Run:
    """A track in the making: appearances in order, and the old track that it carries on."""

    played: list[Played] = field(default_factory=list)
    previous: OldTrack | None = None
    last_old: OldTrack | None = None

    def play(self, position: int, old: OldTrack | None) -> None:
        """Add an appearance, and remember the old track last met."""
        self.played.append(Played(position, old))
        if old is not None:
            self.last_old = old


def make_runs(cover: Cover, relation: Relation, previous: Old) -> list[Run]:
    """The tracks of a cover, with the old tracks whose copies they take.

    Hand-overs say from which appearance to which; where copies leave a choice, and where tails of
    two tracks may be swapped for nothing, old tracks are kept whole.
    """
    old_tracks = [_old_tracks(p, previous) for p in cover.placed]
    runs = _thread(cover, old_tracks)
    if previous:
        _swap_tails(runs, cover.placed, relation)
    return runs


def _old_tracks(placed: Placed, previous: Old) -> list[OldTrack]:
    """The old tracks that played this appearance, one a copy."""
    if not previous:
        return []
    key = placed.appearance.key
    copies = range(1, placed.appearance.copies + 1)
    return [previous[key, copy] for copy in copies if (key, copy) in previous]


def _thread(cover: Cover, old_tracks: Sequence[list[OldTrack]]) -> list[Run]:
    """Follow the hand-overs in playing order; a run takes the way its old track went."""
    runs: list[Run] = []
    going_to: dict[int, list[Run]] = {}
    onward: dict[int, list[tuple[int, int]]] = {}
    for first, second, units in cover.hand_overs:
        onward.setdefault(first, []).append((second, units))
    for index, placed in enumerate(cover.placed):
        here = going_to.pop(index, [])
        new = [Run() for _ in range(placed.appearance.copies - len(here))]
        runs.extend(new)
        here = here + new
        _take_copies(index, here, list(old_tracks[index]))
        for second, units in sorted(onward.get(index, ())):
            if wanted := old_tracks[second]:
                here.sort(key=lambda run: run.last_old is None or run.last_old not in wanted)
            going_to.setdefault(second, []).extend(here[:units])
            here = here[units:]
    return runs


def _take_copies(index: int, here: Sequence[Run], free: list[OldTrack]) -> None:
    """Give each run that comes by a copy: its own old one where there is one, else any."""
    chosen: dict[int, OldTrack] = {}
    for n, run in enumerate(here):
        if run.played and run.last_old in free:
            chosen[n] = run.last_old
            free.remove(run.last_old)
    for n, run in enumerate(here):
        old = chosen.get(n)
        if old is None and free:
            old = free.pop(0)
        run.play(index, old)


class _Cut(NamedTuple):
    """A hand-over on a run, after position `at`, and the old tracks on both sides of it."""

    run: int
    at: int
    before: OldTrack | None
    after: OldTrack | None


def _cuts(runs: Sequence[Run]) -> list[_Cut]:
    """Every hand-over and every end of a run."""
    cuts = []
    for number, run in enumerate(runs):
        after: OldTrack | None = None
        later: list[OldTrack | None] = []
        for played in reversed(run.played):
            later.append(after)
            after = played.old if played.old is not None else after
        before: OldTrack | None = None
        for at, (played, next_old) in enumerate(zip(run.played, reversed(later), strict=True)):
            before = played.old if played.old is not None else before
            cuts.append(_Cut(number, at, before, next_old))
    return cuts


def _swap_tails(runs: list[Run], placed: Sequence[Placed], relation: Relation) -> None:
    """Swap the tails of two runs wherever it costs nothing and mends old tracks."""
    tried = 0
    mended = True
    while mended and tried < MOST_SWAPS_TRIED:
        mended = False
        cuts = _cuts(runs)
        broken = [cut for cut in cuts if None not in cut[2:] and cut.before != cut.after]
        for one in broken:
            for other in cuts:
                tried += 1
                if other.run == one.run or not _mends(one, other):
                    continue
                if _swap_is_free(runs, one, other, placed, relation):
                    _swap(runs, one, other)
                    mended = True
                    break
            if mended or tried >= MOST_SWAPS_TRIED:
                break


def _agree(before: OldTrack | None, after: OldTrack | None) -> int:
    return int(before is not None and before == after)


def _mends(one: _Cut, other: _Cut) -> bool:
    swapped = _agree(one.before, other.after) + _agree(other.before, one.after)
    return swapped > _agree(one.before, one.after) + _agree(other.before, other.after)


def _swap_is_free(
    runs: Sequence[Run], one: _Cut, other: _Cut, placed: Sequence[Placed], relation: Relation
) -> bool:
    """Whether both runs may go on as the other did, at the same changes and crossings."""
    first, second = runs[one.run].played, runs[other.run].played
    ends = [(first, one.at, first), (second, other.at, second)]
    crossed = [(first, one.at, second, other.at), (second, other.at, first, one.at)]
    now = then = (0, 0)
    for run, at, _ in ends:
        cost = _hand_over_cost(run, at, run, at, placed, relation)
        if cost is None:
            return False
        now = (now[0] + cost[0], now[1] + cost[1])
    for run, at, onto, onto_at in crossed:
        cost = _hand_over_cost(run, at, onto, onto_at, placed, relation)
        if cost is None:
            return False
        then = (then[0] + cost[0], then[1] + cost[1])
    return now == then


def _hand_over_cost(
    run: Sequence[Played],
    at: int,
    onto: Sequence[Played],
    onto_at: int,
    placed: Sequence[Placed],
    relation: Relation,
) -> tuple[int, int] | None:
    """Changes and crossings from one stop to the one after another cut; None if not allowed."""
    if onto_at + 1 >= len(onto):
        return (0, 0)
    first, second = placed[run[at].position], placed[onto[onto_at + 1].position]
    link = relation.link(state_leaving(first), state_entering(second))
    if link is None or not relation.can_follow(first, second):
        return None
    return (int(link.is_change), int(link.is_crossing))


def _swap(runs: list[Run], one: _Cut, other: _Cut) -> None:
    first, second = runs[one.run].played, runs[other.run].played
    tail, other_tail = first[one.at + 1 :], second[other.at + 1 :]
    first[one.at + 1 :] = other_tail
    second[other.at + 1 :] = tail


def name_runs(runs: Sequence[Run]) -> None:
    """Each old track is carried on by the run that shares most with it; ties to the earlier run.

    To be called with all runs of a guise in order, so that an old track has one heir.
    """
    shared: dict[tuple[int, OldTrack], int] = {}
    for number, run in enumerate(runs):
        for played in run.played:
            if played.old is not None:
                shared[number, played.old] = shared.get((number, played.old), 0) + 1
    carried: set[OldTrack] = set()
    by_share = sorted(shared.items(), key=lambda pair: (-pair[1], pair[0][0], str(pair[0][1])))
    for (number, old), _ in by_share:
        if runs[number].previous is None and old not in carried:
            runs[number].previous = old
            carried.add(old)
