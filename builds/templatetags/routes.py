"""Filters of routes: a wait as it is said."""

from __future__ import annotations

from django import template

from builds.drawings.route import say_wait

register = template.Library()


@register.filter
def wait(minutes: int) -> str:
    """7200 -> '5 days', 240 -> '4 h'."""
    return say_wait(minutes)
