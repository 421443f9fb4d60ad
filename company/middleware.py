"""What every request passes: the company's time, the way to sign in, and a stale edit's answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django_htmx.http import HttpResponseClientRedirect

from company.access import places_of
from company.services.changes import StaleEdit, snapshot

Answer = Callable[[HttpRequest], HttpResponse]


class SignInMiddleware(LoginRequiredMiddleware):
    """Nobody sees a page before signing in; an htmx request takes the whole page there."""

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> HttpResponse:
        if request.headers.get("HX-Request") != "true":
            answer: HttpResponse = super().handle_no_permission(request, view_func)
            return answer
        page = urlsplit(request.headers.get("HX-Current-URL", "/")).path or "/"
        return HttpResponseClientRedirect(redirect_to_login(page).url)


class CompanyTimeMiddleware:
    """Dates and times are told in the zone of the person's company; pages stay out of caches.

    Somebody in several companies sees the zone of the first; a page that belongs to one company
    may still set its own.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with timezone.override(zone_of(request.user)):
            response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            patch_cache_control(response, private=True, no_cache=True)
        return response


def zone_of(user: Any) -> ZoneInfo | None:
    if not user.is_authenticated:
        return None
    names = [place.company.time_zone for place in places_of(user).values()]
    try:
        return ZoneInfo(names[0]) if names else None
    except (ZoneInfoNotFoundError, ValueError):
        return None


class StaleEditMiddleware:
    """Two editors of one row: the later is told, sees both texts, and nothing is lost."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if not isinstance(error, StaleEdit):
            return None
        stands = snapshot(error.row)
        sent = [
            (name.replace("_", " "), value, stands.get(name, stands.get(f"{name}_id")))
            for name, value in request.POST.items()
            if name not in ("csrfmiddlewaretoken", "version")
        ]
        back = urlsplit(request.headers.get("Referer", "")).path or "/"
        context = {"row": error.row, "sent": sent, "back": back}
        is_fragment = request.headers.get("HX-Request") == "true"
        template = "company/_stale_edit.html" if is_fragment else "409.html"
        return render(request, template, context, status=409)
