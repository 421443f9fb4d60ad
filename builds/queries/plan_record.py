"""Plan against record: how the work was to be finished, and how it was. Never by person."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Sum

from builds.drawings.record import RecordData
from builds.models import Plan, PlannedStep, Step, WorkLog
from company import clock
from company.templatetags.words import counted, hours
from scenes.models import Show


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """A pinned-up plan beside what came of it, up to today."""

    plan: Plan
    others: tuple[Plan, ...]
    data: RecordData
    planned_min: int
    finished_min: int
    booked_min: int
    days_behind: int

    @property
    def lede(self) -> str:
        """How it goes, in a sentence."""
        if not self.planned_min and not self.finished_min:
            return "Nothing was to be finished by now: it has only begun."
        said = f"By now {hours(self.planned_min) or '0 h'} of work were to be finished"
        if self.finished_min == self.planned_min:
            return f"{said}, and they are."
        said += f"; {hours(self.finished_min) or 'none'} are"
        if self.days_behind > 0:
            return f"{said}. That is as far as the plan was {counted(self.days_behind, 'day')} ago."
        if self.finished_min > self.planned_min:
            return f"{said}: ahead of the plan."
        return f"{said}."


def pinned_up_plans(show: Show) -> list[Plan]:
    """Every plan that was ever pinned up, newest first."""
    return list(
        Plan.objects.filter(show=show, pinned_up_at__isnull=False).order_by("-pinned_up_at", "-pk")
    )


def read_plan_record(show: Show, plan: Plan, plans: list[Plan]) -> PlanRecord:
    """The steps of one pinned-up plan: planned, finished and booked minutes by day. Flat reads."""
    zone = ZoneInfo(show.company.time_zone)
    today = clock.today(show.company)
    planned: dict[date, int] = defaultdict(int)
    minutes: dict[int, int] = defaultdict(int)
    rows = PlannedStep.objects.filter(plan=plan, step__struck_at=None)
    due_min, now = 0, clock.now()
    for step, at, took in rows.values_list("step_id", "finish", "minutes"):
        planned[at.astimezone(zone).date()] += took
        minutes[step] += took
        due_min += took if at <= now else 0
    done: dict[date, int] = defaultdict(int)
    finished = Step.objects.filter(pk__in=minutes, finished_at__isnull=False)
    for pk, at in finished.values_list("pk", "finished_at"):
        done[at.astimezone(zone).date()] += minutes[pk]
    first = (plan.pinned_up_at or plan.made_at).astimezone(zone).date()
    booked: dict[date, int] = defaultdict(int)
    logs = WorkLog.objects.filter(step__in=minutes, struck_at=None, day__gte=first)
    for day, total in logs.values_list("day").annotate(total=Sum("minutes")):
        booked[day] += total
    data = RecordData(
        planned=_sums(planned.items(), first),
        finished=_sums(done.items(), first, today),
        booked=_sums(booked.items(), first, today),
        today=today,
        opening=show.opening,
    )
    finished_min = _until(data.finished, today)
    return PlanRecord(
        plan=plan,
        others=tuple(plans),
        data=data,
        planned_min=due_min,
        finished_min=finished_min,
        booked_min=_until(data.booked, today),
        days_behind=_days_behind(data.planned, finished_min, today) if due_min else 0,
    )


def _sums(
    days: Iterable[tuple[date, int]], first: date, last: date | None = None
) -> tuple[tuple[date, int], ...]:
    """Running sums by day, from nought on the first day; up to a last day where one is given."""
    total, found = 0, [(first, 0)]
    for day, minutes in sorted(days):
        total += minutes
        found.append((max(day, first), total))
    if last is not None and found[-1][0] < last:
        found.append((last, total))
    return tuple(dict(found).items())


def _until(line: tuple[tuple[date, int], ...], today: date) -> int:
    return max((minutes for day, minutes in line if day <= today), default=0)


def _days_behind(line: tuple[tuple[date, int], ...], finished_min: int, today: date) -> int:
    """Days since the plan stood where the work stands; nought where it is not behind."""
    if finished_min >= _until(line, today):
        return 0
    past = [day for day, minutes in line if minutes > finished_min]
    return max(0, (today - min(past)).days) if past else 0
