"""All the work in a draft, as if every figure of it were built from nothing."""

from __future__ import annotations

from dataclasses import replace

from builds.core import workshop as core
from builds.core.stepping import want_steps
from builds.queries.bench_lines import Bench
from builds.queries.steps import poured_parts


def draft_minutes(bench: Bench, shop: core.Workshop) -> int:
    """Minutes of every step that its tracks ask for, learning and shared work counted in.

    `shop` gives the routes and sizes; who is at the bench by now does not matter.
    """
    figures = []
    for line in bench.lines:
        if line.track is None:
            continue
        worn = tuple(
            core.Worn(costume.pk, costume.sewing_min, number > 0)
            for number, costume in enumerate(line.costumes)
        )
        parts = poured_parts(shop.routes.get(line.guise.kind, ()))
        pours = {part: ((part, line.key),) for part in parts}
        figures.append(core.Figure(line.key, line.guise.pk, worn, pours))
    as_if = replace(shop, figures=tuple(figures), more_moulds={}, spare_pours={})
    return sum(step.minutes for step in want_steps(as_if))
