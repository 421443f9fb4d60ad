"""One URL serves a page and its fragments: this decides which, and with what status."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render as render_page
from django.utils.cache import patch_vary_headers


def render(
    request: HttpRequest,
    page: str,
    fragment: str | None = None,
    context: dict[str, Any] | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    """The whole `page`, or for an htmx request only its `fragment`.

    The page includes the fragment's file, so that both are the same markup. Answers vary by
    HX-Request, so that a cache never hands a fragment to a browser that wants the page.
    """
    wants_fragment = bool(fragment) and request.headers.get("HX-Request") == "true"
    wants_fragment = wants_fragment and request.headers.get("HX-History-Restore-Request") != "true"
    template = fragment if wants_fragment and fragment else page
    response = render_page(request, template, context or {}, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response
