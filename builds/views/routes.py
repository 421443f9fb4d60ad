"""Routes: the list with its equipment, and one route as a drawn chain with its stages."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.core.route_defaults import DEFAULT_ROUTES
from builds.drawings.route import DAY_MIN, draw_route
from builds.forms.routes import EquipmentForm, RouteNameForm
from builds.models import Equipment, Route, Stage
from builds.models.routes import Second
from builds.queries.routes import RouteView, equipment_of, view_route, view_routes
from builds.services.equipment import add_equipment, edit_equipment, strike_equipment
from builds.services.routes import add_default_routes, route_for
from builds.services.stages import edit_route
from company.access import company_for, membership_of, row_for
from company.forms.fields import add_problems
from company.htmx import render
from company.models import Company, Role

TWO = (Second.ANYBODY, Second.CRAFT, Second.LEAD)


def route_of(request: HttpRequest, pk: object, role: Role) -> Route:
    """The route with its company, if the person has at least `role` there."""
    route: Route = row_for(request.user, Route.objects.select_related("company"), pk, role)
    return route


def page_context(request: HttpRequest, company: Company) -> dict[str, Any]:
    """What every page about routes has."""
    return {
        "company": company,
        "place": "company",
        "may_edit": membership_of(request.user, company).allows(Role.LEAD),
    }


@require_safe
def route_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """The routes of a company with their hours, and the equipment they ask for."""
    return _show_list(request, company_for(request.user, company_pk, Role.READER))


def _show_list(
    request: HttpRequest, company: Company, *, status: int = 200, **more: Any
) -> HttpResponse:
    routes = view_routes(company)
    kinds = {view.route.kind for view in routes}
    context = page_context(request, company) | {
        "routes": routes,
        "missing": [route for kind, route in DEFAULT_ROUTES.items() if kind not in kinds],
        "equipment": equipment_of(company),
        "gear_form": EquipmentForm(),
        **more,
    }
    page = "builds/route_list.html"
    return render(request, page, "builds/_equipment.html", context, status=status)


@require_POST
def route_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Lay the usual route of one kind, or of string, rod and hand where none is named."""
    company = company_for(request.user, company_pk, Role.LEAD)
    kind = request.POST.get("kind", "")
    if kind and kind not in DEFAULT_ROUTES:
        raise Http404("No such kind.")
    if kind:
        route = route_for(company=company, kind=kind, user=request.user)
        messages.success(request, f"The route '{route}' is in. Make it your own.")
        return redirect("builds:route_detail", route.pk)
    made = add_default_routes(company=company, user=request.user)
    messages.success(request, f"{len(made)} routes are in. Make them your own.")
    return redirect("builds:route_list", company.pk)


@require_safe
def route_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """The route as a drawn chain, its hours, and a card for each stage."""
    return show_route(request, route_of(request, pk, Role.READER))


def show_route(
    request: HttpRequest, route: Route, *, status: int = 200, **more: Any
) -> HttpResponse:
    """The page of a route."""
    view = view_route(route)
    context = page_context(request, route.company) | {
        "route": route,
        "view": view,
        "picture": _draw(view) if view.stages and not view.is_circle else "",
        "waiting_days": view.waiting_min // DAY_MIN,
        "form": RouteNameForm(route=route),
        **more,
    }
    return render(request, "builds/route_detail.html", context=context, status=status)


def _draw(view: RouteView) -> SafeString:
    return draw_route(
        view.drawing,
        ident="chain",
        addresses={stage.row.key: f"#stage-{stage.row.pk}" for stage in view.stages},
        notes={stage.row.key: _who(stage.row) for stage in view.stages},
    )


def _who(stage: Stage) -> str:
    """Who does it, as short as the picture asks for."""
    said = "lead" if stage.lead_only else str(stage.craft or "")
    return f"{said}, two" if stage.second in TWO else said


@require_POST
def route_rename(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a route another name."""
    route = route_of(request, pk, Role.LEAD)
    form = RouteNameForm(request.POST, route=route)
    if form.is_valid():
        try:
            edit_route(route=route, user=request.user, **form.cleaned_data)
            messages.success(request, "The name is saved.")
            return redirect("builds:route_detail", route.pk)
        except ValidationError as wrong:
            add_problems(form, wrong)
    return show_route(request, route, status=422, form=form)


@require_POST
def equipment_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Equipment that stages can ask for."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = EquipmentForm(request.POST)
    if form.is_valid():
        try:
            gear = add_equipment(company=company, user=request.user, **form.cleaned_data)
            return _equipment_done(request, company, f"'{gear}' is in.")
        except ValidationError as wrong:
            add_problems(form, wrong)
    return _show_list(request, company, status=422, gear_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def equipment_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Name and capacity of equipment."""
    gear = _gear_for(request, pk)
    form = EquipmentForm(request.POST or None, equipment=gear)
    if request.method == "POST" and form.is_valid():
        try:
            edit_equipment(equipment=gear, user=request.user, **form.cleaned_data)
            messages.success(request, f"'{gear}' is saved.")
            return redirect("builds:route_list", gear.company_id)
        except ValidationError as wrong:
            gear.refresh_from_db()
            add_problems(form, wrong)
    context = page_context(request, gear.company) | {"equipment": gear, "form": form}
    status = 422 if form.errors else 200
    return render(request, "builds/equipment_edit.html", context=context, status=status)


@require_POST
def equipment_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike equipment that no stage asks for."""
    gear = _gear_for(request, pk)
    try:
        strike_equipment(equipment=gear, user=request.user)
    except ValidationError as wrong:
        return _show_list(request, gear.company, status=422, refused=wrong.messages)
    return _equipment_done(request, gear.company, f"'{gear}' is struck.")


def _gear_for(request: HttpRequest, pk: int) -> Equipment:
    rows = Equipment.objects.select_related("company").filter(struck_at=None)
    gear: Equipment = row_for(request.user, rows, pk, Role.LEAD)
    return gear


def _equipment_done(request: HttpRequest, company: Company, words: str) -> HttpResponse:
    messages.success(request, words)
    if request.htmx:  # type: ignore[attr-defined]
        return _show_list(request, company)
    return redirect("builds:route_list", company.pk)
