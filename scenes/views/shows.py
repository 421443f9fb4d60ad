"""Pages that start a show and edit what is said of it."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from company.access import company_for
from company.core.measures import format_length
from company.htmx import render
from company.models import Company, Role
from scenes.access import show_for
from scenes.forms.shows import ShowForm
from scenes.services.shows import edit_show, scenes_after_opening, start_show


@require_http_methods(["GET", "HEAD", "POST"])
def show_new(request: HttpRequest, company_pk: int) -> HttpResponse:
    """The first page of a show; the next is its scenes and roles."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = ShowForm(request.POST or None, company=company)
    if request.method == "POST" and form.is_valid():
        show = start_show(
            company=company,
            user=request.user,
            has_opened=form.cleaned_data["has_opened"],
            **form.values(),
        )
        bridge_mm = form.cleaned_data["bridge_mm"]
        if bridge_mm is not None:
            messages.success(request, f"{show} is started. Of its bridge, first the rail.")
            height = format_length(bridge_mm, is_metric=company.units == Company.Units.METRIC)
            asked = urlencode({"bridge_mm": height})
            return redirect(f"{reverse('builds:bridge', args=[show.pk])}?{asked}")
        return redirect("scenes:scene_list", show.pk)
    context = {"company": company, "form": form}
    return render(
        request, "scenes/show_new.html", context=context, status=422 if form.is_bound else 200
    )


@require_http_methods(["GET", "HEAD", "POST"])
def show_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Dates, people and stage of a show."""
    show = show_for(request.user, pk, Role.LEAD)
    form = ShowForm(request.POST or None, company=show.company, show=show)
    if request.method == "POST" and form.is_valid():
        edited = edit_show(
            show=show,
            user=request.user,
            version=form.cleaned_data["version"],
            has_opened=form.cleaned_data["has_opened"],
            **form.values(),
        )
        messages.success(request, "Saved. The count and the plan follow.")
        for scene in scenes_after_opening(edited):
            messages.warning(request, f"Scene {scene} is now wanted after the opening: look at it.")
        return redirect("scenes:show_edit", show.pk)
    context = {"show": show, "place": "scenes", "form": form}
    return render(
        request, "scenes/show_edit.html", context=context, status=422 if form.is_bound else 200
    )
