"""Which of the steps that stand can stay where they were told, or at least in the same hands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping

from builds.core.planning.begun import settle_begun
from builds.core.planning.hours import Hours
from builds.core.planning.problem import Fixed, Problem, Step

Standing = Mapping[str, Fixed]


def find_kept(
    problem: Problem, standing: Standing, until: int, *, only_helpers: bool
) -> dict[str, Fixed]:
    """Steps that begin before `until` and can stay where they stand, with what they wait for.

    With `only_helpers` those of the lead alone are kept only where a helper's step waits for them.
    """
    hours = Hours(problem)
    begun, _ = settle_begun(problem, hours)
    by_id = {step.id: step for step in problem.steps}
    asked = _told(problem, standing, until, only_helpers=only_helpers)
    wanted = {one for one in _with_befores(by_id, asked) if one in standing}
    kept = {
        one: standing[one]
        for one in wanted
        if by_id[one].fixed is None
        and by_id[one].begun is None
        and _still_fits(problem, hours, by_id[one], standing[one])
    }
    _drop_pushed(kept, begun, problem.now)
    begun |= _by_themselves(problem)
    while lost := [one for one in kept if not _waits_hold(by_id[one], kept, begun)]:
        for one in lost:
            del kept[one]
    return kept


def find_pushed(
    problem: Problem, standing: Standing, until: int, kept: Standing
) -> dict[str, Fixed]:
    """Helpers' steps from before `until` that cannot stand, and whose people can still do them.

    They must be in for long enough from now to `until`: who is ill or gone is not waited for.
    """
    hours = Hours(problem)
    by_id = {step.id: step for step in problem.steps}
    found = {}
    for one in _told(problem, standing, until, only_helpers=True) - kept.keys():
        step, at = by_id[one], standing[one]
        if step.fixed is not None or step.begun is not None or step.unattended:
            continue
        if at.person is not None and (at.person, at.second) in hours.pairs(step):
            calendar = hours.calendar(step, at.person, at.second)
            left = calendar.worked_before(until) - calendar.worked_before(problem.now)
            if left >= step.minutes:
                found[one] = at
    return found


def _told(problem: Problem, standing: Standing, until: int, *, only_helpers: bool) -> set[str]:
    """Steps of the problem that begin before `until`, without or with those of the lead alone."""
    leads = {person.id for person in problem.people if person.is_lead}
    known = {step.id for step in problem.steps}
    return {
        one
        for one, at in standing.items()
        if one in known
        and at.start < until
        and not (only_helpers and {at.person, at.second} - {None} <= leads)
    }


def _by_themselves(problem: Problem) -> dict[str, Fixed]:
    """Steps that need nobody and wait for nothing: they are over when they may be."""
    found = {}
    for step in problem.steps:
        if step.unattended and not step.after and step.fixed is None:
            start = max(problem.now, step.not_before or 0)
            found[step.id] = Fixed(None, start, start + step.minutes)
    return found


def _with_befores(by_id: Mapping[str, Step], asked: Collection[str]) -> set[str]:
    """The steps asked for and all that they wait for, however far back."""
    found: set[str] = set()
    ahead = list(asked)
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += [before for before, _ in by_id[one].after if before in by_id]
    return found


def _still_fits(problem: Problem, hours: Hours, step: Step, at: Fixed) -> bool:
    """Whether its people may still do it, and are in for just as long as it takes."""
    earliest = problem.now if step.not_before is None else max(problem.now, step.not_before)
    if at.start < earliest or at.finish > problem.horizon:
        return False
    if step.unattended or at.person is None or (at.person, at.second) not in hours.pairs(step):
        return False
    calendar = hours.calendar(step, at.person, at.second)
    worked = calendar.worked_before(at.finish) - calendar.worked_before(at.start)
    return (
        worked == step.minutes
        and calendar.is_working(at.start)
        and calendar.is_working(at.finish - 1)
        and (not step.one_go or at.finish - at.start == step.minutes)
    )


def _drop_pushed(kept: dict[str, Fixed], begun: Mapping[str, Fixed], now: int) -> None:
    """Take out what stands where work under way goes on, or where two steps now stand at once."""
    busy: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for place in begun.values():
        for who in (place.person, place.second):
            if who is not None and place.finish > now:
                busy[who].append((place.start, place.finish))
    for one in sorted(kept, key=lambda one: (kept[one].start, one)):
        at = kept[one]
        whose = [who for who in (at.person, at.second) if who is not None]
        if any(a < at.finish and b > at.start for who in whose for a, b in busy[who]):
            del kept[one]
            continue
        for who in whose:
            busy[who].append((at.start, at.finish))


def _waits_hold(step: Step, kept: Standing, begun: Standing) -> bool:
    """Whether all that the step waits for stands too, and is over in time."""
    at = kept[step.id].start
    for before, wait_min in step.after:
        place = kept.get(before) or begun.get(before)
        if place is None or place.finish + wait_min > at:
            return False
    return True
