"""A slip taken off the wall: one person's day, who must do a step, and not before when."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from builds.access import step_for
from builds.forms.refusals import add_refusal
from builds.forms.steps import SlipForm
from builds.models import Step
from builds.queries.plans import plan_seen_by
from builds.queries.slips import DaySlip, SlipStep, read_slip
from builds.services.figures import edit_step
from builds.views.wall import read_day
from company.access import membership_of
from company.htmx import render
from company.models import Maker, Role
from company.services.changes import StaleEdit
from scenes.access import show_for
from scenes.models import Show


@require_safe
def plan_slip(request: HttpRequest, pk: int, maker_pk: int, day: str) -> HttpResponse:
    """One person's day on the wall."""
    show = show_for(request.user, pk, Role.READER)
    slip = _read(request, show, str(maker_pk), day)
    return _render(request, show, slip)


@require_POST
def step_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Pin a step to somebody, or let it begin no sooner than a day; the plan follows."""
    step = step_for(request.user, pk, Role.LEAD)
    slip = _read(request, step.show, request.POST.get("maker"), request.POST.get("day"))
    row = next((row for row in slip.steps if row.step.pk == step.pk), None)
    if row is None:
        raise Http404("This step is not on that slip any more.")
    form = SlipForm(request.POST, step=step, able=row.able)
    status = 422
    if form.is_valid():
        values = {name: form.cleaned_data[name] for name in ("pinned_maker", "not_before")}
        try:
            version = form.cleaned_data["version"]
            edit_step(step=step, user=request.user, version=version, **values)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        except StaleEdit as stale:
            status = 409
            form.data = {**form.data.dict(), "version": stale.row.version}  # type: ignore[attr-defined]
            form.add_error(None, "Somebody was quicker: what stands now is below. Save once more.")
        else:
            return _done(request, step, slip)
    return _render(request, step.show, slip, status=status, wrong=(step.pk, form))


def _done(request: HttpRequest, step: Step, slip: DaySlip) -> HttpResponse:
    messages.success(request, f"{step.stage} {step.subject_words} is set. The plan has followed.")
    address = reverse("builds:wall_plan", args=[step.show_id]) + f"?from={slip.day.isoformat()}"
    if request.htmx:  # type: ignore[attr-defined]
        response = HttpResponse(status=204)
        response["HX-Redirect"] = address
        return response
    return redirect(address)


def _read(request: HttpRequest, show: Show, maker_pk: str | None, day: str | None) -> DaySlip:
    plan = plan_seen_by(request.user, show)  # type: ignore[arg-type]
    asked = read_day(day)
    if plan is None or asked is None or not (maker_pk or "").isdecimal():
        raise Http404("There is no such slip.")
    maker = Maker.objects.for_company(show.company).filter(pk=int(maker_pk or 0)).first()
    if maker is None:
        raise Http404("Nobody of that number works here.")
    return read_slip(show, plan, maker, asked)


def _render(
    request: HttpRequest,
    show: Show,
    slip: DaySlip,
    *,
    status: int = 200,
    wrong: tuple[int, SlipForm] | None = None,
) -> HttpResponse:
    is_lead = membership_of(request.user, show.company).allows(Role.LEAD)  # type: ignore[arg-type]
    context: dict[str, Any] = {
        "show": show,
        "place": "plan",
        "slip": slip,
        "is_lead": is_lead,
        "zone": show.company.time_zone,
        "lines": [(row, _form(row, show, wrong) if is_lead else None) for row in slip.steps],
        "is_fragment": bool(request.htmx),  # type: ignore[attr-defined]
    }
    return render(
        request, "builds/plan_slip.html", "builds/_plan_slip.html", context, status=status
    )


def _form(row: SlipStep, show: Show, wrong: tuple[int, SlipForm] | None) -> SlipForm | None:
    if not row.is_open:
        return None
    if wrong is not None and wrong[0] == row.step.pk:
        return wrong[1]
    row.step.show = show
    return SlipForm(step=row.step, able=row.able)
