"""Filters for leans, turns, weights and parts, and the cards of how a figure hangs."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context

from builds.models import Figure
from builds.queries.hang_words import degrees, part_name, way

register = template.Library()
register.filter("part_name", part_name)


@register.filter
def turn(value: float) -> str:
    """-0.26 as '0.26° back'."""
    if abs(value) < 0.005:
        return "0°"
    return f"{abs(value):.2f}° {way(value)}"


@register.filter
def leant(value: float) -> str:
    """-2.5 as '2.5° back'; nought 'not at all'."""
    number = float(value)
    return f"{degrees(number)} {way(number)}" if abs(number) >= 0.05 else "not at all"


@register.filter
def more_grams(value: float) -> str:
    """3.2 as '3 g heavier'."""
    if abs(value) < 0.5:
        return "as heavy as reckoned"
    return f"{abs(value):.0f} g {'heavier' if value > 0 else 'lighter'}"


@register.filter
def moved(value: float) -> str:
    """2.1 as '2.1 mm further forward'."""
    if abs(value) < 0.05:
        return "where it was reckoned"
    return f"{abs(value):.1f} mm further {way(value)}"


@register.filter
def per_cent(share: float) -> str:
    """0.123 as '12 per cent'."""
    return f"{abs(share) * 100:.0f} per cent"


@register.filter
def pair(one: object, other: object) -> tuple[object, object]:
    """Two things to go through in turn."""
    return one, other


@register.filter
def stands_at(x_mm: float, y_mm: float) -> str:
    """-6, 350 as '6 mm behind, 350 up'."""
    side = "forward" if x_mm >= 0 else "behind"
    return f"{abs(x_mm):.0f} mm {side}, {y_mm:.0f} up"


@register.inclusion_tag("builds/_figure_hang.html", takes_context=True)
def figure_hang(context: Context, figure: Figure) -> dict[str, Any]:
    """How it hangs and its strings, once the drawing's thumbnail has worked it out."""
    return {"card": context.get("stands_hang"), "figure": figure}
