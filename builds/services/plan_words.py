"""What is said of a plan: what sets its date, why it cannot be earlier, how sure it is."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from builds.core import planning as core
from builds.core.planning.chain import ChainLink
from builds.loading import Loaded, instant_of
from company.templatetags.words import and_list, counted, hours
from scenes.models import Show

DAY_MIN = 1440
MOST_LETTERS = 300  # of what is kept beside a plan
OUTLOOK = {
    "easy": "Easy. Even when hours run over as they usually do, it is ready in time.",
    "fair": "Fair. It holds if most hours do; a few that run over still fit.",
    "tight": "Tight. It holds only if nearly every hour does.",
}


def bound_words(found: core.Plan, show: Show, *, weighs: bool = False) -> str:
    """What shows that no plan with these people can be earlier, or have all figures in time.

    `weighs`: whether some figures' days late count more than others'.
    """
    if not found.bound_by:
        return ""
    day = dated(f"minute {found.bound}", show)
    said = f"Nothing these people do could make it earlier than {day}: {_why(found, show)}."
    late_days = found.lateness_bound // DAY_MIN
    if not late_days:
        return said[:MOST_LETTERS]
    counted_in = ", weights counted in" if weighs else ""
    late = (
        f" Nor could all figures be in time: however the work is shared out, they are late by "
        f"{counted(late_days, 'day')} together at the least{counted_in}."
    )
    return said[: MOST_LETTERS - len(late)] + late


def _why(found: core.Plan, show: Show) -> str:
    """The bound's reason as the end of a sentence."""
    if found.bound_by.startswith("the hours of "):
        who = found.bound_by.removeprefix("the hours of ")
        only = "what they alone can do" if " and " in who else f"what {who} alone can do"
        return f"until then all {found.bound_by} go into {only}"
    if found.bound_by.startswith("the longest chain"):
        return f"{dated(found.bound_by, show)} takes until then, however many hands there are"
    return f"what stands against it is {dated(found.bound_by, show)}"


def chain_words(links: tuple[ChainLink, ...], found: core.Plan, loaded: Loaded) -> str:
    """Whose work sets the date, on what, and how much of it is waiting, in a few sentences.

    People stand in the order in which the thread comes to them: nobody is ranked.
    """
    who_does = {step.id: step.person for step in found.steps}
    worked: dict[str, Counter[str]] = {}
    tags: dict[str, None] = {}
    for link in links:
        step, who = loaded.step(link.id), who_does.get(link.id)
        if step.fixed is not None or step.unattended or who is None:
            continue
        name = loaded.pieces[link.id].step.stage.name
        worked.setdefault(who, Counter())[name[:1].lower() + name[1:]] += step.minutes
        if step.figure:
            tags[step.figure] = None
    if not worked:
        return ""
    if len(worked) == 1:
        said = f"{_whose(worked)} work sets the date: {_mostly(next(iter(worked.values())))}."
    else:
        said = f"The work of {and_list(worked)} sets the date. " + " ".join(
            f"{who}: {_mostly(stages)}." for who, stages in worked.items()
        )
    waits = sum(link.wait_min for link in links) // DAY_MIN
    if waits:
        said += (
            f" {counted(waits, 'day')} of it {'is' if waits == 1 else 'are'} drying and waiting."
        )
    if tags:
        said += f" The red thread runs through {', then '.join(tags)}."
    return said


def _whose(worked: Mapping[str, object]) -> str:
    return f"{next(iter(worked))}'s"


def _mostly(stages: Counter[str]) -> str:
    """The three stages with most work in them, and the hours of all."""
    names = "; ".join(name for name, _ in stages.most_common(3))
    return f"{hours(sum(stages.values()))} on the thread, {'mostly ' * (len(stages) > 3)}{names}"


_MINUTE = re.compile(r"minute (\d{6,})")
_SPAN = re.compile(r"(?:the )?(\d+) minutes")


def dated(words: str, show: Show) -> str:
    """The planner's minutes as days of the company, and as hours."""
    zone = ZoneInfo(show.company.time_zone)

    def say(match: re.Match[str]) -> str:
        return date_format(instant_of(int(match[1])).astimezone(zone), "j F Y")

    return _SPAN.sub(lambda match: hours(int(match[1])) or "no time", _MINUTE.sub(say, words))
