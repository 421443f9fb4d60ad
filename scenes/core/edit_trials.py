"""Edits of one guise tried on its pairs: which of them lower the count, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from scenes.core.counting.matching import count_tracks, find_followers
from scenes.core.counting.relation import Relation, State, state_entering, state_leaving
from scenes.core.plot import NOWHERE, ChangeRule, CostumeId, GuiseId, Placed, Plot, scene_starts
from scenes.core.plot_edits import Edit, EditKind


@dataclass(slots=True)
class Trial:
    """One guise, its pairs as they stand, and edits tried on them."""

    plot: Plot
    guise: GuiseId
    placed: Sequence[Placed]
    matters: frozenset[CostumeId]
    costumes: Sequence[CostumeId]  # that may be taken off and put on
    places: Sequence[str]
    least_change_s: int
    least_on_s: int
    relation: Relation = field(init=False)
    copies: list[int] = field(init=False)
    followers: list[list[int]] = field(init=False)
    figures: int = field(init=False)

    def __post_init__(self) -> None:
        self.relation = Relation(self.plot, self.guise)
        self.copies = [p.appearance.copies for p in self.placed]
        self.followers = find_followers(self.placed, self.relation)
        self.figures = count_tracks(self.copies, self.followers)

    def find(self) -> Iterator[tuple[Edit, int]]:
        """Edits of this guise with the figures each saves."""
        starts = scene_starts(self.plot.scenes)
        for index, p in enumerate(self.placed):
            a = p.appearance
            may_undress = a.costume not in self.matters
            if may_undress and (saved := self.figures - self._without(index)) > 0:
                yield Edit("cut", self.guise, a.key, a.scene), saved
            if self._at_best(index) >= self.figures:
                continue
            if may_undress:
                yield from self._costume_edits(index)
            if a.from_place != NOWHERE:
                yield from self._place_edits(index)
            start_s = starts[p.scene_position]
            yield from self._entrance_edits(index, start_s)
            yield from self._exit_edits(index, start_s)
        yield from self._change_edits()

    # -- counting ----------------------------------------------------------------------------

    def _without(self, index: int) -> int:
        followers = [
            [] if i == index else [j for j in after if j != index]
            for i, after in enumerate(self.followers)
        ]
        copies = [0 if i == index else n for i, n in enumerate(self.copies)]
        return count_tracks(copies, followers)

    def _at_best(self, index: int) -> int:
        """Figures if the appearance could follow, and be followed by, whatever time allows."""
        p = self.placed[index]
        first_s = min(p.enters_s + self.least_on_s, p.leaves_s)
        last_s = max(p.leaves_s - self.least_on_s, p.enters_s)
        followers = [list(after) for after in self.followers]
        followers[index] = [
            j for j, q in enumerate(self.placed) if j != index and q.enters_s >= first_s
        ]
        for i, q in enumerate(self.placed):
            if i != index and index not in followers[i] and q.leaves_s <= last_s:
                followers[i].append(index)
        return count_tracks(self.copies, followers)

    def _with(self, index: int, changed: Placed) -> int:
        """Figures with one appearance changed; only its own pairs are made anew."""
        can_follow = self.relation.can_follow
        followers = []
        for i, after in enumerate(self.followers):
            if i == index:
                mine = [
                    j for j, q in enumerate(self.placed) if j != index and can_follow(changed, q)
                ]
                followers.append(mine)
                continue
            others = [j for j in after if j != index]
            if can_follow(self.placed[i], changed):
                others.append(index)
            followers.append(others)
        return count_tracks(self.copies, followers)

    # -- edits -------------------------------------------------------------------------------

    def _edit(self, kind: EditKind, index: int, **said: object) -> Edit:
        a = self.placed[index].appearance
        return Edit(kind, self.guise, a.key, a.scene, **said)  # type: ignore[arg-type]

    def _costume_edits(self, index: int) -> Iterator[tuple[Edit, int]]:
        p = self.placed[index]
        for costume in self.costumes:
            if costume == p.appearance.costume:
                continue
            changed = replace(p, appearance=replace(p.appearance, costume=costume))
            if (saved := self.figures - self._with(index, changed)) > 0:
                yield self._edit("costume", index, costume=costume), saved

    def _place_edits(self, index: int) -> Iterator[tuple[Edit, int]]:
        p = self.placed[index]
        for place in self.places:
            if place == p.appearance.from_place:
                continue
            changed = replace(p, appearance=replace(p.appearance, from_place=place))
            if (saved := self.figures - self._with(index, changed)) > 0:
                yield self._edit("place", index, place=place), saved

    def _entrance_edits(self, index: int, start_s: int) -> Iterator[tuple[Edit, int]]:
        """Later entrances: only where one more figure is just in time does the count move."""
        p = self.placed[index]
        end_s = start_s + self.plot.scenes[p.scene_position].length_s
        last_s = min(p.leaves_s - self.least_on_s, end_s - 1)
        times = {
            q.leaves_s + need_s
            for q in self.placed
            for need_s in self._needs(state_leaving(q), state_entering(p))
        }
        most = 0
        for at_s in sorted(t for t in times if p.enters_s < t <= last_s and t >= start_s):
            saved = self.figures - self._with(index, replace(p, enters_s=at_s))
            if saved > most:
                most = saved
                moved_s = at_s - p.enters_s
                yield (
                    self._edit("enter_later", index, seconds=moved_s, at_s=at_s - start_s),
                    saved,
                )

    def _exit_edits(self, index: int, start_s: int) -> Iterator[tuple[Edit, int]]:
        p = self.placed[index]
        first_s = max(p.enters_s + self.least_on_s, start_s + 1)
        times = {
            q.enters_s - need_s
            for q in self.placed
            for need_s in self._needs(state_leaving(p), state_entering(q))
        }
        most = 0
        for at_s in sorted((t for t in times if first_s <= t < p.leaves_s), reverse=True):
            saved = self.figures - self._with(index, replace(p, leaves_s=at_s))
            if saved > most:
                most = saved
                moved_s = p.leaves_s - at_s
                yield (
                    self._edit("leave_earlier", index, seconds=moved_s, at_s=at_s - start_s),
                    saved,
                )

    def _needs(self, leaving: State, entering: State) -> tuple[int, ...]:
        """Waits at which a figure begins to be in time."""
        link = self.relation.link(leaving, entering)
        if link is None:
            return ()
        return (0, link.need_s) if link.may_touch else (link.need_s,)

    def _change_edits(self) -> Iterator[tuple[Edit, int]]:
        """One rule more, for each pair of costumes worn that has none."""
        worn = dict.fromkeys(p.appearance.costume for p in self.placed)
        for one in worn:
            for two in worn:
                if one is None or two is None or one == two:
                    continue
                if {one, two} & self.matters or (one, two) in self.relation.rules:
                    continue
                yield from self._rule_edits(one, two)

    def _rule_edits(self, one: CostumeId, two: CostumeId) -> Iterator[tuple[Edit, int]]:
        waits = {
            q.enters_s - p.leaves_s
            - self.relation.walk_s(p.appearance.to_place, q.appearance.from_place)
            - self.relation.reset_s
            for p in self.placed if p.appearance.costume == one
            for q in self.placed if q.appearance.costume == two
        }  # fmt: skip
        times = sorted((w for w in waits if w >= self.least_change_s), reverse=True)
        if not times or self._with_rule(one, two, times[-1]) >= self.figures:
            return
        most = 0
        for change_s in times:
            saved = self.figures - self._with_rule(one, two, change_s)
            if saved > most:
                most = saved
                rule = ChangeRule(self.guise, one, two, change_s)
                yield Edit("change", self.guise, rule=rule), saved

    def _with_rule(self, one: CostumeId, two: CostumeId, change_s: int) -> int:
        rule = ChangeRule(self.guise, one, two, change_s)
        plot = replace(self.plot, rules=(*self.plot.rules, rule))
        relation = Relation(plot, self.guise)
        followers = [
            [
                *after,
                *(
                    j
                    for j, q in enumerate(self.placed)
                    if q.appearance.costume == two and relation.can_follow(p, q)
                ),
            ]
            if p.appearance.costume == one
            else after
            for p, after in zip(self.placed, self.followers, strict=True)
        ]
        return count_tracks(self.copies, followers)
