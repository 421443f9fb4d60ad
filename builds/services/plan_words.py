"""What is said of a plan: what sets its date, why it cannot be earlier, how sure it is."""

from __future__ import annotations

import re
from collections import Counter
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from builds.core import planning as core
from builds.core.planning.chain import ChainLink
from builds.loading import Loaded, instant_of
from company.templatetags.words import hours
from scenes.models import Show

OUTLOOK = {
    "easy": "Easy. Even when hours run over as they usually do, it is ready in time.",
    "fair": "Fair. It holds if most hours do; a few that run over still fit.",
    "tight": "Tight. It holds only if nearly every hour does.",
}


def bound_words(found: core.Plan, show: Show) -> str:
    """What shows that no plan with these people can be earlier, as a sentence."""
    if not found.bound_by:
        return ""
    day = dated(f"minute {found.bound}", show)
    return f"Nothing these people do could make it earlier than {day}: {_why(found, show)}."[:300]


def _why(found: core.Plan, show: Show) -> str:
    """The bound's reason as the end of a sentence."""
    if found.bound_by.startswith("the hours of "):
        who = found.bound_by.removeprefix("the hours of ")
        only = "what they alone can do" if " and " in who else f"what {who} alone can do"
        return f"until then all {found.bound_by} go into {only}"
    if found.bound_by.startswith("the longest chain"):
        return f"{dated(found.bound_by, show)} takes until then, however many hands there are"
    return f"what stands against it is {dated(found.bound_by, show)}"


def chain_words(links: tuple[ChainLink, ...], loaded: Loaded) -> str:
    """Who and what sets the date, in two sentences."""
    worked: Counter[str] = Counter()
    stages: dict[str, Counter[str]] = {}
    tags: dict[str, None] = {}
    for link in links:
        piece = loaded.pieces[link.id]
        step = loaded.step(link.id)
        if step.fixed is not None or step.unattended:
            continue
        who = "the lead" if step.lead_only else (step.craft or "anybody")
        worked[who] += step.minutes
        stages.setdefault(who, Counter())[piece.step.stage.name.lower()] += step.minutes
        if step.figure:
            tags[step.figure] = None
    if not worked:
        return ""
    who, _ = worked.most_common(1)[0]
    lead = next((name for name, maker in loaded.makers.items() if maker.is_lead), "The lead")
    subject = f"{lead}'s own work" if who == "the lead" else f"Work that needs {who}"
    most = "; ".join(name for name, _ in stages[who].most_common(3))
    said = f"{subject} sets the date: {most}."
    if tags:
        said += f" The red thread runs through {', then '.join(tags)}."
    return said


_MINUTE = re.compile(r"minute (\d{6,})")
_SPAN = re.compile(r"(?:the )?(\d+) minutes")


def dated(words: str, show: Show) -> str:
    """The planner's minutes as days of the company, and as hours."""
    zone = ZoneInfo(show.company.time_zone)

    def say(match: re.Match[str]) -> str:
        return date_format(instant_of(int(match[1])).astimezone(zone), "j F Y")

    return _SPAN.sub(lambda match: hours(int(match[1])) or "no time", _MINUTE.sub(say, words))
