"""How long figures of each guise take to build, as plain numbers for the count with people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from builds.core import workshop as core
from builds.core.stepping import want_steps
from builds.queries.steps import poured_parts, read_workshop
from scenes.models import Costume, Show


def read_build_minutes(
    show: Show, figures: Mapping[int, int]
) -> tuple[dict[int, int], dict[int, int]]:
    """Minutes of a figure without cloth by guise, and minutes to sew by costume.

    `figures` says how many of each guise are needed: the minutes are those of the last of them,
    which one figure fewer would save, learning counted in. What is done once for a guise or a
    mould is not in them. A costume is taken as one that stays on.
    """
    shop = read_workshop(show)
    wears: dict[int, list[Costume]] = defaultdict(list)
    for costume in Costume.objects.filter(guise__character__show=show):
        wears[costume.guise_id].append(costume)
    built = []
    for guise in shop.guises:
        number = max(1, figures.get(guise.id, 0))  # type: ignore[call-overload]
        built += [
            _as_if(shop, guise, n, wears if n == number else {}) for n in range(1, number + 1)
        ]
    last = {figure.guise: figure.id for figure in built}
    body: dict[int, int] = defaultdict(int)
    sewing: dict[int, int] = {}
    firsts = {s.id for route in shop.routes.values() for s in route if s.first_of_costume}
    steps = want_steps(replace(shop, figures=tuple(built), more_moulds={}, spare_pours={}))
    for step in steps:
        subject = step.key.subject
        owner = subject.id[1] if subject.kind == "pour" else subject.id  # type: ignore[index]
        guise_of = owner[0] if isinstance(owner, tuple) else None
        if guise_of is None or last.get(guise_of) != owner:
            continue
        if subject.kind == "costume":
            costume_id: int = subject.costume  # type: ignore[assignment]
            sewing[costume_id] = sewing.get(costume_id, 0) + step.minutes
        elif step.key.stage not in firsts:
            body[guise_of] += step.minutes
    return dict(body), sewing


def _as_if(
    shop: core.Workshop, guise: core.Guise, number: int, wears: Mapping[int, list[Costume]]
) -> core.Figure:
    """The n-th figure of a guise, as if it were asked for; with castings of its own."""
    owner = (guise.id, number)
    pours = {part: ((part, owner),) for part in poured_parts(shop.routes.get(guise.route, ()))}
    worn = tuple(
        core.Worn(costume.pk, costume.sewing_min)
        for costume in wears.get(guise.id, ())  # type: ignore[call-overload]
    )
    return core.Figure(owner, guise.id, worn, pours)
