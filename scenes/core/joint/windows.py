"""When a change can be made: between an exit and an entrance, and not when an interval ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from scenes.core.counting.handover import Unit
from scenes.core.counting.matching import find_followers
from scenes.core.counting.relation import Link, Relation, state_entering, state_leaving
from scenes.core.counting.threading import list_units
from scenes.core.plot import ChangeRule, GuiseId, Placed, Plot, scene_starts

INTERVAL_LOST_S = 8 * 60  # of an interval only its length less 8 minutes; common practice


class Span(NamedTuple):
    """Seconds of the show from one to another, both included where it holds starts."""

    first_s: int
    last_s: int


@dataclass(frozen=True, slots=True)
class Step:
    """One figure going from a unit to another; `starts` are the seconds a change may start at.

    `rule` None: the costume stays, and nothing has to be fitted in.
    """

    first: Unit
    second: Unit
    link: Link
    rule: ChangeRule | None = None
    starts: tuple[Span, ...] = ()

    @property
    def needs_people(self) -> bool:
        """Whether anybody is kept by it for any time."""
        return self.rule is not None and self.rule.change_s > 0 and self.rule.people > 0


@dataclass(frozen=True, slots=True)
class Part:
    """One guise with every step that its figures may take; `placed` in playing order."""

    guise: GuiseId
    placed: tuple[Placed, ...]
    relation: Relation
    units: tuple[Unit, ...]
    steps: tuple[Step, ...]


def find_lost(plot: Plot) -> tuple[Span, ...]:
    """The last eight minutes of every interval (all of a shorter one): [first, last) seconds.

    >>> from scenes.core.plot import Scene
    >>> find_lost(Plot((Scene("a", "1", 60, gap_s=900, is_interval=True), Scene("b", "2", 60))))
    (Span(first_s=480, last_s=960),)
    """
    lost = []
    for start_s, scene in zip(scene_starts(plot.scenes)[1:], plot.scenes, strict=False):
        if scene.is_interval and scene.gap_s > 0:
            lost.append(Span(start_s - min(INTERVAL_LOST_S, scene.gap_s), start_s))
    return tuple(lost)


def find_starts(first_s: int, last_s: int, change_s: int, lost: Sequence[Span]) -> tuple[Span, ...]:
    """Seconds from `first_s` to `last_s` at which a change may start so that it runs in one go.

    >>> find_starts(0, 1000, 60, [Span(480, 960)])
    (Span(first_s=0, last_s=420), Span(first_s=960, last_s=1000))
    """
    spans = [Span(first_s, last_s)] if first_s <= last_s else []
    if not change_s:
        return tuple(spans)
    for hole in lost:
        left: list[Span] = []
        for span in spans:
            before = Span(span.first_s, min(span.last_s, hole.first_s - change_s))
            after = Span(max(span.first_s, hole.last_s), span.last_s)
            left.extend(s for s in (before, after) if s.first_s <= s.last_s)
        spans = left
    return tuple(dict.fromkeys(spans))


def make_part(plot: Plot, guise: GuiseId, placed: Sequence[Placed], people: int) -> Part:
    """Every step of a guise that the clock allows, and that `people` are enough for.

    The change comes first, where the figure came off; the way to its entrance and the reset
    follow it.
    """
    relation = Relation(plot, guise)
    lost = find_lost(plot)
    steps = []
    for i, after in enumerate(find_followers(placed, relation)):
        for j in after:
            first, second = placed[i], placed[j]
            link = relation.link(state_leaving(first), state_entering(second))
            assert link is not None  # it is among the followers
            rule = relation.rule_between(first, second)
            starts: tuple[Span, ...] = ()
            if rule is not None:
                last_s = second.enters_s - link.need_s
                starts = find_starts(first.leaves_s, last_s, rule.change_s, lost)
                if not starts or (rule.change_s and rule.people > people):
                    continue
            for one in range(1, first.appearance.copies + 1):
                for two in range(1, second.appearance.copies + 1):
                    steps.append(Step((i, one), (j, two), link, rule, starts))
    return Part(guise, tuple(placed), relation, tuple(list_units(placed)), tuple(steps))
