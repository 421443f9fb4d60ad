"""How much blanks can move the count: the fewest and the most figures over all ways to fill them.

A blank is an undecided costume, a place of entrance or a place of exit that nobody has said. An
undecided costume is one of its guise's, or one costume more that nobody has named yet; a place is
one of the show's. All copies of an appearance are filled alike, so a count in which copies left by
different places may lie below the fewest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal, TypeAlias

from scenes.core.counting.matching import count_fewest
from scenes.core.counting.relation import Relation, State
from scenes.core.fillings import End, Ends, Maze, find_end
from scenes.core.naming import Names
from scenes.core.plot import (
    NOWHERE,
    AppearanceKey,
    CostumeId,
    GuiseId,
    Placed,
    Plot,
    place_appearances,
)
from scenes.core.plot_problems import costume_owners

What: TypeAlias = Literal["costume", "from_place", "to_place"]
Value: TypeAlias = CostumeId | None  # a place, a costume, or None: a costume not named yet

USUAL_PLACES = ("left", "right")
MOST_WAYS = 200_000  # pairs x fillings of both; beyond it the ends are bounds and said to be
MOST_ENDS = 24  # single values looked into; each takes two solves of a few milliseconds


@dataclass(frozen=True, slots=True)
class Decision:
    """One blank filled. `value` None is a costume that nobody has named yet."""

    key: AppearanceKey
    what: What
    value: Value


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank that can move some pair of appearances, and what deciding it alone does.

    `outcomes`: each value with the fewest and the most figures of the guise once it is decided;
    empty where there were too many blanks to look into each. `matters`: whether some value
    narrows the range (always where `outcomes` is empty: not ruled out).
    """

    key: AppearanceKey
    what: What
    outcomes: tuple[tuple[Value, int, int], ...]
    matters: bool


@dataclass(frozen=True, slots=True)
class GuiseRange:
    """Fewest and most figures of a guise. `figures` is the count with blanks left blank.

    `for_it` fills the blanks so that `lowest` is met, `against` are the decisions that take it
    from there to `highest`, none of them to spare. Not `proved`: the ends are bounds that no way
    of filling passes, and need not be met.
    """

    guise: GuiseId
    figures: int
    lowest: int
    highest: int
    proved: bool = True
    blanks: tuple[Blank, ...] = ()
    for_it: tuple[Decision, ...] = ()
    against: tuple[Decision, ...] = ()


@dataclass(frozen=True, slots=True)
class Range:
    """Fewest and most figures of the plot; guises in the plot's order."""

    figures: int
    lowest: int
    highest: int
    proved: bool
    guises: tuple[GuiseRange, ...]

    def words(self) -> str:
        """The range in a maker's words.

        >>> Range(11, 11, 12, True, ()).words()
        '11, or 12 if the blanks go against you'
        """
        if self.lowest == self.highest:
            return f"{self.lowest}, however the blanks are filled"
        if not self.proved:
            return f"no fewer than {self.lowest} and no more than {self.highest}"
        if self.highest - self.lowest == 1:
            return f"{self.lowest}, or {self.highest} if the blanks go against you"
        return f"{self.lowest}, or up to {self.highest} if the blanks go against you"


def say_decision(decision: Decision, plot: Plot, names: Names) -> str:
    """A decision as 'Heron in scene 4 wears the grey' or 'Heron in scene 4 enters from left'."""
    appearance = next(a for a in plot.appearances if a.key == decision.key)
    who = f"{names.guise(appearance.guise)} in {names.scene(appearance.scene)}"
    if decision.what == "costume":
        if decision.value is None:
            return f"{who} wears a costume not named yet"
        return f"{who} wears the {names.costume(decision.value)}"
    verb = "enters from" if decision.what == "from_place" else "leaves to"
    return f"{who} {verb} {decision.value}"


