"""Who sees which sketch: the owner all of their own, everybody else the chosen one alone."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from company.models import Company, Role, User
from company.rows import CompanyRows
from scenes.models import Guise, Sketch


def sketches_seen_by(user: User) -> CompanyRows:
    """Every sketch that the person may see, in all their companies. The lead sees no more."""
    return Sketch.objects.for_user(user).filter(Q(made_by=user) | Q(is_chosen=True))


def may_see_sketch(sketch: Sketch, user: User) -> bool:
    """Whether the person may see this one; being in the company is checked elsewhere."""
    return sketch.is_chosen or sketch.made_by_id == user.pk


def chosen_sketch(guise: Guise) -> Sketch | None:
    """The one that everybody works from; all that sheets and other people's pages may show."""
    found: Sketch | None = Sketch.objects.filter(guise=guise, is_chosen=True).first()
    return found


def leads_of(company: Company) -> QuerySet[User]:
    """Those whom a sketch can be given to, so that they may choose it."""
    leads = User.objects.filter(memberships__company=company, memberships__role=Role.LEAD)
    return leads.order_by("name", "pk")
