"""The first page after signing in: the shows of the person's companies."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from company import clock
from company.access import places_of
from company.htmx import render
from company.models import Company, Membership, Role


@dataclass(frozen=True)
class ShowCard:
    """A show in the list, and how many days there are until it opens; None where not known."""

    show: Any
    days: int | None


@dataclass(frozen=True)
class CompanyShelf:
    """A company with its shows, the one that opens next first."""

    company: Company
    may_start: bool
    coming: tuple[ShowCard, ...]
    opened: tuple[ShowCard, ...]


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The list of shows; where there is only one, its Today. `?all` always gives the list."""
    places = list(places_of(request.user).values())
    companies = [place.company for place in places]
    # Shows are rows of another app: they are met only through the company's own `shows`.
    prefetch_related_objects(companies, "shows")
    shows = [show for company in companies for show in company.shows.all()]  # type: ignore[attr-defined]
    if len(shows) == 1 and "all" not in request.GET:
        return redirect(shows[0])
    shelves = [shelf_of(place) for place in places]
    context = {"shelves": shelves, "show_count": len(shows), "next": next_to_open(shelves)}
    if len(companies) == 1:
        context["company"] = companies[0]
    return render(request, "company/home.html", context=context)


def shelf_of(place: Membership) -> CompanyShelf:
    """The shows of a company: those to come by opening, undated ones last; then those behind."""
    company = place.company
    today = clock.today(company)
    cards = []
    for show in company.shows.all():  # type: ignore[attr-defined]
        show.company = company
        cards.append(ShowCard(show, (show.opening - today).days if show.opening else None))
    coming = [card for card in cards if card.days is None or card.days >= 0]
    opened = [card for card in cards if card.days is not None and card.days < 0]
    return CompanyShelf(
        company=company,
        may_start=place.allows(Role.LEAD),
        coming=tuple(sorted(coming, key=lambda c: (c.show.opening or date.max, c.show.title_key))),
        opened=tuple(sorted(opened, key=lambda c: c.show.opening, reverse=True)),
    )


def next_to_open(shelves: list[CompanyShelf]) -> ShowCard | None:
    """The show of all companies that opens first from today on."""
    dated = [card for shelf in shelves for card in shelf.coming if card.days is not None]
    return min(dated, key=lambda card: (card.show.opening, card.show.title_key), default=None)
