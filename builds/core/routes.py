"""What can be said of a route without a show: its totals, its longest chain, what is wrong with it.

Everything here takes the stages of one route as plain values, in their order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from builds.core.route_defaults.recipe import PlainStage
from builds.core.stepping import want_steps
from builds.core.workshop import Figure, Guise, RouteStage, Workshop, Worn

BENCH_MIN_A_DAY = 6 * 60  # a full day at the bench; common practice, no source
DAY_MIN = 24 * 60
NO_HOURS_MARK = "chosen"  # choosing a sketch has a date and no hours
SINGLE_MARKS = {"passed": "head passed", "hung": "trial-hung", "trued": "trued", "ready": "ready"}


@dataclass(frozen=True)
class RouteTotal:
    """Minutes of work in a figure that wears one costume: the first of its guise, and a twin."""

    first_min: int
    twin_min: int


@dataclass(frozen=True)
class RouteProblem:
    """Something wrong with a route, as a sentence.

    `stage` is the key of the stage to look at, '' where it is the route as a whole. `stops`: no
    steps can be made until it is mended.
    """

    words: str
    stage: str = ""
    stops: bool = False


def total_hours(
    stages: Sequence[PlainStage], sewing_min: int | None = None, *, has_working: bool = False
) -> RouteTotal:
    """The work in a first figure of a guise and in its twin in the same costume, in minutes.

    `sewing_min` is the costume's own time, None for the route's usual. One casting a mould is
    counted. A second person's time is not: it is the stage that is counted, once. The route must
    have no circle (ValueError).

    >>> carve = PlainStage("carve", "Carve", "body", 1680, rate=0.9)
    >>> total_hours([PlainStage("draw", "Draw", "guise", 480, scope="guise"), carve])
    RouteTotal(first_min=2160, twin_min=1515)
    """
    one = _sum_minutes(stages, sewing_min, has_working, 1)
    return RouteTotal(one, _sum_minutes(stages, sewing_min, has_working, 2) - one)


def _sum_minutes(
    stages: Sequence[PlainStage], sewing_min: int | None, has_working: bool, figures: int
) -> int:
    parts = {stage.part for stage in stages if stage.part}
    pour_parts = {stage.part or "head" for stage in stages if stage.scope == "pour"}
    shop = Workshop(
        routes={"route": tuple(route_stage(stage) for stage in stages)},
        guises=(Guise("guise", "route", {part: part for part in parts}, has_working),),
        figures=tuple(
            Figure(
                number,
                "guise",
                (Worn("costume", sewing_min),),
                {part: ((part, number),) for part in pour_parts},
            )
            for number in range(figures)
        ),
    )
    return sum(step.minutes for step in want_steps(shop))


def route_stage(stage: PlainStage) -> RouteStage:
    """The stage as the making of steps knows it; its id is its key."""
    return RouteStage(
        id=stage.key,
        key=stage.key,
        scope=stage.scope,
        part=stage.part,
        hours_min=stage.hours_min,
        wait_min=stage.wait_min,
        rate=stage.rate,
        afters=stage.after,
        hours_by_costume=stage.hours_by_costume,
        first_of_costume=stage.first_of_costume,
        only_with_working=stage.only_with_working,
        done_to=stage.done_to,
        only_when=stage.only_when,
    )


def find_circle(afters: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """Keys that wait for one another in a circle, in the order of waiting; () where none do.

    `afters` gives for each key the keys it waits for; unknown ones are passed over. O(n + edges).

    >>> find_circle({"a": ["b"], "b": ["c"], "c": ["b"]})
    ('b', 'c')
    >>> find_circle({"a": ["b"], "b": []})
    ()
    """
    state: dict[str, int] = {}  # 1 on the way down, 2 done
    for start in afters:
        if start in state:
            continue
        path: list[str] = []
        stack: list[tuple[str, bool]] = [(start, False)]
        while stack:
            key, leaving = stack.pop()
            if leaving:
                state[key] = 2
                path.pop()
            elif state.get(key) == 1:
                return tuple(path[path.index(key) :])
            elif key not in state:
                state[key] = 1
                path.append(key)
                stack.append((key, True))
                stack.extend((a, False) for a in afters[key] if a in afters and state.get(a) != 2)
    return ()


def say_circle(keys: Sequence[str], names: Mapping[str, str]) -> str:
    """A circle as a sentence that names its stages.

    >>> say_circle(("b", "c"), {"b": "Carve", "c": "Joint"})
    "'Carve' waits for 'Joint', and 'Joint' for 'Carve': a circle never begins."
    """
    around = [names.get(key, key) for key in keys]
    if len(around) == 1:
        return f"'{around[0]}' waits for itself: a circle never begins."
    links = [f"'{a}' for '{b}'" for a, b in zip(around, around[1:] + around[:1], strict=True)]
    first = links[0].replace("' for '", "' waits for '", 1)
    return ", ".join([first, *links[1:-1]]) + f", and {links[-1]}: a circle never begins."


def longest_chain(stages: Sequence[PlainStage]) -> tuple[str, ...]:
    """Keys of the chain that takes longest if nobody is ever kept waiting, first to last.

    Work counts as six hours a day, waiting by the calendar; stages that only figures with moving
    eyes or mouth have are passed over. () where the route has a circle or no stages.

    >>> a, b = PlainStage("a", "A", "body", 360), PlainStage("b", "B", "body", 60, ("a",))
    >>> longest_chain([a, b, PlainStage("c", "C", "head", 0, wait_min=100)])
    ('a', 'b')
    """
    order = in_order(stages)
    if len(order) < len(stages) or not order:
        return ()
    by_key = {stage.key: stage for stage in stages}
    ends: dict[str, int] = {}
    before: dict[str, str] = {}
    for key in order:
        stage = by_key[key]
        known = [a for a in stage.after if a in ends]
        if known:
            before[key] = max(known, key=lambda a: ends[a])
        takes = 0 if _is_rare(stage) else elapsed_min(stage)
        ends[key] = (ends[before[key]] if known else 0) + takes
    chain = [max(order, key=lambda key: ends[key])]
    while chain[-1] in before:
        chain.append(before[chain[-1]])
    return tuple(key for key in reversed(chain) if not _is_rare(by_key[key]))


def _is_rare(stage: PlainStage) -> bool:
    """Whether a plain figure goes without the stage."""
    return stage.only_with_working or bool(stage.only_when)


def elapsed_min(stage: PlainStage) -> int:
    """Minutes on the calendar that a stage takes with its wait, worked at six hours a day."""
    return stage.hours_min * DAY_MIN // BENCH_MIN_A_DAY + stage.wait_min


def in_order(stages: Sequence[PlainStage]) -> tuple[str, ...]:
    """Keys so that each stands after what it waits for; stages in a circle are left out."""
    keys = {stage.key for stage in stages}
    left = {stage.key: {a for a in stage.after if a in keys} for stage in stages}
    order: list[str] = []
    while free := [key for key, afters in left.items() if not afters]:
        for key in free:
            del left[key]
            order.append(key)
        for afters in left.values():
            afters.difference_update(free)
    return tuple(order)


def route_problems(
    stages: Sequence[PlainStage], struck: Mapping[str, str] | None = None
) -> tuple[RouteProblem, ...]:
    """Everything that is wrong with a route, what stops it first.

    `struck` are the names of struck stages by key.

    >>> [p.words for p in route_problems([PlainStage("a", "Carve", "body", 60, mark="ready",
    ...                                             after=("b",))], {"b": "Draw"})][0]
    "'Carve' waits for 'Draw', which is struck."
    """
    if not stages:
        return (RouteProblem("This route has no stages yet.", stops=True),)
    struck = struck or {}
    names = {stage.key: stage.name for stage in stages} | dict(struck)
    found = [*_wait_problems(stages, struck, names), *_mark_problems(stages)]
    found += _stage_problems(stages)
    return tuple(sorted(found, key=lambda problem: not problem.stops))


def _wait_problems(
    stages: Sequence[PlainStage], struck: Mapping[str, str], names: Mapping[str, str]
) -> list[RouteProblem]:
    by_key = {stage.key: stage for stage in stages}
    found = []
    for stage in stages:
        for after in stage.after:
            if after in struck:
                words = f"'{stage.name}' waits for '{struck[after]}', which is struck."
                found.append(RouteProblem(words, stage.key))
            elif after not in by_key:
                words = f"'{stage.name}' waits for '{after}', which this route does not have."
                found.append(RouteProblem(words, stage.key, stops=True))
            elif stage.scope == "guise" and by_key[after].scope != "guise":
                words = (
                    f"'{stage.name}' is done once for a guise and cannot wait for "
                    f"'{names[after]}', which each figure has again."
                )
                found.append(RouteProblem(words, stage.key))
    circle = find_circle({stage.key: stage.after for stage in stages})
    if circle:
        found.append(RouteProblem(say_circle(circle, names), circle[0], stops=True))
    return found


def _mark_problems(stages: Sequence[PlainStage]) -> list[RouteProblem]:
    found = []
    for mark, words in SINGLE_MARKS.items():
        bearers = [stage for stage in stages if stage.mark == mark]
        if not bearers and mark in ("trued", "ready"):
            why = "no figure would ever be ready" if mark == "ready" else "no needed-by date holds"
            found.append(RouteProblem(f"No stage is marked '{words}': {why}."))
        elif len(bearers) > 1:
            said = " and ".join(f"'{stage.name}'" for stage in bearers)
            found.append(RouteProblem(f"{said} are both marked '{words}'.", bearers[-1].key))
    ready = [stage for stage in stages if stage.mark == "ready"]
    if len(ready) == 1:
        found += _left_behind(stages, ready[0])
    return found


def _left_behind(stages: Sequence[PlainStage], ready: PlainStage) -> list[RouteProblem]:
    """Stages that 'ready' does not wait for, however long the chain: the loose ends of them."""
    by_key = {stage.key: stage for stage in stages}
    reached: set[str] = set()
    rest = [ready.key]
    while rest:
        key = rest.pop()
        if key not in reached and key in by_key:
            reached.add(key)
            rest.extend(by_key[key].after)
    loose = [stage for stage in stages if stage.key not in reached]
    waited_for = {after for stage in loose for after in stage.after}
    return [
        RouteProblem(
            f"A figure would be ready without '{stage.name}': nothing waits for it.", stage.key
        )
        for stage in loose
        if stage.key not in waited_for
    ]


def _stage_problems(stages: Sequence[PlainStage]) -> list[RouteProblem]:
    found = []
    for stage in stages:
        if stage.gate and not stage.lead_only and stage.second != "lead":
            words = (
                f"'{stage.name}' asks for the lead's pass but is done without the lead: "
                "no hour is planned for the pass."
            )
            found.append(RouteProblem(words, stage.key))
        if not stage.hours_min and stage.mark != NO_HOURS_MARK:
            found.append(RouteProblem(f"'{stage.name}' takes no time.", stage.key))
        if stage.second == "craft" and not stage.second_craft:
            words = f"'{stage.name}' asks for a second person with a craft, but for no craft."
            found.append(RouteProblem(words, stage.key))
    return found
