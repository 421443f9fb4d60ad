"""What a casting that failed costs: the plan before and after, made by the same rule."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from builds.core import planning as core
from builds.loading import instant_of, load_problem
from builds.models import Plan, Pour, Step
from company import clock
from company.templatetags.words import and_list
from scenes.models import Show

logger = logging.getLogger(__name__)
ROUNDS = 0  # of improvement: both plans are first plans, so that they differ by the work alone


@dataclass(frozen=True, slots=True)
class Forecast:
    """When all is ready, and how much work is left; `ready` None where nothing plans it."""

    ready: datetime | None
    work_min: int


def forecast(show: Show) -> Forecast:
    """The show as it stands, planned quickly; without a plan of its own nothing is forecast."""
    left = Step.objects.filter(show=show, struck_at=None, finished_at=None)
    work_min = sum(step.work_min for step in left.only("planned_min", "own_min"))
    if not Plan.objects.filter(show=show).exclude(status="none").exists():
        return Forecast(None, work_min)
    loaded = load_problem(show)
    if loaded.problem.problems():
        return Forecast(None, work_min)
    plan = core.solve(loaded.problem, work=ROUNDS, seed=1)
    ready = instant_of(plan.ready) if plan.ready is not None else None
    return Forecast(ready, work_min)


def judge_with_cost(*, pour: Pour, failed: Sequence[str], judge: Callable[[], object]) -> None:
    """Write verdicts on castings of a pour, and what those that failed cost the plan.

    `failed` are their codes. The verdicts hold whatever becomes of the cost.
    """
    before = forecast(pour.mould.pattern.show) if failed else None
    judge()
    if before is not None:
        note_cost(pour=pour, before=before, words=and_list(failed))


@transaction.atomic
def note_cost(*, pour: Pour, before: Forecast, words: str) -> dict[str, Any] | None:
    """Keep with the pour what its failures cost, days and hours; None where they cost nothing."""
    after = forecast(pour.mould.pattern.show)
    cost: dict[str, Any] = {
        "words": words,
        "at": clock.now().isoformat(),
        "work_min": max(0, after.work_min - before.work_min),
        "ready_before": before.ready.isoformat() if before.ready else None,
        "ready_after": after.ready.isoformat() if after.ready else None,
    }
    Pour.objects.filter(pk=pour.pk).update(cost=cost)
    pour.cost = cost
    return cost
