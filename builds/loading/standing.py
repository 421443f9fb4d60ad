"""Where the steps of a problem stand in a plan that is kept in rows."""

from __future__ import annotations

from builds.core.planning.problem import Fixed
from builds.loading.instants import minute_of
from builds.loading.problem import Loaded
from builds.models import Plan, PlannedStep


def standing_of(loaded: Loaded, plan: Plan | None) -> dict[str, Fixed]:
    """The plan's places by the problem's ids; a step cut into other parts by now has none."""
    if plan is None:
        return {}
    rows = PlannedStep.objects.filter(plan=plan, step__finished_at=None).select_related(
        "maker", "second"
    )
    found: dict[str, Fixed] = {}
    for row in rows:
        ident = f"{row.step_id}" if row.parts == 1 else f"{row.step_id}.{row.part}"
        piece = loaded.pieces.get(ident)
        if piece is not None and piece.parts == row.parts:
            found[ident] = Fixed(
                row.maker.name,
                minute_of(row.start),
                minute_of(row.finish),
                row.second.name if row.second else None,
            )
    return found
