"""The wall plan on paper: the plan's weeks from this one on, as many to a wide sheet as fit."""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from builds.drawings.wall import WallPlan
from builds.models import Plan
from builds.queries.plans import days_in_hand, ready_day
from builds.queries.wall import read_whole_wall
from company import clock
from company.templatetags.words import full_day, in_hand
from scenes.models import Show


@dataclass(frozen=True, slots=True)
class WallSheet:
    """What the paper shows."""

    show: str
    lede: str
    plan: WallPlan
    chain: str
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.show}: wall plan"


def read_wall_sheet(show: Show, plan: Plan) -> WallSheet:
    """The plan as it hangs on the wall. A flat number of queries."""
    zone = ZoneInfo(show.company.time_zone)
    ready, hand = ready_day(plan, zone), days_in_hand(show, plan)
    lede = "Nothing is left to do."
    if ready is not None:
        lede = f"If the hours hold, everything is ready to play on {full_day(ready)}"
        lede += f", {in_hand(hand)}." if hand is not None else "."
    made = plan.pinned_up_at if plan.is_pinned_up and plan.pinned_up_at else plan.made_at
    at = made.astimezone(zone)
    source = "plan pinned up" if plan.is_pinned_up else "draft of a plan made"
    return WallSheet(
        show=show.title,
        lede=lede,
        plan=read_whole_wall(show, plan),
        chain=plan.chain_words,
        printed_from=(
            f"{source} {at.day} {at:%B %Y, %H:%M}; printed {full_day(clock.today(show.company))}"
        ),
    )
