"""Bridges: what another height changes, rail and edge first; and the venues of a company."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.forms.refusals import add_refusal
from builds.forms.strings import BridgeForm, VenueForm
from builds.models import Venue
from builds.queries.strings import compare_bridges, last_check
from builds.services.bridges import add_venue, change_bridge, edit_venue, strike_venue
from builds.views.sent import SHOWN, Sent, send_form, send_or_show
from company.access import company_for, membership_of, row_for
from company.htmx import render
from company.models import Company, Role
from scenes.access import show_for
from scenes.models import Show


@require_safe
def bridge(request: HttpRequest, pk: int) -> HttpResponse:
    """The show's bridge; with a height in the query every length that it would change."""
    show = show_for(request.user, pk, Role.READER)
    return _bridge(request, show, _bridge_form(request, show.company, show, None))


@require_POST
def bridge_change(request: HttpRequest, pk: int) -> HttpResponse:
    """The show's bridge gets another height, rail and edge seen to first."""
    show = show_for(request.user, pk, Role.LEAD)
    form = _bridge_form(request, show.company, show, None)
    sent = _change(request, form, show.company, show=show)
    if sent.is_done:
        messages.success(request, "The bridge is changed; string charts go by it from now on.")
        return redirect("builds:bridge", show.pk)
    return _bridge(request, show, form, sent=sent)


def _bridge(
    request: HttpRequest, show: Show, form: BridgeForm, *, sent: Sent = SHOWN
) -> HttpResponse:
    asked = _asked_mm(form, show.bridge_mm)
    changed = []
    if show.bridge_mm is not None and asked is not None and asked != show.bridge_mm:
        changed = compare_bridges(show, show.bridge_mm, asked)
    context = {
        "show": show,
        "place": "figures",
        "form": form,
        "asked_mm": asked,
        "changed": changed,
        "is_lead": membership_of(request.user, show.company).allows(Role.LEAD),
        "check": last_check(show.company, show, None),
        "stands": sent.stands,
        "venues": list(Venue.objects.filter(company=show.company, struck_at=None)),
    }
    return render(request, "builds/bridge.html", None, context, status=sent.status)


@require_safe
def venue_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Where the company plays, and the bridges there."""
    return _venues(request, company_for(request.user, company_pk, Role.READER))


@require_POST
def venue_add(request: HttpRequest, company_pk: int) -> HttpResponse:
    """A venue more."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = VenueForm(request.POST)
    if form.is_valid():
        try:
            said = form.cleaned_data
            venue = add_venue(
                company=company, user=request.user, name=said["name"], note=said["note"]
            )
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            messages.success(request, f"{venue} is on the list: now say how high its bridge is.")
            return redirect("builds:venue_edit", venue.pk)
    return _venues(request, company, status=422, form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def venue_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """A venue's name and note, and the way to its bridge."""
    venue = _venue_for(request, pk)
    form = VenueForm(request.POST or None, venue=venue)
    sent = send_or_show(
        request,
        form,
        lambda given: edit_venue(venue=venue, user=request.user, **given),
        quicker="Somebody was quicker. Save again to write yours over it.",
    )
    if sent.is_done:
        messages.success(request, f"{venue} is saved.")
        return redirect("builds:venue_list", venue.company_id)
    return _venue(request, venue, sent=sent, form=form)


@require_POST
def venue_bridge(request: HttpRequest, pk: int) -> HttpResponse:
    """A venue's bridge gets its height, rail and edge seen to first."""
    venue = _venue_for(request, pk)
    form = _bridge_form(request, venue.company, None, venue)
    sent = _change(request, form, venue.company, venue=venue)
    if sent.is_done:
        messages.success(request, f"The bridge at {venue} has its height.")
        return redirect("builds:venue_edit", venue.pk)
    return _venue(request, venue, sent=sent, bridge_form=form)


def _change(
    request: HttpRequest,
    form: BridgeForm,
    company: Company,
    *,
    show: Show | None = None,
    venue: Venue | None = None,
) -> Sent:
    """The height of a show's or a venue's bridge, with what was said of rail and edge."""
    return send_form(
        form,
        lambda given: change_bridge(
            company=company,
            user=request.user,
            show=show,
            venue=venue,
            version=given["version"],
            **form.values(),
        ),
    )


@require_POST
def venue_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """The company plays there no more."""
    venue = _venue_for(request, pk)
    strike_venue(venue=venue, user=request.user)
    messages.success(request, f"{venue} is off the list.")
    return redirect("builds:venue_list", venue.company_id)


def _venue_for(request: HttpRequest, pk: int) -> Venue:
    rows = Venue.objects.select_related("company").filter(struck_at=None)
    venue: Venue = row_for(request.user, rows, pk, Role.LEAD)
    return venue


def _bridge_form(
    request: HttpRequest, company: Company, show: Show | None, venue: Venue | None
) -> BridgeForm:
    row = show or venue
    assert row is not None
    asked = request.GET.get("bridge_mm", "")[:20]
    return BridgeForm(
        request.POST if request.method == "POST" else None,
        company=company,
        bridge_mm=row.bridge_mm,
        version=row.version,
        last=last_check(company, show, venue),
        initial={"bridge_mm": asked} if asked else {},
    )


def _asked_mm(form: BridgeForm, stands: int | None) -> int | None:
    """The height that is asked about, as far as it can be read."""
    if form.is_bound:
        return form.cleaned_data.get("bridge_mm") if hasattr(form, "cleaned_data") else stands
    asked: Any = form.initial.get("bridge_mm")
    if isinstance(asked, str):
        try:
            return int(form.fields["bridge_mm"].clean(asked))
        except ValidationError:
            return stands
    return stands


def _venues(
    request: HttpRequest, company: Company, *, status: int = 200, form: VenueForm | None = None
) -> HttpResponse:
    context = {
        "company": company,
        "place": "company",
        "venues": list(Venue.objects.filter(company=company, struck_at=None)),
        "form": form or VenueForm(),
        "is_lead": membership_of(request.user, company).allows(Role.LEAD),
    }
    return render(request, "builds/venue_list.html", None, context, status=status)


def _venue(
    request: HttpRequest,
    venue: Venue,
    *,
    sent: Sent = SHOWN,
    form: VenueForm | None = None,
    bridge_form: BridgeForm | None = None,
) -> HttpResponse:
    stands = sent.stands if bridge_form is not None else None
    bridge_form = bridge_form or BridgeForm(
        company=venue.company,
        bridge_mm=venue.bridge_mm,
        version=venue.version,
        last=last_check(venue.company, None, venue),
        initial={},
    )
    asked = _asked_mm(bridge_form, venue.bridge_mm)
    changed = {}
    for show in Show.objects.filter(company=venue.company, bridge_mm__isnull=False)[:3]:
        if asked is not None and asked != show.bridge_mm:
            changed[show] = compare_bridges(show, show.bridge_mm or 0, asked)
    context = {
        "company": venue.company,
        "place": "company",
        "venue": venue,
        "form": form or VenueForm(venue=venue),
        "bridge_form": bridge_form,
        "asked_mm": asked,
        "changed": [(show, rows) for show, rows in changed.items() if rows],
        "check": last_check(venue.company, None, venue),
        "stands": stands,
    }
    return render(request, "builds/venue_edit.html", None, context, status=sent.status)
