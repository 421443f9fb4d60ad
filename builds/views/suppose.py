"""Suppose: a changed copy of the plan beside the plan, taken or left; and what would help."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.html import format_html
from django.views.decorators.http import require_POST, require_safe

from builds.forms.suppose import FORMS
from builds.loading.suppose_codes import MOST, read_supposes
from builds.loading.supposing import Suppose
from builds.models import Plan, PlanRun
from builds.services.plan_runs import (
    LIVE,
    ask_what_helps,
    end_silent_runs,
    stop_run,
    waits_long,
)
from builds.services.supposing import compare
from builds.services.take_supposes import take_supposes
from company.htmx import render
from company.models import Role
from scenes.access import show_for
from scenes.models import Show


@require_safe
def suppose(request: HttpRequest, pk: int) -> HttpResponse:
    """The plan as it stands beside the plan as supposed. Nothing of it is saved."""
    show = show_for(request.user, pk, Role.LEAD)
    supposes = read_supposes(show, request.GET.getlist("s"))
    kind = request.GET.get("add", "")
    forms = [form(request.GET if form.kind == kind else None, show=show) for form in FORMS]
    asked = next((form for form in forms if form.kind == kind), None)
    if asked is not None and asked.is_valid():
        more = read_supposes(show, [*_codes(supposes), asked.code()])
        return redirect(address_of(show, more))
    context = {
        "show": show,
        "place": "plan",
        "supposes": [
            (one, address_of(show, [o for o in supposes if o is not one])) for one in supposes
        ],
        "codes": _codes(supposes),
        "forms": [form for form in forms if form.can_be],
        "is_many": len(supposes) >= MOST,
        "asked_kind": kind,
        "compared": compare(show, supposes),
        **run_context(show, supposes),
    }
    status = 422 if asked is not None else 200
    return render(request, "builds/suppose.html", None, context, status=status)


def _codes(supposes: tuple[Suppose, ...]) -> list[str]:
    return [one.code for one in supposes]


def address_of(show: Show, supposes: Any) -> str:
    """The page with these things supposed."""
    said = urlencode([("s", one.code) for one in supposes], safe=":,")
    return reverse("builds:suppose", args=[show.pk]) + (f"?{said}" if said else "")


@require_POST
def suppose_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Write what is supposed into the workshop, and say what is left to do by hand."""
    show = show_for(request.user, pk, Role.LEAD)
    supposes = read_supposes(show, request.POST.getlist("s"))
    try:
        taken = take_supposes(show=show, user=request.user, supposes=supposes)  # type: ignore[arg-type]
    except ValidationError as refusal:
        messages.error(request, "Nothing was taken: " + " ".join(refusal.messages))
        return redirect(address_of(show, supposes))
    for sentence in taken.done:
        messages.success(request, sentence)
    for sentence, address in taken.by_hand:
        words = format_html('By hand: {} <a href="{}">Go there</a>', sentence, address)
        messages.warning(request, words)
    if taken.plan is not None:
        _say_plan(request, taken.plan)
    return redirect("builds:wall_plan", show.pk)


def _say_plan(request: HttpRequest, plan: Plan) -> None:
    """What became of the plan, and what it still keeps that was let go where it was supposed."""
    if plan.status == "none":
        messages.error(request, "It cannot be planned so: what is in the way is below.")
    elif plan.kept_until is not None:
        words = (
            "Planned anew, with helpers' next two weeks as they were told. "
            '<a href="{}">Let them move, too</a>'
        )
        messages.info(request, format_html(words, reverse("builds:plan_moves", args=[plan.pk])))


@require_POST
def help_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask what would bring it back in time."""
    show = show_for(request.user, pk, Role.LEAD)
    supposes = read_supposes(show, request.POST.getlist("s"))
    ask_what_helps(show=show, user=request.user, asked=_codes(supposes))  # type: ignore[arg-type]
    return redirect(address_of(show, supposes) + "#help")


@require_POST
def help_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop trying; what was found is kept."""
    show = show_for(request.user, pk, Role.LEAD)
    run = PlanRun.objects.filter(show=show, aim=PlanRun.Aim.IN_TIME, state__in=LIVE).first()
    if run is not None:
        run.show = show
        stop_run(run=run, user=request.user)  # type: ignore[arg-type]
    return redirect(reverse("builds:suppose", args=[show.pk]) + "#help")


@require_safe
def help_run(request: HttpRequest, pk: int) -> HttpResponse:
    """How the trying stands; the page asks for it every two seconds."""
    show = show_for(request.user, pk, Role.LEAD)
    supposes = read_supposes(show, request.GET.getlist("s"))
    if request.headers.get("HX-Request") != "true":
        return redirect(address_of(show, supposes) + "#help")
    context = {"show": show, "codes": _codes(supposes), **run_context(show, supposes)}
    return render(request, "builds/_help.html", "builds/_help.html", context)


def run_context(show: Show, supposes: tuple[Suppose, ...]) -> dict[str, Any]:
    """The last trying of changes, with its rows ready for the page."""
    end_silent_runs(show)
    run = PlanRun.objects.filter(show=show, aim=PlanRun.Aim.IN_TIME).first()
    found = run.found if run is not None else {}
    rows = [
        {
            **row,
            "ready": date.fromisoformat(row["ready"]) if row["ready"] else None,
            "late": [f"{tag} {days} d" for tag, days in row["late"]],
            "url": address_of(show, [*supposes, *read_supposes(show, [row["code"]])]),
        }
        for row in found.get("rows", [])
    ]
    return {
        "help": run,
        "waits_long": waits_long(run),
        "is_trying": run is not None and run.state in LIVE,
        "tried": found.get("tried", 0),
        "of": found.get("of", 0),
        "working": [row for row in rows if row["is_in_time"]],
        "helping": [row for row in rows if not row["is_in_time"]][:8],
        "is_same": run is not None and run.asked == _codes(supposes),
        "refresh": f"?{urlencode([('s', code) for code in _codes(supposes)])}",
    }
