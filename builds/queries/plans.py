"""Which plan a person sees, whether it still holds, and what it says of each figure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from builds.models import Plan
from company.access import membership_of
from company.models import Change, Company, Role, User
from scenes.models import Show

# Changes that cannot move a plan: what they touch is not among what planning reads.
OF_NO_MATTER = (
    "plan",
    "plan run",
    "photo",
    "sketch",
    "membership",
    "sign-in link",
    "appearance",
    "change rule",
    "draft",
    "pin",
    "way",
    "trick build",
    "lot",
    "own pair",
    "mould amounts",
)


@dataclass(frozen=True, slots=True)
class FigureDates:
    """What a plan says of a figure: fit for rehearsal, ready to play, and how late for its date."""

    fit: date
    ready: date
    late_min: int

    @property
    def late_days(self) -> int:
        """Days late, begun ones counted whole."""
        return -(-self.late_min // 1440)


def latest_plan(show: Show) -> Plan | None:
    """The newest plan, draft or pinned up."""
    return Plan.objects.filter(show=show).first()


def pinned_up_plan(show: Show) -> Plan | None:
    """The plan that helpers see."""
    return Plan.objects.filter(show=show, is_pinned_up=True).first()


def days_are_let_go(newest: Plan | None) -> bool:
    """Whether the lead has let helpers' next days move: so until something is pinned up again."""
    return newest is not None and newest.is_released and not newest.is_pinned_up


def plan_seen_by(user: User, show: Show) -> Plan | None:
    """The newest plan for the lead; for everybody else the one that is pinned up."""
    if membership_of(user, show.company).allows(Role.LEAD):
        return latest_plan(show)
    return pinned_up_plan(show)


def latest_change(company: Company) -> int:
    """The id of the last change on record, 0 before the first."""
    last = Change.objects.for_company(company).order_by("-pk").values_list("pk", flat=True)
    return last.first() or 0


def is_out_of_date(plan: Plan) -> bool:
    """Whether something that planning reads was changed since the plan was made."""
    return (
        Change.objects.for_company(plan.show.company)
        .filter(pk__gt=plan.changes_seen)
        .exclude(noun__in=OF_NO_MATTER)
        .exists()
    )


def figure_dates(plan: Plan | None, zone: ZoneInfo) -> dict[int, FigureDates]:
    """What the plan says of each figure, by figure id. No query."""
    if plan is None:
        return {}
    return {
        row["figure"]: FigureDates(
            fit=_day(row["fit"], zone), ready=_day(row["ready"], zone), late_min=row["late_min"]
        )
        for row in plan.figures
    }


def days_late(plan: Plan | None) -> int:
    """Days by which figures miss their dates, over all of them, begun ones counted whole."""
    return sum(-(-row["late_min"] // 1440) for row in plan.figures) if plan is not None else 0


def ready_day(plan: Plan | None, zone: ZoneInfo) -> date | None:
    """The day on which all is ready to play."""
    return plan.ready.astimezone(zone).date() if plan and plan.ready else None


def days_in_hand(show: Show, plan: Plan | None) -> int | None:
    """Opening minus the day all is ready, in calendar days; negative when late."""
    ready = ready_day(plan, ZoneInfo(show.company.time_zone))
    return (show.opening - ready).days if show.opening and ready else None


def _day(text: str, zone: ZoneInfo) -> date:
    return datetime.fromisoformat(text).astimezone(zone).date()