def count_range(plot: Plot) -> Range:
    """The fewest and the most figures over every way to fill the blanks of a sound plot.

    Each end is one integer program, solved by HiGHS (Huangfu and Hall 2018, Mathematical
    Programming Computation 10): the fewest is a greatest matching chosen together with the
    fillings; the most is, by Koenig's theorem (1931), a smallest vertex cover chosen together
    with them. What the program finds is counted again with the blanks filled. Guises without
    blanks cost one count. Ten scenes take some hundredths of a second.

    >>> from scenes.core.plot import Appearance, Scene
    >>> scenes = (Scene("a", "1", 240), Scene("b", "2", 300))
    >>> worn = (("x", "coat", "a"), ("y", None, "b"))
    >>> plot = Plot(scenes, tuple(Appearance(k, "Quill", c, s) for k, c, s in worn))
    >>> found = count_range(plot)
    >>> found.words(), found.guises[0].against
    ('1, or 2 if the blanks go against you', (Decision(key='y', what='costume', value=None),))
    """
    places = known_places(plot)
    owners = costume_owners(plot)
    by_guise: dict[GuiseId, list[Placed]] = {guise: [] for guise in plot.all_guises()}
    for placed in place_appearances(plot):
        by_guise[placed.appearance.guise].append(placed)
    guises = []
    for guise, placed_here in by_guise.items():
        costumes = [costume for costume, owner in owners.items() if owner == guise]
        guises.append(_range_of(plot, guise, placed_here, [*costumes, None], places))
    return Range(
        sum(found.figures for found in guises),
        sum(found.lowest for found in guises),
        sum(found.highest for found in guises),
        all(found.proved for found in guises),
        tuple(guises),
    )


def known_places(plot: Plot) -> tuple[str, ...]:
    """Places that the plot names; left and right where it does not name two.

    >>> known_places(Plot(walks={("bridge", "left"): 20}))
    ('bridge', 'left')
    """
    named = dict.fromkeys(
        [place for a in plot.appearances for place in (a.from_place, a.to_place) if place]
        + [place for pair in plot.walks for place in pair]
    )
    if len(named) < 2:
        named.update(dict.fromkeys(USUAL_PLACES))
    return tuple(sorted(named))


def fill_blanks(plot: Plot, decisions: Sequence[Decision]) -> Plot:
    """The plot with these blanks filled."""
    said: dict[AppearanceKey, dict[str, Value]] = {}
    for decision in decisions:
        said.setdefault(decision.key, {})[decision.what] = decision.value
    appearances = tuple(
        replace(a, **said[a.key]) if a.key in said else a  # type: ignore[arg-type]
        for a in plot.appearances
    )
    return replace(plot, appearances=appearances)


def _range_of(
    plot: Plot,
    guise: GuiseId,
    placed: Sequence[Placed],
    costumes: Sequence[CostumeId | None],
    places: Sequence[str],
) -> GuiseRange:
    relation = Relation(plot, guise)
    figures = count_fewest(placed, relation)
    choices = [_choices(p, costumes, places) for p in placed]
    if all(len(fillings) == 1 for fillings in choices):
        return GuiseRange(guise, figures, figures, figures)
    maze = Maze.of(placed, choices, relation)
    if maze.is_settled:
        return GuiseRange(guise, figures, figures, figures)
    if maze.ways > MOST_WAYS:
        low, high = maze.bounds()
        return GuiseRange(guise, figures, low, high, low == high, tuple(_blanks(maze, None)))
    ends = find_end(maze, "fewest"), find_end(maze, "most")
    is_proved = ends[0].is_proved and ends[1].is_proved
    blanks = tuple(_blanks(maze, ends if is_proved else None))
    low_end, high_end = ends
    return GuiseRange(
        guise=guise,
        figures=figures,
        lowest=low_end.bound,
        highest=high_end.bound,
        proved=is_proved,
        blanks=blanks,
        for_it=tuple(_decisions(maze, low_end.fillings, blanks)),
        against=tuple(_against(maze, low_end, high_end, blanks)),
    )


