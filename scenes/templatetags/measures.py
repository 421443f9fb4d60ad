"""Filters that write lengths and weights in the units of the company."""

from __future__ import annotations

from django import template

from company.core.measures import format_length, format_mass

register = template.Library()

FIXED = "\u00a0"  # between a number and its unit: they never part at a line's end


@register.filter
def size(length_mm: int | None, is_metric: bool = True) -> str:
    """600 as '600 mm', or as '23.62 in'."""
    if length_mm is None:
        return ""
    return format_length(length_mm, is_metric=is_metric).replace(" ", FIXED)


@register.filter
def weight(mass_g: int | None, is_metric: bool = True) -> str:
    """180 as '180 g', or as '6.35 oz'."""
    return "" if mass_g is None else format_mass(mass_g, is_metric=is_metric).replace(" ", FIXED)
