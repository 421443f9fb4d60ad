"""Filters of routes: a wait as it is said, hours of a whole figure."""

from __future__ import annotations

from django import template

from builds.drawings.route import say_wait

register = template.Library()


@register.filter
def wait(minutes: int) -> str:
    """7200 -> '5 days', 240 -> '4 h'."""
    return say_wait(minutes)


@register.filter
def whole_hours(minutes: int) -> str:
    """Hours of a whole figure, where quarters say more than anybody knows: 8145 -> '136 h'."""
    return f"{(minutes + 30) // 60}\u00a0h"
