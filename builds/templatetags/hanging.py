"""Filters for leans, turns, weights and parts, and the cards of how a figure hangs."""

from __future__ import annotations

from django import template

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
def minus(one: float, other: float) -> float:
    """One less another."""
    return one - other


@register.filter
def per_cent(share: float) -> str:
    """0.123 as '12 per cent'."""
    return f"{abs(share) * 100:.0f} per cent"




@register.filter
def pair(one: object, other: object) -> tuple[object, object]:
    """Two things to go through in turn."""
    return one, other
