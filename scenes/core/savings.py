"""What would save a figure: every single edit of the plot tried, and those that do kept."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from company.core.units import format_time
from scenes.core.counting.matching import count_tracks, find_followers
from scenes.core.counting.relation import Relation, State, state_entering, state_leaving
from scenes.core.naming import Names
from scenes.core.plot import (
    NOWHERE,
    AppearanceKey,
    ChangeRule,
    CostumeId,
    GuiseId,
    Placed,
    Plot,
    SceneKey,
    place_appearances,
    scene_starts,
)
from scenes.core.plot_problems import costume_owners
from scenes.core.ranges import known_places

EditKind: TypeAlias = Literal["place", "enter_later", "leave_earlier", "change", "costume", "cut"]

LEAST_CHANGE_S = 60  # a change in less is not thought of; common practice, no source
LEAST_ON_S = 30  # what an appearance keeps of its time; common practice, no source
_GENTLE: tuple[EditKind, ...] = (
    "enter_later", "leave_earlier", "place", "change", "costume", "cut",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit of the plot.

    `key` is the appearance that is edited, None for a change. `seconds` is how far a time moves,
    `at_s` where to (seconds after the scene's start). `rule` is the change to allow: its
    `change_s` is the longest it may take and still save.
    """

    kind: EditKind
    guise: GuiseId
    key: AppearanceKey | None = None
    scene: SceneKey | None = None
    seconds: int = 0
    at_s: int | None = None
    place: str = NOWHERE
    costume: CostumeId | None = None
    rule: ChangeRule | None = None

    def words(self, names: Names) -> str:
        """The edit in a maker's words.

        >>> Edit("enter_later", "the Heron", "x", "4", seconds=20).words(Names())
        'the Heron enters scene 4 0:20 later'
        """
        who, where = names.guise(self.guise), names.scene(self.scene)
        if self.kind == "place":
            return f"{who} enters {where} from {self.place}"
        if self.kind == "enter_later":
            return f"{who} enters {where} {format_time(self.seconds)} later"
        if self.kind == "leave_earlier":
            return f"{who} leaves {where} {format_time(self.seconds)} earlier"
        if self.kind == "costume":
            return f"{who} wears the {names.costume(self.costume)} in {where}"
        if self.kind == "cut":
            return f"{who} is cut from {where}"
        assert self.rule is not None
        first, second = (names.costume(c) for c in (self.rule.from_costume, self.rule.to_costume))
        return f"{who} changes from {first} to {second} within {format_time(self.rule.change_s)}"


@dataclass(frozen=True, slots=True)
class Saving:
    """An edit, the figures it saves and the minutes of building; cloth is never saved."""

    edit: Edit
    figures: int
    minutes: int


def apply_edit(plot: Plot, edit: Edit) -> Plot:
    """The plot with the edit made. Raises ValueError where its appearance is not in the plot.

    >>> apply_edit(Plot(), Edit("cut", "Heron", "x"))
    Traceback (most recent call last):
    ...
    ValueError: appearance 'x' is not in the plot
    """
    if edit.rule is not None:
        return replace(plot, rules=(*plot.rules, edit.rule))
    if all(a.key != edit.key for a in plot.appearances):
        raise ValueError(f"appearance {edit.key!r} is not in the plot")
    if edit.kind == "cut":
        return replace(plot, appearances=tuple(a for a in plot.appearances if a.key != edit.key))
    changed: dict[str, object] = {
        "place": {"from_place": edit.place},
        "enter_later": {"enters_s": edit.at_s},
        "leave_earlier": {"leaves_s": edit.at_s},
        "costume": {"costume": edit.costume},
    }[edit.kind]  # type: ignore[assignment]
    return replace(
        plot,
        appearances=tuple(
            replace(a, **changed) if a.key == edit.key else a  # type: ignore[arg-type]
            for a in plot.appearances
        ),
    )


def find_savings(
    plot: Plot,
    figure_min: Mapping[GuiseId, int],
    matters: Collection[CostumeId] = (),
    *,
    least_change_s: int = LEAST_CHANGE_S,
    least_on_s: int = LEAST_ON_S,
) -> tuple[Saving, ...]:
    """Every single edit that lowers the count of a sound plot, best first.

    Tried: another costume of the guise in one appearance; one change allowed that the gap has
    time for (for the longest time that still saves, at least `least_change_s`); an entrance later
    or an exit earlier within the scene (by the least that saves; `least_on_s` stay); the entrance
    from another place; one appearance cut. Costumes in `matters` are never taken off, put on or
    cut. A larger move is listed too where it saves more. `figure_min` holds the build minutes of
    one figure of a guise without its cloth (0 where not listed).

    Best first: minutes saved, figures saved, then the gentler edit and the smaller move. Each
    guise is counted on its own, by a matching in which only the edited appearance's pairs are
    made anew; ten scenes take some tens of milliseconds.

    >>> from scenes.core.plot import Appearance, Scene
    >>> scenes = (Scene("a", "1", 240), Scene("b", "2", 300))
    >>> worn = (("x", "coat", "a"), ("y", "gown", "b"))
    >>> plot = Plot(scenes, tuple(Appearance(k, "Quill", c, s) for k, c, s in worn))
    >>> found = find_savings(plot, {"Quill": 5000}, {"gown"})
    >>> [(s.edit.words(Names()), s.figures, s.minutes) for s in found]
    [('Quill is cut from scene a', 1, 5000)]
    """
    owners = costume_owners(plot)
    by_guise: dict[GuiseId, list[Placed]] = {guise: [] for guise in plot.all_guises()}
    for placed in place_appearances(plot):
        by_guise[placed.appearance.guise].append(placed)
    found: list[tuple[tuple[int, ...], Saving]] = []
    for guise, placed_here in by_guise.items():
        costumes = [c for c, owner in owners.items() if owner == guise and c not in matters]
        trial = _Trial(plot, guise, placed_here, frozenset(matters), costumes,
                       known_places(plot), least_change_s, least_on_s)  # fmt: skip
        minutes = figure_min.get(guise, 0)
        rank = {p.appearance.key: n for n, p in enumerate(placed_here)}
        for edit, figures in trial.find():
            order = (
                -minutes * figures,
                -figures,
                _GENTLE.index(edit.kind),
                edit.seconds or -(edit.rule.change_s if edit.rule else 0),
                rank.get(edit.key, 0),
                len(found),
            )
            found.append((order, Saving(edit, figures, minutes * figures)))
    return tuple(saving for _, saving in sorted(found, key=lambda pair: pair[0]))


@dataclass(slots=True)
class _Trial:
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
