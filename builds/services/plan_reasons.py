"""Why there is no plan, as sentences that name what is in the way and where to put it right."""

from __future__ import annotations

from collections.abc import Iterable

from builds.core.planning.shortage import find_shortages
from builds.core.routes import find_circle, say_circle
from builds.loading import Loaded
from builds.queries.steps import read_routes
from company.models import Maker
from company.templatetags.words import counted, full_day, hours
from scenes.models import Show


def circles_in(show: Show) -> list[str]:
    """Routes whose stages wait for each other in a circle: with these nothing can be read."""
    found = []
    for kind, stages in read_routes(show.company).items():
        keys = {stage.id: stage.key for stage in stages}
        afters = {
            stage.key: [keys[after] for after in stage.afters if after in keys] for stage in stages
        }
        circle = find_circle(afters)
        if circle:
            names = {key: f"{key} ({kind})" for key in afters}
            found.append(f"A route waits for itself: {say_circle(circle, names)}")
    return found


def nothing_to_plan(loaded: Loaded) -> list[str]:
    """Why there is nothing to plan at all, before the planner is asked."""
    if not loaded.figures:
        return ["No figures are at the bench yet: take the count to the bench first."]
    if not loaded.makers:
        return ["There is nobody to do the work: add makers and their hours on the Company page."]
    if not any(person.work for person in loaded.problem.people):
        return [
            "Nobody has hours from now on: say on the Company page on which days each maker comes."
        ]
    return []


def whose_hours(loaded: Loaded) -> list[str]:
    """Who alone may do more than they are there for, with their last day where they leave."""
    said = []
    for short in find_shortages(loaded.problem):
        maker = loaded.makers.get(short.person)
        said.append(
            f"{short.person} alone may do {counted(len(short.steps), 'piece')} of work of "
            f"{hours(short.wanted_min)}, and has only {hours(short.left_min) or 'no time'} left"
            f"{_until(maker)}. The first is: {short.steps[0]}."
        )
    return said


def ways_out(reasons: Iterable[str]) -> list[str]:
    """What can be done where work under way is what stands against a plan."""
    if any(" is under way, but " in reason for reason in reasons):
        return [
            "What is under way can be handed on: on the page of the step press 'Write on it', and "
            "choose somebody else under 'This person'."
        ]
    return []


def _until(maker: Maker | None) -> str:
    if maker is None or maker.to_date is None:
        return ""
    return f" until {full_day(maker.to_date)}, the last day"
