"""Fetching a show, or a row of one, and checking access in one call."""

from __future__ import annotations

from company.access import row_for
from company.models import Role, User
from scenes.models import Show


def show_for(user: User, pk: object, role: Role) -> Show:
    """The show with its company and current draft, if the person has at least `role` there."""
    queryset = Show.objects.select_related("company", "current_draft")
    show: Show = row_for(user, queryset, pk, role)
    return show
