"""The people who sign in: inviting by one-time link, roles, taking access away."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from company.access import company_for, row_for
from company.forms.fields import add_problems
from company.forms.people import InviteForm, RoleForm
from company.htmx import render
from company.models import Company, Membership, Role
from company.queries import members_of
from company.services.members import change_role, invite, take_access
from company.services.sign_in import LINK_LASTS, link_address, make_link
from company.views.company import page_context


@require_safe
def person_list(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Who signs in, as what, and who they are at the bench."""
    return _show(request, company_for(request.user, company_pk, Role.READER))


@require_POST
@never_cache
def person_invite(request: HttpRequest, company_pk: int) -> HttpResponse:
    """Give somebody access; the answer shows their link, this once."""
    company = company_for(request.user, company_pk, Role.LEAD)
    form = InviteForm(request.POST, company=company)
    if form.is_valid():
        try:
            place = invite(company=company, user=request.user, **form.cleaned_data)
        except ValidationError as wrong:
            add_problems(form, wrong)
        else:
            return _show_link(request, place)
    return _show(request, company, status=422, form=form)


@require_POST
@never_cache
def person_link(request: HttpRequest, pk: int) -> HttpResponse:
    """A new one-time link for somebody who has access; an older one ends with it."""
    return _show_link(request, _place_for(request, pk))


@require_POST
def person_role(request: HttpRequest, pk: int) -> HttpResponse:
    """Make somebody reader, maker or lead."""
    place = _place_for(request, pk)
    form = RoleForm(request.POST, place=place)
    if form.is_valid():
        try:
            change_role(place=place, user=request.user, role=form.cleaned_data["role"])
        except ValidationError as wrong:
            return _show(request, place.company, status=422, refused=wrong.messages)
        messages.success(request, f"{place.user} is {place.get_role_display()} now.")
        return _done(request, place)
    return _show(request, place.company, status=422, refused=["Choose reader, maker or lead."])


@require_POST
def person_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take somebody's access away."""
    place = _place_for(request, pk)
    try:
        take_access(place=place, user=request.user)
    except ValidationError as wrong:
        return _show(request, place.company, status=422, refused=wrong.messages)
    messages.success(request, f"{place.user} has no access any more.")
    return _done(request, place)


def _done(request: HttpRequest, place: Membership) -> HttpResponse:
    """Back to the list; who gave up their own lead or access goes to what they still may see."""
    if place.user_id == request.user.pk:
        return redirect("/" if place.pk is None else place.company)
    return redirect("company:person_list", place.company_id)


def _place_for(request: HttpRequest, pk: int) -> Membership:
    places = Membership.objects.select_related("company", "user")
    place: Membership = row_for(request.user, places, pk, Role.LEAD)
    return place


def _show_link(request: HttpRequest, place: Membership) -> HttpResponse:
    token = make_link(user=place.user, company=place.company, by=request.user)
    fresh = {"link": link_address(token), "link_for": place.user, "link_days": LINK_LASTS.days}
    return _show(request, place.company, **fresh)


def _show(
    request: HttpRequest, company: Company, *, status: int = 200, **more: Any
) -> HttpResponse:
    members = members_of(company)
    context = page_context(request, company) | {
        "rows": [(member, RoleForm(place=member)) for member in members],
        "lead_count": sum(member.role == Role.LEAD for member in members),
        "form": InviteForm(company=company),
        **more,
    }
    return render(request, "company/person_list.html", context=context, status=status)
