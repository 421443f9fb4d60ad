"""Counting with people: parts that changes join are solved together, the rest by the clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from scenes.core.counting import Previous, Relation, Stop, Track, count_guise
from scenes.core.counting.cover import split_parts
from scenes.core.counting.handover import Unit
from scenes.core.counting.matching import count_fewest
from scenes.core.counting.threading import thread_tracks
from scenes.core.hands import Crew, PlannedChange, Stretch, find_stretches
from scenes.core.joint.greedy import Choice, choose_greedily, cost_of
from scenes.core.joint.loads import Loads
from scenes.core.joint.model import JointModel
from scenes.core.joint.results import BuildHours, JointChange, JointCount, JointGuise
from scenes.core.joint.windows import Part, make_part
from scenes.core.plot import GuiseId, Placed, Plot, place_appearances
from scenes.core.roster import make_roster


def count_with_people(
    plot: Plot,
    crew: Crew,
    hours: BuildHours,
    *,
    work: float = 2.0,
    seed: int = 1,
    previous: Previous | None = None,
) -> JointCount:
    """The changes that these people can make and that cost the fewest build minutes.

    Over all guises at once: least minutes to build (`BuildHours.of_track` of every track), then
    fewest changes, then fewest crossings. Each change runs in one go inside its window with its
    people free: they work no figure, hang none up and change no other meanwhile, and nobody
    changes anything in the last 8 minutes of an interval. Exact where `proved` says so (CP-SAT;
    Perron and Didier, OR-Tools); else the best found and a bound. `work` is deterministic solver
    time, a unit is a few seconds: the same input gives the same answer. 60 scenes x 25 roles x 3
    costumes take a second or two. `previous` only names the tracks.

    The scenes' own need for people is taken as it stands (see `hands.find_needs`): where a scene
    wants more than there are, nobody is free for a change. Raises ValueError for an unknown scene.

    >>> from scenes.core.plot import Appearance, ChangeRule, Scene
    >>> scenes = (Scene("a", "1", 240, gap_s=90), Scene("b", "2", 300))
    >>> worn = (Appearance("x", "Quill", "coat", "a"), Appearance("y", "Quill", "gown", "b"))
    >>> plot = Plot(scenes, worn, (ChangeRule("Quill", "coat", "gown", 60),))
    >>> [count_with_people(plot, Crew(n), BuildHours({"Quill": 6000})).figures for n in (0, 1)]
    [2, 1]
    """
    by_guise: dict[GuiseId, list[Placed]] = {guise: [] for guise in plot.all_guises()}
    for placed in place_appearances(plot):
        by_guise[placed.appearance.guise].append(placed)
    parts, links = _split(plot, crew, by_guise)
    stretches = find_stretches(plot, crew.people_for)
    best = choose_greedily(parts, Loads.of(crew, stretches), hours)
    found = _Found(best, 0, is_proved=not parts)
    if parts:
        found = _improve(parts, crew, hours, stretches, best, work, seed)
    planned = list(_plan(parts, found.choices))
    for part, choice in zip(parts, found.choices, strict=True):
        links.update(
            (_stop(part, first), _stop(part, second)) for first, second in choice.follower.items()
        )
    guises = tuple(
        JointGuise(guise, _thread(plot, guise, placed, links, previous or {}))
        for guise, placed in by_guise.items()
    )
    roster = make_roster(
        plot,
        [track for guise in guises for track in guise.tracks],
        crew,
        [change.planned for change in planned],
        {change.planned: change.workers for change in planned},
    )
    build_min = sum(
        hours.of_track(guise.guise, _worn(track, by_guise[guise.guise]))
        for guise in guises for track in guise.tracks
    )  # fmt: skip
    in_parts = sum(
        cost_of(part, choice, hours)[0] for part, choice in zip(parts, found.choices, strict=True)
    )
    return JointCount(
        guises=guises,
        changes=tuple(replace(c, people=roster.people_of(c.planned)) for c in planned),
        build_min=build_min,
        bound_min=build_min - in_parts + found.bound_min if parts else build_min,
        proved=found.is_proved,
        roster=roster,
    )


@dataclass(slots=True)
class _Found:
    """Choices for the parts, minutes that none of them can go below, and whether they are best."""

    choices: list[Choice]
    bound_min: int
    is_proved: bool


def _split(
    plot: Plot, crew: Crew, by_guise: dict[GuiseId, list[Placed]]
) -> tuple[list[Part], dict[Stop, Stop]]:
    """Parts that some change could join, and the hand-overs of all the others."""
    parts: list[Part] = []
    links: dict[Stop, Stop] = {}
    for guise, placed in by_guise.items():
        relation = Relation(plot, guise)
        for piece in split_parts(placed, relation):
            if len({p.appearance.costume for p in piece}) > 1:
                part = make_part(plot, guise, piece, crew.all)
                if any(step.rule is not None for step in part.steps):
                    parts.append(part)
                    continue
            plain = replace(plot, appearances=tuple(p.appearance for p in piece), rules=())
            for track in count_guise(plain, guise).tracks:
                links.update(pairwise(track.stops))
    return parts, links


def _improve(
    parts: Sequence[Part],
    crew: Crew,
    hours: BuildHours,
    stretches: Sequence[Stretch],
    best: list[Choice],
    work: float,
    seed: int,
) -> _Found:
    """Search from the first choice on; the better of the two, and the bound."""
    units = sum(len(part.units) for part in parts)
    weights = ((units + 1) ** 2, units + 1)
    model = JointModel(parts, crew, hours, weights)
    model.build(stretches)
    model.hint(best)
    answer = model.solve(work, seed)
    bound_min = max(_easy_bound(parts, hours), int(answer.bound // weights[0]))
    if answer.choices is None:
        return _Found(best, bound_min, False)
    mine, theirs = (_aims(parts, choices, hours) for choices in (best, answer.choices))
    chosen = answer.choices if theirs <= mine else best
    return _Found(chosen, bound_min, answer.is_proved)


def _aims(parts: Sequence[Part], choices: Sequence[Choice], hours: BuildHours) -> tuple[int, ...]:
    costs = [cost_of(part, choice, hours) for part, choice in zip(parts, choices, strict=True)]
    return tuple(sum(column) for column in zip(*costs, strict=True))


def _easy_bound(parts: Iterable[Part], hours: BuildHours) -> int:
    """Every figure that the clock asks for, and every costume once."""
    return sum(
        hours.figure(part.guise) * count_fewest(part.placed, part.relation)
        + sum(hours.sewing(costume) for costume in {p.appearance.costume for p in part.placed})
        for part in parts
    )


def _stop(part: Part, unit: Unit) -> Stop:
    return Stop(part.placed[unit[0]].appearance.key, unit[1])


def _plan(parts: Sequence[Part], choices: Sequence[Choice]) -> list[JointChange]:
    """The changes chosen, by time."""
    planned = []
    for part, choice in zip(parts, choices, strict=True):
        for step in part.steps:
            if step.rule is None or choice.follower.get(step.first) != step.second:
                continue
            starts_s, workers = choice.timed[step.first, step.second]
            change = PlannedChange(
                _stop(part, step.first),
                _stop(part, step.second),
                starts_s,
                starts_s + step.rule.change_s,
                step.rule.people,
            )
            planned.append(JointChange(part.guise, step.rule, change, workers))
    return sorted(planned, key=lambda c: (c.planned.starts_s, str(c.planned.to_stop)))


def _thread(
    plot: Plot,
    guise: GuiseId,
    placed: Sequence[Placed],
    links: dict[Stop, Stop],
    previous: Previous,
) -> tuple[Track, ...]:
    rank = {p.appearance.key: index for index, p in enumerate(placed)}
    follower = {
        (rank[one.key], one.copy): (rank[two.key], two.copy)
        for one, two in links.items()
        if one.key in rank
    }
    return thread_tracks(placed, follower, Relation(plot, guise), previous)


def _worn(track: Track, placed: Sequence[Placed]) -> list[object]:
    costumes = {p.appearance.key: p.appearance.costume for p in placed}
    return [costumes[stop.key] for stop in track.stops]
