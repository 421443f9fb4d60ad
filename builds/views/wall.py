"""The wall plan's page: by days, by person, by figure, what dries, as a list; near or far."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from builds.drawings.fullness import draw_fullness
from builds.drawings.spans import draw_spans
from builds.drawings.wall import hang_plan
from builds.models import Plan, PlannedStep, PlanRun
from builds.queries.boards import read_board
from builds.queries.chain import read_chain
from builds.queries.drying import read_drying
from builds.queries.fullness import read_fullness
from builds.queries.plans import (
    days_in_hand,
    days_late,
    is_out_of_date,
    pinned_up_plan,
    plan_seen_by,
    ready_day,
)
from builds.queries.wall import WEEKS_OFFERED, WEEKS_SHOWN, Wall, read_wall
from builds.services.plan_runs import CUT_OFF, LIVE, end_silent_runs, waits_long
from company import clock
from company.access import membership_of
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Show

VIEWS = {
    "day": "Day by day",
    "person": "By person",
    "figure": "By figure",
    "drying": "Drying and moulds",
    "full": "Who is full",
    "list": "List",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """How the plan is looked at; anything that makes no sense is as if it were not asked."""

    by: str = "day"
    weeks: int = WEEKS_SHOWN
    first: date | None = None

    @classmethod
    def read(cls, request: HttpRequest) -> Asked:
        """From the address; `as=list` is the list's address from before."""
        by = "list" if request.GET.get("as") == "list" else request.GET.get("by", "")
        text = request.GET.get("weeks", "")
        return cls(
            by if by in VIEWS else "day",
            int(text) if text in map(str, WEEKS_OFFERED) else WEEKS_SHOWN,
            read_day(request.GET.get("from")),
        )

    def link(self, **changes: Any) -> str:
        """The address of the same page looked at otherwise."""
        other = replace(self, **changes)
        said: dict[str, Any] = {}
        if other.by != "day":
            said["by"] = other.by
        if other.weeks != WEEKS_SHOWN:
            said["weeks"] = other.weeks
        if other.first is not None:
            said["from"] = other.first.isoformat()
        return f"?{urlencode(said)}"

    @property
    def tabs(self) -> list[tuple[str, str, bool]]:
        """Address, words, and whether it is here, of each way to look."""
        return [(self.link(by=by), words, by == self.by) for by, words in VIEWS.items()]


@require_safe
def wall_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan on the wall."""
    return render_wall(request, show_for(request.user, pk, Role.READER))


def render_wall(request: HttpRequest, show: Show, *, status: int = 200) -> HttpResponse:
    """The page of the wall plan as somebody sees it."""
    plan = plan_seen_by(request.user, show)  # type: ignore[arg-type]
    is_lead = membership_of(request.user, show.company).allows(Role.LEAD)  # type: ignore[arg-type]
    asked = Asked.read(request)
    context: dict[str, Any] = {
        "show": show,
        "place": "plan",
        "plan": plan,
        "is_lead": is_lead,
        "asked": asked,
        "weeks_offered": WEEKS_OFFERED,
        "zone": show.company.time_zone,
        "pinned": pinned_up_plan(show) if plan is None or not plan.is_pinned_up else plan,
        **run_context(show, is_lead),
    }
    if plan is not None and plan.status != "none":
        zone = ZoneInfo(show.company.time_zone)
        wall = read_wall(show, plan, asked.first, asked.weeks)
        context |= {
            "wall": wall,
            **_picture(show, plan, wall, asked, zone),
            "earlier": asked.link(first=wall.earlier) if wall.earlier else "",
            "later": asked.link(first=wall.later) if wall.later else "",
            "ready": ready_day(plan, zone),
            "in_hand": days_in_hand(show, plan),
            "bound": plan.bound.astimezone(zone).date() if plan.bound else None,
            "chain": read_chain(plan, wall.rows),
            "is_out_of_date": is_lead and is_out_of_date(plan),
        }
    return render(request, "builds/wall_plan.html", None, context, status=status)


def _picture(show: Show, plan: Plan, wall: Wall, asked: Asked, zone: ZoneInfo) -> dict[str, Any]:
    """What the chosen way to look shows."""
    if asked.by in ("person", "figure"):
        return {"board": read_board(show, plan, asked.by, wall.first, asked.weeks)}
    if asked.by == "drying":
        first = datetime.combine(wall.first, time(), zone)
        until = datetime.combine(wall.last + timedelta(days=1), time(), zone)
        drying = read_drying(show, plan, first, until)
        drawing = draw_spans(
            drying.rows,
            ident="drying",
            title="What is in a mould, on the frame, or dries",
            zone=zone,
            first=wall.first,
            last=wall.last,
            today=clock.today(show.company),
        )
        return {"drying": drying, "drawing": drawing}
    if asked.by == "full":
        fullness = read_fullness(show, plan)
        drawing = draw_fullness(
            fullness.loads,
            ident="fullness",
            title="How full people and crafts are, week by week",
            desc=fullness.lede,
            opening=show.opening,
        )
        return {"fullness": fullness, "drawing": drawing}
    if asked.by == "list":
        return {"listed": [row for row in wall.rows if _is_shown(row, wall, zone)]}
    return {"hung": hang_plan(wall.plan)} if asked.by == "day" else {}


def _is_shown(row: PlannedStep, wall: Wall, zone: ZoneInfo) -> bool:
    """Whether any of it lies in the weeks shown; what is left over stands in the first ones."""
    first, last = row.start.astimezone(zone).date(), row.finish.astimezone(zone).date()
    is_first = wall.earlier is None
    return first <= wall.last and (last >= wall.first or is_first)


def run_context(show: Show, is_lead: bool) -> dict[str, Any]:
    """How the last search for a better plan stands, for the lead."""
    if not is_lead:
        return {}
    end_silent_runs(show)
    rows = PlanRun.objects.filter(show=show, aim=PlanRun.Aim.BETTER)
    last = rows.select_related("best").first()
    zone = ZoneInfo(show.company.time_zone)
    return {
        "run": last,
        "is_running": last is not None and last.state in LIVE,
        "run_ready": ready_day(last.best, zone) if last else None,
        "run_in_hand": days_in_hand(show, last.best) if last else None,
        "run_late": days_late(last.best) if last else 0,
        "run_trail": _trail(last, zone),
        "is_cut_off": last is not None and last.words == CUT_OFF,
        "waits_long": waits_long(last),
    }


def _trail(run: PlanRun | None, zone: ZoneInfo) -> list[tuple[date, int]]:
    """On the way to the best plan: when all was ready, and how many days late, each once."""
    found = run.found.get("trail", []) if run is not None else []
    steps = [
        (datetime.fromisoformat(step["ready"]).astimezone(zone).date(), step["late"])
        for step in found
        if isinstance(step, dict)  # searches from before kept the days alone
    ]
    return list(dict.fromkeys(steps))[-5:]


def read_day(text: str | None) -> date | None:
    """A day in an address; None where it is none, or one that no plan reaches."""
    try:
        day = date.fromisoformat(text or "")
    except ValueError:
        return None
    return day if 1990 <= day.year <= 2200 else None
