"""One stage of a route: adding, editing, moving, striking, and taking over words."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from builds.forms.routes import CopyWordsForm, StageForm
from builds.models import Route, Stage
from builds.services.stages import (
    add_stage,
    copy_words,
    edit_stage,
    move_stage,
    strike_stage,
    take_back_stage,
)
from builds.views.routes import page_context, route_of, show_route
from company.access import row_for
from company.forms.fields import add_problems
from company.htmx import render
from company.models import Role


def stage_for(request: HttpRequest, pk: object) -> Stage:
    """The stage with its route and company, for a lead."""
    stages = Stage.objects.select_related("route__company", "craft", "second_craft", "equipment")
    stage: Stage = row_for(request.user, stages, pk, Role.LEAD)
    return stage


@require_http_methods(["GET", "HEAD", "POST"])
def stage_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A new stage of a route."""
    route = route_of(request, pk, Role.LEAD)
    form = StageForm(request.POST or None, route=route)
    if request.method == "POST" and form.is_valid():
        try:
            stage = add_stage(
                route=route,
                user=request.user,
                values=form.values(),
                after=form.cleaned_data["after"],
            )
        except ValidationError as wrong:
            add_problems(form, wrong)
        else:
            messages.success(request, f"'{stage}' is in. Say now what waits for it.")
            return redirect(_at(stage))
    return _show_form(request, route, None, form)


@require_http_methods(["GET", "HEAD", "POST"])
def stage_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Every field of a stage. Hours reach only steps that nobody has touched."""
    stage = stage_for(request, pk)
    form = StageForm(request.POST or None, route=stage.route, stage=stage)
    if request.method == "POST" and form.is_valid():
        try:
            edit_stage(
                stage=stage,
                user=request.user,
                version=form.cleaned_data["version"],
                values=form.values(),
                after=form.cleaned_data["after"],
            )
        except ValidationError as wrong:
            stage = stage_for(request, pk)
            add_problems(form, wrong)
        else:
            messages.success(request, f"'{stage}' is saved.")
            return redirect(_at(stage))
    return _show_form(request, stage.route, stage, form)


def _show_form(
    request: HttpRequest, route: Route, stage: Stage | None, form: StageForm
) -> HttpResponse:
    context = page_context(request, route.company) | {"route": route, "stage": stage, "form": form}
    if stage is not None:
        context["copy_form"] = CopyWordsForm(stage=stage, company=route.company)
    status = 422 if form.errors else 200
    return render(request, "builds/stage_edit.html", context=context, status=status)


@require_POST
def stage_move(request: HttpRequest, pk: int) -> HttpResponse:
    """One place up or down."""
    stage = stage_for(request, pk)
    move_stage(stage=stage, user=request.user, is_up="up" in request.POST)
    return redirect(_at(stage))


@require_POST
def stage_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a stage: what waited for it waits for what it waited for."""
    stage = stage_for(request, pk)
    strike_stage(stage=stage, user=request.user)
    messages.success(request, f"'{stage}' is struck. Steps already touched are kept, struck too.")
    return redirect("builds:route_detail", stage.route_id)


@require_POST
def stage_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a struck stage back in."""
    stage = stage_for(request, pk)
    try:
        take_back_stage(stage=stage, user=request.user)
    except ValidationError as wrong:
        return show_route(request, stage.route, status=422, refused=wrong.messages)
    messages.success(request, f"'{stage}' is back. Say now what waits for it.")
    return redirect(_at(stage))


@require_POST
def stage_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Take over the words of another stage, or those that the stage began with."""
    stage = stage_for(request, pk)
    form = CopyWordsForm(request.POST, stage=stage, company=stage.route.company)
    if form.is_valid():
        copy_words(stage=stage, user=request.user, source=form.chosen())
        messages.success(request, f"The words of '{stage}' are taken over.")
    else:
        messages.error(request, "Choose whose words to take over. Nothing was changed.")
    return redirect("builds:stage_edit", stage.pk)


def _at(stage: Stage) -> str:
    return f"{reverse('builds:route_detail', args=[stage.route_id])}#stage-{stage.pk}"
