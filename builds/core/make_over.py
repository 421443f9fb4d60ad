"""Making a figure over for another track: what is undone, what is still to do, what is lost.

Another costume: the strings come off, it is sewn, strung and trued again. Another guise on a
borrowed body: head, paint and wig anew. Another posture: a new body under the old head. Which
stages that means is written on the route (`done_to`); the usual hours there are common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, field

from builds.core.stepping import REMOVABLE_PERCENT, hours_of
from builds.core.workshop import (
    BODY,
    COSTUME,
    CROWD,
    FIGURE,
    GUISE,
    HEAD,
    MADE_OVER,
    POUR,
    Guise,
    RouteStage,
    Worn,
)


@dataclass(frozen=True, slots=True)
class State:
    """How far a figure is. Minutes are whole.

    `dressed_in` is the costume that it is sewn into, if any. `done` and `begun` are keys of
    stages of the figure (pours too) in the round it is in, `sewn` the costumes whose own stages
    are finished, `asked_again` stages of a making over that still waits. `spent` says what the
    work done in a stage is worth: by key, or by (key, costume) for a costume's.
    """

    guise: Hashable
    dressed_in: Hashable | None = None
    done: frozenset[str] = frozenset()
    begun: frozenset[str] = frozenset()
    sewn: frozenset[Hashable] = frozenset()
    asked_again: frozenset[str] = frozenset()
    spent: Mapping[Hashable, int] = field(default_factory=dict)

    @property
    def is_begun(self) -> bool:
        """Whether anything at all was begun on it."""
        return bool(self.done or self.begun or self.sewn)

    @property
    def spent_min(self) -> int:
        """All the work in it."""
        return sum(self.spent.values())


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a track asks of its figure: the guise, and what it wears, the first built in."""

    guise: Guise
    wears: tuple[Worn, ...] = ()


@dataclass(frozen=True, slots=True)
class MakingOver:
    """What using a figure for a track means.

    `what` names what is another than before (COSTUME, HEAD, BODY), `again` the keys of stages to
    go through once more. `to_come_min` is all the work until it is ready to play, `lost_min` what
    is undone or no longer worn.
    """

    what: frozenset[str] = frozenset()
    again: tuple[str, ...] = ()
    to_come_min: int = 0
    lost_min: int = 0

    @property
    def price_min(self) -> int:
        """To build, to redo and thrown away."""
        return self.to_come_min + self.lost_min


def stages_again(
    route: Sequence[RouteStage], touched: Collection[str], what: Collection[str]
) -> tuple[str, ...]:
    """Keys of stages that a figure goes through again when it gets another of `what`.

    Those done to it that were done or begun, and what comes before them only in a making over
    (again too, where one was under way). Where such a stage waits for the same as one undone, it
    is done in its place: changing the costume while it is unstrung is all the dressing there is.
    Nothing that was not begun: that is still to do in any case.

    >>> route = (RouteStage(1, "sew", COSTUME),
    ...          RouteStage(2, "unstring", only_when=MADE_OVER, done_to=COSTUME),
    ...          RouteStage(3, "string", done_to=COSTUME, afters=(1, 2)))
    >>> stages_again(route, {"string"}, {COSTUME}), stages_again(route, set(), {COSTUME})
    (('unstring', 'string'), ())
    """
    undone = [
        stage
        for stage in route
        if stage.scope == FIGURE
        and stage.done_to in what
        and stage.only_when != MADE_OVER
        and stage.key in touched
    ]
    waited_for = {after for stage in undone for after in stage.afters}
    extra = [
        stage
        for stage in route
        if stage.only_when == MADE_OVER
        and stage.done_to in what
        and (stage.id in waited_for or stage.key in touched)
    ]
    keys = {stage.key for stage in extra}
    for stage in undone:
        before = set(stage.afters)
        if not any(before & set(e.afters) and e.id not in before for e in extra):
            keys.add(stage.key)
    return tuple(stage.key for stage in route if stage.key in keys)


