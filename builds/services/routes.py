"""A company's routes: laying the default ones, and finding the one for a kind of puppet."""

from __future__ import annotations

from django.db import IntegrityError, transaction

from builds.core.route_defaults import CRAFTS, DEFAULT_ROUTES, FIRST_KINDS, RouteDefault
from builds.models import Equipment, Route, Stage, StageAfter
from company.core.names import name_key
from company.models import Company, Craft, Maker, User
from company.services.changes import record_change


@transaction.atomic
def add_default_routes(
    *, company: Company, user: User | None = None, kinds: tuple[str, ...] = FIRST_KINDS
) -> list[Route]:
    """Give the company the default route of each kind that it has none of yet.

    Makes the crafts and the equipment that their stages ask for, where they are missing; a lead
    maker gets the crafts that are new, so that the first plan has somebody to do the work. Safe to
    call again: what is there stays as it is. Returns the routes that were made.
    """
    Company.objects.select_for_update().get(pk=company.pk)
    there = set(
        Route.objects.filter(company=company, kind__in=kinds).values_list("kind", flat=True)
    )
    return [_lay(company, user, DEFAULT_ROUTES[kind]) for kind in kinds if kind not in there]


def route_for(*, company: Company, kind: str, user: User | None = None) -> Route:
    """The company's route for a kind, laid from the default where it has none yet."""
    route = Route.objects.filter(company=company, kind=kind).first()
    if route is not None:
        return route
    try:
        with transaction.atomic():
            return add_default_routes(company=company, user=user, kinds=(kind,))[0]
    except (IntegrityError, IndexError):
        # Somebody laid it in the same moment.
        return Route.objects.get(company=company, kind=kind)


def _lay(company: Company, user: User | None, default: RouteDefault) -> Route:
    crafts = _crafts(company, default)
    equipment = _equipment(company, default)
    route = Route.objects.create(company=company, kind=default.kind, name=default.name)
    rows: dict[str, Stage] = {}
    for position, stage in enumerate(default):
        columns = {
            name: getattr(stage, name) for name in stage.__dataclass_fields__ if name != "after"
        }
        for name in ("craft", "second_craft"):
            columns[name] = crafts[name_key(columns[name])] if columns[name] else None
        columns["equipment"] = equipment[stage.equipment] if stage.equipment else None
        rows[stage.key] = Stage(route=route, position=position, **columns)
    Stage.objects.bulk_create(rows.values())
    StageAfter.objects.bulk_create(
        StageAfter(stage=rows[stage.key], after=rows[after])
        for stage in default
        for after in stage.after
    )
    record_change(
        company=company,
        user=user,
        noun="route",
        row=route.pk,
        after={"kind": route.kind, "name": route.name, "stages": len(rows)},
    )
    return route


def _crafts(company: Company, default: RouteDefault) -> dict[str, Craft]:
    """The crafts of the route's stages by name key; the missing ones are made."""
    wanted = {stage.craft for stage in default} | {stage.second_craft for stage in default}
    found = {c.name_key: c for c in Craft.objects.filter(company=company, struck_at=None)}
    fresh = []
    for name, cap_min in CRAFTS.items():
        if name in wanted and name_key(name) not in found:
            craft = Craft.objects.create(company=company, name=name, daily_cap_min=cap_min)
            found[craft.name_key] = craft
            fresh.append(craft)
    for lead in Maker.objects.filter(company=company, is_lead=True, struck_at=None):
        lead.crafts.add(*fresh)
    return found


def _equipment(company: Company, default: RouteDefault) -> dict[str, Equipment]:
    """The equipment of the route's stages by name; the missing is made."""
    there = {e.name_key: e for e in Equipment.objects.filter(company=company, struck_at=None)}
    found = {}
    for name in {stage.equipment for stage in default if stage.equipment}:
        found[name] = there.get(name_key(name)) or Equipment.objects.create(
            company=company, name=name
        )
    return found
