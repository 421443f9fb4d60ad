"""Making steps from routes, and making them again when figures or routes change."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from builds.core.stepping import want_steps
from builds.core.workshop import StepKey, WantedStep, Workshop
from builds.models import Figure, Step
from builds.queries.steps import (
    columns_of,
    is_built,
    is_touched,
    key_of,
    read_routes,
    read_workshop,
    with_traces,
)
from builds.services.castings import Planned, plan_castings
from builds.services.patterns import ensure_patterns
from builds.services.plans import steps_changed
from builds.services.routes import route_for
from company import clock
from company.models import Company, User
from company.services.changes import record_change
from scenes.models import Guise, Show


@dataclass
class Remade:
    """What a making of steps did, by step id. Nothing of it: `bool()` is False."""

    made: list[int] = field(default_factory=list)
    taken_up: list[int] = field(default_factory=list)
    new_hours: list[int] = field(default_factory=list)
    struck: list[int] = field(default_factory=list)
    dropped: list[int] = field(default_factory=list)

    def __bool__(self) -> bool:
        return any(vars(self).values())


@transaction.atomic
def make_steps(*, show: Show, user: User | None = None, kept: Collection[int] = ()) -> Remade:
    """Bring the show's patterns, castings and steps to what its figures and routes ask for.

    Safe to call at any time, as often as one likes: only what differs is written. Hours of a
    step follow the route until somebody has touched it. A step no longer wanted is struck where
    it was touched (or stands in a plan), else dropped; what was finished on a figure that is set
    aside stays as it is. Struck steps come back as they were when they are wanted again.
    `kept` are castings that have just been laid on the shelf, and stay there.
    """
    Show.objects.select_for_update().get(pk=show.pk)
    figures = list(
        is_built(Figure.objects.filter(show=show)).select_related("guise__character__show")
    )
    for kind in sorted({figure.guise.kind for figure in figures}):
        route_for(company=show.company, kind=kind, user=user)
    routes = read_routes(show.company)
    guises = Guise.objects.filter(pk__in={figure.guise_id for figure in figures})
    ensure_patterns(show, list(guises.select_related("character__show")), routes)
    planned = plan_castings(figures, routes, kept)
    remade = _settle(show)
    _record_castings(show, planned, user)
    if remade:
        record_change(
            company=show.company, user=user, noun="steps", row=show.pk, after=vars(remade)
        )
        steps_changed(show)
    return remade


def _record_castings(show: Show, planned: Planned, user: User | None) -> None:
    """Which castings went to figures from the shelf, and which moulds are wanted more."""
    for casting in planned.from_shelf:
        record_change(
            company=show.company,
            user=user,
            noun="casting",
            row=casting.pk,
            before={"figure_id": None},
            after={"figure_id": casting.figure_id, "place": "", "words": "from the shelf"},
        )
    for mould in planned.moulds:
        if mould.number > 1:
            record_change(
                company=show.company,
                user=user,
                noun="mould",
                row=mould.pk,
                after={"number": mould.number, "words": "the others are used up"},
            )


def remake_steps(*, show: Show, user: User | None = None) -> Remade:
    """Make the show's steps again, after a route was edited: the same as making them."""
    return make_steps(show=show, user=user)


@transaction.atomic
def remake_company_steps(*, company: Company, user: User | None = None) -> int:
    """Make the steps of every show again. Gives the number of shows in which something moved."""
    shows = Show.objects.filter(company=company, figures__isnull=False).distinct()
    return sum(bool(make_steps(show=show, user=user)) for show in shows)


def _settle(show: Show) -> Remade:
    """Compare the steps there are with those wanted, and write the difference."""
    workshop = read_workshop(show)
    wanted = {step.key: step for step in want_steps(workshop)}
    rows = {key_of(step): step for step in with_traces(Step.objects.filter(show=show))}
    remade = Remade()
    for key, row in rows.items():
        if key in wanted:
            _keep(row, wanted[key], remade)
        elif row.struck_at is None and not _rests(row, key, workshop):
            _put_off(row, remade)
    fresh = [
        Step(show=show, planned_min=step.minutes, **columns_of(step.key))
        for step in wanted.values()
        if step.key not in rows
    ]
    remade.made = [step.pk for step in Step.objects.bulk_create(fresh)]
    Step.objects.filter(pk__in=remade.dropped).delete()
    return remade


def _keep(row: Any, wanted: WantedStep, remade: Remade) -> None:
    changed = {}
    if row.struck_at is not None:
        changed["struck_at"] = None
        remade.taken_up.append(row.pk)
    if row.planned_min != wanted.minutes and not is_touched(row):
        changed["planned_min"] = wanted.minutes
        remade.new_hours.append(row.pk)
    if changed:
        Step.objects.filter(pk=row.pk).update(version=row.version + 1, **changed)


def _put_off(row: Any, remade: Remade) -> None:
    if is_touched(row) or row.was_planned:
        now = clock.now()
        Step.objects.filter(pk=row.pk).update(struck_at=now, version=row.version + 1)
        remade.struck.append(row.pk)
    else:
        remade.dropped.append(row.pk)


def _rests(row: Step, key: StepKey, shop: Workshop) -> bool:
    """Whether a finished step stays simply because what it was done for lies at rest now."""
    live = {stage.id for route in shop.routes.values() for stage in route}
    if row.finished_at is None or key.stage not in live:
        return False
    wanted_figures = {figure.id for figure in shop.wanted}
    if row.figure_id is not None:
        return row.figure_id not in wanted_figures
    if row.mould_id is not None:
        return True
    if row.pour_id is not None:
        return not any(row.pour_id in pours for f in shop.wanted for pours in f.pours.values())
    if row.pattern_id is not None:
        return row.pattern_id not in shop.hosts
    return row.guise_id not in {guise.id for guise in shop.wanted_guises}