def make_over(
    route: Sequence[RouteStage],
    state: State,
    wanted: Wanted,
    *,
    shared: Collection[str] = (),
    rank: int = 1,
    patterned: Collection[Hashable] = (),
) -> MakingOver | None:
    """What it takes to play a track with this figure. None where it could as well be a new one.

    `shared` are the parts (HEAD, BODY and so on) that the figure's guise and the track's have in
    common, asked only where the guises differ; with neither head nor body in common there is
    nothing to keep. `rank` is which piece of its guise everything is priced as, `patterned` are
    costumes that have a pattern already. O(stages x costumes).

    >>> route = (RouteStage(1, "carve", hours_min=1680, done_to=BODY),
    ...          RouteStage(2, "paint", hours_min=420, done_to=HEAD))
    >>> old, young = Guise("old", "r"), Guise("young", "r")
    >>> figure = State("old", done=frozenset({"carve", "paint"}), spent={"carve": 1700,
    ...                                                                 "paint": 400})
    >>> make_over(route, figure, Wanted(old)).price_min
    0
    >>> over = make_over(route, figure, Wanted(young), shared={BODY})
    >>> over.again, over.to_come_min, over.lost_min
    (('paint',), 420, 400)
    """
    what: set[str] = set()
    if state.guise != wanted.guise.id:
        if not {HEAD, BODY} & set(shared):
            return None
        what |= {HEAD, BODY} - set(shared)
    costumes = {worn.costume for worn in wanted.wears}
    # A track whose costume nobody has decided, or that plays nothing, leaves it dressed as it is.
    is_undressed = bool(costumes) and state.dressed_in not in (None, *costumes)
    if is_undressed or (what and state.dressed_in is not None and not costumes):
        what.add(COSTUME)
    again = stages_again(route, state.done | state.begun, what)
    kept = set(shared) if state.guise != wanted.guise.id else None
    to_come_min = sum(
        _left_min(stage, state, wanted, again, kept, rank, patterned) for stage in route
    )
    lost_min = sum(
        minutes
        for key, minutes in state.spent.items()
        if key in again or (costumes and isinstance(key, tuple) and key[1] not in costumes)
    )
    return MakingOver(frozenset(what), again, to_come_min, lost_min)


def build_min(
    route: Sequence[RouteStage],
    wanted: Wanted,
    *,
    rank: int = 1,
    patterned: Collection[Hashable] = (),
) -> int:
    """Minutes of work in a new figure for the track, without what its guise needs once.

    >>> build_min((RouteStage(1, "carve", hours_min=1680),), Wanted(Guise("old", "r")))
    1680
    """
    fresh = State(wanted.guise.id)
    return sum(_left_min(stage, fresh, wanted, (), None, rank, patterned) for stage in route)


def _left_min(
    stage: RouteStage,
    state: State,
    wanted: Wanted,
    again: Collection[str],
    kept: Collection[str] | None,
    rank: int,
    patterned: Collection[Hashable],
) -> int:
    """Minutes still to do in one stage; `kept` None: every part stays."""
    if stage.scope == GUISE or stage.left_out:
        return 0
    if stage.only_when == MADE_OVER:
        is_asked = stage.key in again or stage.key in state.asked_again
        return hours_of(stage.hours_min, stage.rate, rank) if is_asked else 0
    if stage.scope == COSTUME:
        return _sewing_min(stage, state, wanted, patterned)
    whole_min = hours_of(_figure_min(stage, wanted), stage.rate, rank)
    if stage.key in again or (
        stage.scope == POUR and kept is not None and (stage.part or HEAD) not in kept
    ):
        return whole_min
    if stage.key in state.done:
        return 0
    return max(0, whole_min - state.spent.get(stage.key, 0))


def _figure_min(stage: RouteStage, wanted: Wanted) -> int:
    if stage.only_when == CROWD:
        return (wanted.guise.on_one - 1) * (wanted.guise.further_min or stage.hours_min)
    if stage.hours_by_costume:
        return sum(_worn_min(stage, worn) for worn in wanted.wears)
    return stage.hours_min


def _sewing_min(
    stage: RouteStage, state: State, wanted: Wanted, patterned: Collection[Hashable]
) -> int:
    return sum(
        max(0, _worn_min(stage, worn) - state.spent.get((stage.key, worn.costume), 0))
        for worn in wanted.wears
        if worn.costume not in state.sewn
        and not (stage.first_of_costume and worn.costume in patterned)
    )


def _worn_min(stage: RouteStage, worn: Worn) -> int:
    if not stage.hours_by_costume:
        return stage.hours_min
    minutes = stage.hours_min if worn.sewing_min is None else worn.sewing_min
    return hours_of(minutes * (REMOVABLE_PERCENT if worn.is_removable else 100) / 100, 1.0, 1)
