"""Tests of the bar of places: every page belongs to one, the one it belongs to is marked."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest
from django.template import Context
from django.urls import URLPattern, URLResolver, get_resolver

from company.templatetags.places import PLACES, _place_of, behaviours, role_here, show_places


def view_names() -> list[str]:
    def walk(patterns: list[Any], space: str) -> Iterator[str]:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                yield from walk(pattern.url_patterns, pattern.namespace or space)
            elif isinstance(pattern, URLPattern) and pattern.name:
                yield f"{space}:{pattern.name}"

    names = walk(get_resolver().url_patterns, "")
    return sorted(name for name in names if name.startswith(("scenes:", "builds:")))


@pytest.mark.parametrize("name", view_names())
def test_every_page_of_a_show_belongs_to_a_place(name: str) -> None:
    assert _place_of(name), f"say in company/templatetags/places.py which place {name} belongs to"


def test_places_stand_in_the_order_of_the_work() -> None:
    assert [place.word for place in PLACES] == [
        "Today at the bench",
        "Scenes and roles",
        "Costume plot",
        "Figures",
        "Moulds and pours",
        "Wall plan",
        "Bench sheets",
        "Company",
    ]


def links(view_name: str, **more: Any) -> list[Any]:
    request = SimpleNamespace(resolver_match=SimpleNamespace(view_name=view_name))
    show = SimpleNamespace(pk=7, company_id=3)
    return show_places(Context({"request": request, "show": show, **more}))


def test_the_place_of_the_page_is_marked_and_no_other() -> None:
    here = [link.word for link in links("scenes:plot_grid") if link.is_here]

    assert here == ["Costume plot"]


def test_a_view_may_name_its_place_itself() -> None:
    here = [link.word for link in links("scenes:plot_grid", place="today") if link.is_here]

    assert here == ["Today at the bench"]


def test_places_lead_to_this_show_and_its_own_company() -> None:
    urls = {link.word: link.url for link in links("builds:today")}

    assert "/7/" in urls["Costume plot"]
    assert "/3/" in urls["Company"]


def test_a_place_without_an_address_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    nowhere = (PLACES[0], PLACES[1].__class__("x", "Nowhere", "scenes:nowhere", ()))
    monkeypatch.setattr("company.templatetags.places.PLACES", nowhere)

    assert [link.word for link in links("builds:today")] == [PLACES[0].word]


def test_nobody_has_no_role() -> None:
    assert role_here(Context({})) == ""
    assert role_here(Context({"show": object(), "user": None})) == ""


def test_behaviours_are_static_paths() -> None:
    assert behaviours("focus once") == ["company/js/focus.js", "company/js/once.js"]
