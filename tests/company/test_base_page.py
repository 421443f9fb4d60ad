"""Tests of the page that all pages stand on: landmarks, live regions, strict policy, files."""

from __future__ import annotations

import json
import re
from html import unescape

import pytest
from django.contrib.auth.models import AnonymousUser
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.test import RequestFactory


@pytest.fixture
def page() -> str:
    request = RequestFactory().get("/")
    request.user = AnonymousUser()
    return render_to_string("base.html", {}, request)


def test_page_has_its_landmarks_and_a_way_past_the_top(page: str) -> None:
    assert 'class="skip" href="#main"' in page
    assert 'id="main"' in page
    assert page.count("<main") == page.count("<h1") == page.count("<header") == 1
    assert 'lang="en-GB"' in page


def test_page_has_live_regions_before_anything_is_said(page: str) -> None:
    for region in ("messages", "announce"):
        assert re.search(rf'id="{region}"[^>]*role="status"[^>]*aria-live="polite"', page)


def test_page_keeps_to_the_strict_policy(page: str) -> None:
    assert not re.search(r"\sstyle=|<style|\son\w+=|data:|javascript:", page)
    scripts = re.findall(r"<script[^>]*>(.*?)</script>", page, re.DOTALL)
    assert scripts
    assert set(scripts) == {""}


def test_htmx_is_told_to_swap_refusals_and_never_to_evaluate(page: str) -> None:
    said = re.search(r"name=\"htmx-config\" content='([^']+)'", page)
    assert said
    config = json.loads(unescape(said[1]))

    assert config["allowEval"] is False
    assert config["includeIndicatorStyles"] is False
    assert config["historyRestoreAsHxRequest"] is False
    assert config["historyCacheSize"] == 0  # nothing of a company stays behind in the browser
    rules = config["responseHandling"]

    def swapped(code: str) -> bool:
        return next(rule["swap"] for rule in rules if re.search(rule["code"], code))

    assert [swapped(code) for code in ("200", "204", "409", "422", "403", "500")] == [
        True,
        False,
        True,
        True,
        False,
        False,
    ]


def test_every_file_the_page_names_is_served(page: str) -> None:
    names = re.findall(r'(?:href|src)="/static/([^"]+)"', page)

    assert len(names) > 15
    assert [name for name in names if finders.find(name) is None] == []


@pytest.mark.parametrize("licence", ["fonts/OFL-alegreya.txt", "fonts/OFL-alegreya-sans.txt"])
def test_fonts_carry_their_licence(licence: str) -> None:
    found = finders.find(f"company/{licence}")

    assert found
    with open(str(found), encoding="utf-8") as text:
        assert "SIL Open Font License, Version 1.1" in text.read().replace("SIL OPEN", "SIL Open")


def test_no_script_imports_another() -> None:
    for name in ("focus", "confirm", "autosubmit", "preview", "panel", "once", "trouble", "places"):
        found = finders.find(f"company/js/{name}.js")
        assert found
        with open(str(found), encoding="utf-8") as text:
            source = text.read()
        assert not re.search(r"^\s*(import|export)\b", source, re.MULTILINE)
        assert "innerHTML" not in source
