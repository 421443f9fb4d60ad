"""What sets the date: the chain of steps back from the last finish, and why each had to wait."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

from builds.core.planning.hours import Hours
from builds.core.planning.network import Link, find_links, goes_on
from builds.core.planning.plan import Plan, PlannedStep
from builds.core.planning.problem import Problem, Step

Reason = Literal["first", "after", "wait", "person", "equipment", "not_before", "away"]


@dataclass(frozen=True, slots=True)
class ChainLink:
    """A step of the chain with what it waited for.

    `reason`: 'after' and 'wait' (drying, curing) name the step before; 'person' the one who was at
    work on it; 'equipment' what it held; 'not_before' the step's own date; 'first' the first thing
    that could be done. `away_min` are the minutes after that in which its people were not in.
    """

    id: str
    reason: Reason
    before: str | None = None
    by: str = ""
    wait_min: int = 0
    away_min: int = 0
    words: str = ""


def what_sets_the_date(problem: Problem, plan: Plan) -> tuple[ChainLink, ...]:
    """The chain that ends with the last finish, first step first; empty where there is no plan."""
    if not plan.steps:
        return ()
    return chain_to(problem, plan, max(plan.steps, key=lambda step: step.finish).id)


def chain_to(problem: Problem, plan: Plan, last: str) -> tuple[ChainLink, ...]:
    """The chain of steps that led to step `last`, first step first.

    Each step was held up by the latest of what it waited for; no link back means that it began as
    soon as it was allowed. ValueError for a step that is not in the plan.
    """
    put = {step.id: step for step in plan.steps}
    if last not in put:
        raise ValueError(f"last is {last!r}: it is not among the planned steps")
    by_id = {step.id: step for step in problem.steps}
    hours = Hours(problem)
    into: dict[str, list[Link]] = defaultdict(list)
    for link in find_links(problem, plan.steps):
        into[link.after].append(link)
    out: list[ChainLink] = []
    one: str | None = last
    while one is not None:
        out.append(_held_by(by_id[one], put, into[one], problem, hours, by_id))
        one = out[-1].before
    return tuple(reversed(out))


_STRENGTH = {"after": 3, "wait": 3, "equipment": 2, "person": 1}


def _held_by(
    step: Step,
    put: dict[str, PlannedStep],
    into: list[Link],
    problem: Problem,
    hours: Hours,
    by_id: dict[str, Step],
) -> ChainLink:
    if step.fixed is not None:
        return ChainLink(step.id, "first", words=f"{step.name} stands where it is.")
    own = problem.now if step.not_before is None else max(problem.now, step.not_before)
    at = goes_on(put[step.id])
    best: Link | None = None
    since = own
    for link in into:
        release = put[link.before].finish + link.lag_min
        if release > problem.now and (
            release > since
            or (release == since and best and _STRENGTH[link.why] > _STRENGTH[best.why])
            or (release == since and best is None and own == problem.now)
        ):
            best, since = link, release
    away = max(0, at - since)
    if best is None:
        dated = step.not_before is not None and step.not_before > problem.now
        reason: Reason = "not_before" if dated else "first"
        return ChainLink(step.id, reason, away_min=away, words=_first_words(step, put, dated))
    words = _words(step, by_id[best.before], best, put[step.id])
    if away:
        words += " " + _away_words(step, put[step.id], since, hours)
    return ChainLink(step.id, best.why, best.before, best.by, best.lag_min, away, words)


def _first_words(step: Step, put: dict[str, PlannedStep], dated: bool) -> str:
    who = put[step.id].person
    if step.begun is not None:
        return f"{step.name} is under way and goes on first."
    if dated:
        return f"{step.name} may not begin before its day."
    return f"{step.name} waits for nothing else" + (f": {who} begins with it." if who else ".")


def _words(step: Step, before: Step, link: Link, put: PlannedStep) -> str:
    if link.why == "after":
        passed = " is passed" if before.gate else " is finished"
        return f"{step.name} waits until {before.name}{passed}."
    if link.why == "wait":
        return f"{step.name} waits {_span(link.lag_min)} after {before.name}."
    if link.why == "person":
        return f"{step.name} waits for {link.by}, who is at work on {before.name}."
    until = f" and {_span(link.lag_min)} after it" if link.lag_min else ""
    return f"{step.name} waits for {link.by}, which {before.name} holds to its end{until}."


def _away_words(step: Step, put: PlannedStep, since: int, hours: Hours) -> str:
    who = put.person
    if who is None:
        return ""
    if put.second is not None:
        return f"Then it waits until {who} and {put.second} are in together."
    if hours.calendar(step, who, None).is_working(since):
        return f"Then it waits for a stretch of {who}'s time that is long enough."
    return f"Then it waits until {who} comes in."


def _span(minutes: int) -> str:
    """A wait in words.

    >>> _span(1440), _span(7200), _span(90), _span(2000)
    ('1 day', '5 days', '1 h 30 min', '1 day 9 h 20 min')
    """
    days, rest = divmod(minutes, 1440)
    hours, left = divmod(rest, 60)
    said = []
    if days:
        said.append(f"{days} day{'s' if days > 1 else ''}")
    if hours:
        said.append(f"{hours} h")
    if left:
        said.append(f"{left} min")
    return " ".join(said) or "no time"
