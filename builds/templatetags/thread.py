"""The thread of milestones, for every page of a show."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from builds.drawings.thread import draw_thread
from builds.queries.thread import read_thread

register = template.Library()


@register.inclusion_tag("parts/thread_drawings.html", takes_context=True)
def show_thread(context: Context) -> dict[str, SafeString]:
    """The thread of `show` in the context, as the signed-in person may see it."""
    user: Any = context.get("user")
    show = context.get("show")
    if show is None or user is None or not user.is_authenticated:
        return {}
    data = read_thread(show, user)
    return {
        "wide": draw_thread(data, ident="thread-wide", width=1440),
        "middling": draw_thread(data, ident="thread-middling", width=880),
        "narrow": draw_thread(data, ident="thread-narrow", width=360),
    }
