"""Finding the cause behind the number of one part: all on at once, too tight, or shared."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.core.counting.cover import Cover, find_witness
from scenes.core.counting.reasons import Block, Cause, Part, Tight
from scenes.core.counting.relation import Relation, state_entering, state_leaving
from scenes.core.plot import Placed

MOST_PAIRS = 12  # enough to show; a witness of thirty has hundreds


def explain_cover(cover: Cover, relation: Relation) -> Part:
    """Why the part needs its figures, with appearances that show it."""
    placed = cover.placed
    figures = cover.figures
    if figures == 1:
        return _make_part(cover, "alone", [], ())
    busiest = find_busiest(placed)
    if sum(p.appearance.copies for p in busiest) == figures:
        return _make_part(cover, "at_once", busiest, ())
    witness = find_witness(cover, relation)
    if witness is None:
        return _make_part(cover, "shared", [], ())
    shown = [placed[index] for index in witness]
    return _make_part(cover, "too_tight", shown, _tightest(shown, relation))


def _tightest(shown: Sequence[Placed], relation: Relation) -> tuple[Tight, ...]:
    """What keeps apart those of the witness that are not on at once, shortest wait first."""
    pairs = [
        (second.enters_s - first.leaves_s, n, first, second)
        for n, first in enumerate(shown)
        for second in shown[n + 1 :]
        if first.leaves_s <= second.enters_s
    ]
    pairs.sort(key=lambda pair: pair[:2])
    return tuple(
        explain_pair(first, second, relation) for _, _, first, second in pairs[:MOST_PAIRS]
    )


def find_busiest(placed: Sequence[Placed]) -> list[Placed]:
    """Appearances on at the first moment with the most copies on; `placed` in playing order."""
    ends = sorted(placed, key=lambda p: p.leaves_s)
    on_now = most = best_s = gone = 0
    for p in placed:
        while ends[gone].leaves_s <= p.enters_s:
            on_now -= ends[gone].appearance.copies
            gone += 1
        on_now += p.appearance.copies
        if on_now > most:
            most, best_s = on_now, p.enters_s
    return [p for p in placed if p.enters_s <= best_s < p.leaves_s]


def explain_pair(first: Placed, second: Placed, relation: Relation) -> Tight:
    """What keeps one figure from playing `second` after `first`, which is off by then."""
    a, b = first.appearance, second.appearance
    gap_s = second.enters_s - first.leaves_s
    link = relation.link(state_leaving(first), state_entering(second))
    block: Block
    if not relation.rigs_agree(a.rig, b.rig):
        block = "rig"
    elif link is None:
        block = "no_change"
    elif link.is_change and gap_s < link.need_s - relation.walk_s(a.to_place, b.from_place):
        block = "change"
    elif link.is_crossing:
        block = "cross"
    else:
        block = "change" if link.is_change else "reset"
    return Tight(
        block=block,
        from_key=a.key,
        to_key=b.key,
        from_scene=a.scene,
        to_scene=b.scene,
        from_costume=a.costume,
        to_costume=b.costume,
        from_rig=a.rig,
        to_rig=b.rig,
        gap_s=gap_s,
        need_s=None if link is None else link.need_s,
    )


def _make_part(
    cover: Cover, cause: Cause, witness: Sequence[Placed], tight: tuple[Tight, ...]
) -> Part:
    by_scene = sorted(witness, key=lambda p: p.scene_position)
    return Part(
        figures=cover.figures,
        cause=cause,
        costumes=tuple(dict.fromkeys(p.appearance.costume for p in cover.placed)),
        rigs=tuple(dict.fromkeys(p.appearance.rig for p in cover.placed)),
        witness=tuple((p.appearance.key, p.appearance.copies) for p in witness),
        scenes=tuple(dict.fromkeys(p.appearance.scene for p in by_scene)),
        tight=tight,
        appearances=len(cover.placed),
    )
