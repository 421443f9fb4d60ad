"""Fetching a row and checking access in one call; the role a person has in a company."""

from __future__ import annotations

from typing import Any, TypeVar

from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import Http404

from company.models import Company, Membership, Role, User
from company.rows import CompanyRows

RowT = TypeVar("RowT", bound=models.Model)


def company_of(row: models.Model) -> Company:
    """The company a row belongs to, by the model's own path."""
    here: Any = row
    for name in filter(None, type(row).company_path.split("__")):  # type: ignore[attr-defined]
        here = getattr(here, name)
    return here  # type: ignore[no-any-return]


def places_of(user: User) -> dict[int, Membership]:
    """The person's places by company id, read once and kept on the user for a request."""
    places: dict[int, Membership] | None = getattr(user, "_places", None)
    if places is None:
        places = {m.company_id: m for m in user.memberships.select_related("company")}
        user._places = places  # type: ignore[attr-defined]
    return places


def membership_of(user: User, company: Company) -> Membership:
    """The person's place in the company.

    Raises Http404 where there is none: to a stranger nothing of a company exists.
    """
    place = places_of(user).get(company.pk)
    if place is None:
        raise Http404("Nothing here.")
    return place


def require_role(user: User, company: Company, role: Role) -> Membership:
    """The person's place in the company, if it is enough.

    Raises Http404 for a stranger, PermissionDenied for a member who may not.
    """
    place = membership_of(user, company)
    if not place.allows(role):
        raise PermissionDenied(f"Only a {role.label} of {company} may do this.")
    return place


def row_for(user: User, queryset: CompanyRows, pk: object, role: Role) -> Any:
    """The row `pk` out of `queryset`, if the person may have it at `role`.

    A row of another company is not found; one of their own that asks for a higher role is
    refused. `queryset` should select the rows its company path passes, to keep it one query.
    """
    try:
        row = queryset.for_user(user).get(pk=pk)
    except (queryset.model.DoesNotExist, ValueError) as missing:
        raise Http404("Nothing here.") from missing
    require_role(user, company_of(row), role)
    return row


def company_for(user: User, pk: object, role: Role) -> Company:
    """The company, if the person has at least `role` there."""
    company: Company = row_for(user, Company.objects.all(), pk, role)
    return company
