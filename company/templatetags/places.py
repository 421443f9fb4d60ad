"""The places of a show, which of them a page belongs to, and who stands there as what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template
from django.http import Http404
from django.template import Context
from django.urls import NoReverseMatch, reverse

from company.access import company_of, membership_of

register = template.Library()


@dataclass(frozen=True)
class Place:
    """A place of a show: its key, its word, its address by name, and the pages that belong to it.

    `pages` are beginnings of view names. A view may say better by putting `place` in its context.
    """

    key: str
    word: str
    view: str
    pages: tuple[str, ...]


@dataclass(frozen=True)
class PlaceLink:
    """A place as the bar shows it."""

    word: str
    url: str
    is_here: bool


PLACES = (
    Place("today", "Today at the bench", "builds:today", ("builds:today",)),
    Place(
        "scenes",
        "Scenes and roles",
        "scenes:scene_list",
        (
            "scenes:show",
            "scenes:scene",
            "scenes:character",
            "scenes:guise",
            "scenes:costume",
            "scenes:sketch",
            "scenes:rig",
            "builds:guise",
        ),
    ),
    Place(
        "plot",
        "Costume plot",
        "scenes:plot",
        (
            "scenes:plot",
            "scenes:appearance",
            "scenes:tracks",
            "scenes:count",
            "scenes:change",
            "scenes:draft",
            "scenes:cell",
            "scenes:times",
            "scenes:file",
            "scenes:pin",
            "scenes:way",
            "builds:accept",
            "builds:count",
            "builds:bench",
            "builds:draft",
            "builds:saving",
            "builds:table",
        ),
    ),
    Place(
        "figures",
        "Figures",
        "builds:figure_list",
        (
            "builds:figure",
            "builds:step",
            "builds:work",
            "builds:photo",
            "builds:drawing",
            "builds:part",
            "builds:hang",
            "builds:weighing",
            "builds:trial",
            "builds:ballast",
            "builds:costume",
            "builds:string",
            "builds:control",
            "builds:reach",
            "builds:bridge",
            "builds:scale",
        ),
    ),
    Place(
        "moulds",
        "Moulds and pours",
        "builds:mould_list",
        ("builds:mould", "builds:pour", "builds:casting", "builds:amounts", "builds:shopping"),
    ),
    Place(
        "plan",
        "Wall plan",
        "builds:wall_plan",
        ("builds:wall", "builds:plan", "builds:suppose", "builds:help"),
    ),
    Place("sheets", "Bench sheets", "builds:sheet_list", ("builds:sheet",)),
    Place(
        "company",
        "Company",
        "company:detail",
        (
            "company:",
            "builds:route",
            "builds:stage",
            "builds:equipment",
            "builds:material",
            "builds:pair",
            "builds:lot",
            "builds:proportions",
            "builds:venue",
        ),
    ),
)


@register.simple_tag(takes_context=True)
def show_places(context: Context) -> list[PlaceLink]:
    """The places of `show` in the context. A place that has no address yet is left out."""
    show = context["show"]
    here = str(context.get("place") or "") or _place_of(_view_name(context))
    links = []
    for place in PLACES:
        pk = show.company_id if place.key == "company" else show.pk
        try:
            url = reverse(place.view, args=[pk])
        except NoReverseMatch:
            continue
        links.append(PlaceLink(place.word, url, place.key == here))
    return links


@register.simple_tag(takes_context=True)
def role_here(context: Context) -> str:
    """The word for what the signed-in person is in the company of this page, or ''."""
    row: Any = context.get("show") or context.get("company")
    user: Any = context.get("user")
    if not hasattr(type(row), "company_path") or user is None or not user.is_authenticated:
        return ""
    try:
        role = membership_of(user, company_of(row)).role
    except Http404:
        return ""
    return "lead maker" if role == "lead" else str(role)


@register.filter
def behaviours(names: str) -> list[str]:
    """Static paths of the small scripts named, in order."""
    return [f"company/js/{name}.js" for name in names.split()]


def _view_name(context: Context) -> str:
    request = context.get("request")
    match = getattr(request, "resolver_match", None)
    return match.view_name if match else ""


def _place_of(view_name: str) -> str:
    for place in PLACES:
        if view_name.startswith(place.pages):
            return place.key
    return ""
