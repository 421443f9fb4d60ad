"""How long a company's finished steps took beside what was planned, from its record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable

from django.db.models import Sum
from django.db.models.functions import Coalesce

from builds.core.planning.pace import Pace, learn_pace
from builds.models import Step
from company.models import Company


def read_pace(company: Company) -> Pace:
    """The company's pace over all its shows, by stage id. One query."""
    rows = (
        Step.objects.for_company(company)
        .filter(finished_at__isnull=False, struck_at=None, work__struck_at=None)
        .annotate(asked=Coalesce("own_min", "planned_min"), spent=Sum("work__minutes"))
        .filter(asked__gt=0, spent__gt=0)
        .order_by("pk")
        .values_list("stage_id", "asked", "spent")
    )
    taken: dict[Hashable, list[float]] = defaultdict(list)
    for stage, planned, spent in rows:
        taken[stage].append(spent / planned)
    return learn_pace(taken)
