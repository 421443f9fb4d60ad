"""What loading asks the database for beside steps and people."""

from __future__ import annotations

from collections import defaultdict

from django.db.models import Sum

from builds.models import Casting, PlannedStep, Stage, StageAfter, WorkLog
from builds.models.routes import Mark
from scenes.models import Show


def spent_minutes(show: Show) -> dict[int, int]:
    rows = WorkLog.objects.filter(step__show=show, struck_at=None)
    return dict(rows.values_list("step_id").annotate(total=Sum("minutes")))


def last_seconds(show: Show) -> dict[int, str]:
    """Who was last planned to stand beside each step that is under way."""
    rows = PlannedStep.objects.filter(
        plan__show=show,
        second__isnull=False,
        step__begun_at__isnull=False,
        step__finished_at=None,
    )
    return dict(rows.order_by("plan__made_at").values_list("step_id", "second__name"))


def figure_of_pour(show: Show) -> dict[int, int]:
    rows = Casting.objects.filter(pattern__show=show, figure__isnull=False)
    return dict(rows.values_list("pour_id", "figure_id"))


def stages_after_trued(show: Show) -> set[int]:
    """Stages that may follow the first rehearsal: all that wait for a stage marked trued."""
    company = show.company
    follow: dict[int, list[int]] = defaultdict(list)
    for stage, after in StageAfter.objects.for_company(company).values_list("stage", "after"):
        follow[after].append(stage)
    trued = Stage.objects.for_company(company).filter(mark=Mark.TRUED, struck_at=None)
    found: set[int] = set()
    ahead = [later for stage in trued.values_list("pk", flat=True) for later in follow[stage]]
    while ahead:
        stage = ahead.pop()
        if stage not in found:
            found.add(stage)
            ahead += follow[stage]
    return found