def _choices(
    placed: Placed, costumes: Sequence[CostumeId | None], places: Sequence[str]
) -> list[tuple[State, State]]:
    """Every way to fill an appearance's blanks, as (entering, leaving)."""
    a = placed.appearance
    worn = costumes if a.costume is None else (a.costume,)
    in_by = places if a.from_place == NOWHERE else (a.from_place,)
    out_by = places if a.to_place == NOWHERE else (a.to_place,)
    return [
        (State(costume, a.rig, start), State(costume, a.rig, end))
        for costume, start, end in product(worn, in_by, out_by)
    ]


def _blank_kinds(placed: Placed) -> Iterator[What]:
    a = placed.appearance
    if a.costume is None:
        yield "costume"
    if a.from_place == NOWHERE:
        yield "from_place"
    if a.to_place == NOWHERE:
        yield "to_place"


def _value(filling: tuple[State, State], what: What) -> Value:
    entering, leaving = filling
    if what == "costume":
        return entering.costume
    return entering.place if what == "from_place" else leaving.place


def _blanks(maze: Maze, ends: Ends | None) -> Iterator[Blank]:
    """Blanks by appearance, each with what its values do; values that do alike are kept."""
    found = []
    for index, placed in enumerate(maze.placed):
        if len(maze.classes[index]) == 1:
            continue
        for what in _blank_kinds(placed):
            by_value: dict[Value, frozenset[int]] = {}
            for n, members in enumerate(maze.classes[index]):
                for filling in members:
                    value = _value(filling, what)
                    by_value[value] = by_value.get(value, frozenset()) | {n}
            if len(set(by_value.values())) > 1:
                found.append((index, what, by_value))
    too_many = sum(len(by_value) for _, _, by_value in found) > MOST_ENDS
    if ends is not None and ends[0].bound == ends[1].bound:
        return
    for index, what, by_value in found:
        key = maze.placed[index].appearance.key
        if ends is None or too_many:
            yield Blank(key, what, (), True)
            continue
        outcomes = tuple(
            (value, *_outcome(maze, index, allowed, ends)) for value, allowed in by_value.items()
        )
        whole = (ends[0].bound, ends[1].bound)
        yield Blank(key, what, outcomes, any(outcome[1:] != whole for outcome in outcomes))


def _outcome(maze: Maze, index: int, allowed: frozenset[int], ends: Ends) -> tuple[int, int]:
    """The range once an appearance is held to some of its fillings."""
    low, high = ends
    fewest = low.bound
    most = high.bound
    if low.classes[index] not in allowed:
        fewest = find_end(maze, "fewest", {index: allowed}).bound
    if high.classes[index] not in allowed:
        most = find_end(maze, "most", {index: allowed}).bound
    return fewest, most


def _decisions(
    maze: Maze, fillings: Sequence[tuple[State, State]], blanks: Sequence[Blank]
) -> Iterator[Decision]:
    """What a way of filling says about the blanks."""
    rank = {p.appearance.key: index for index, p in enumerate(maze.placed)}
    for blank in blanks:
        yield Decision(blank.key, blank.what, _value(fillings[rank[blank.key]], blank.what))


def _against(maze: Maze, low: End, high: End, blanks: Sequence[Blank]) -> Iterator[Decision]:
    """Decisions that bring the most figures, the others left as in the best way of filling.

    Blank by blank goes back to its best value wherever the number stays; what is left is needed.
    """
    if low.bound == high.bound or not high.is_proved:
        return
    rank = {p.appearance.key: index for index, p in enumerate(maze.placed)}
    now = list(high.fillings)
    left: list[Blank] = []
    for blank in blanks:
        index = rank[blank.key]
        best = _value(low.fillings[index], blank.what)
        tried = _with_value(now[index], blank.what, best)
        before, now[index] = now[index], tried
        if maze.figures_with(now) != high.bound:
            now[index] = before
            left.append(blank)
    yield from _decisions(maze, now, left)


def _with_value(filling: tuple[State, State], what: What, value: Value) -> tuple[State, State]:
    entering, leaving = filling
    if what == "costume":
        return entering._replace(costume=value), leaving._replace(costume=value)
    if what == "from_place":
        return entering._replace(place=str(value)), leaving
    return entering, leaving._replace(place=str(value))
