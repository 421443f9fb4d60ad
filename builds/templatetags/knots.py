"""A knot in running text: how far a piece of work is."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString

from company import drawing as d
from company.drawing import Knot

register = template.Library()
SIZE = 16


@register.simple_tag
def knot(state: str) -> SafeString:
    """The knot for 'not begun', 'under way', 'done' or 'thrown out', as a small ornament."""
    drawn = d.knot(Knot(state), SIZE / 2, 0.62 * SIZE)
    return d.tag(
        "svg",
        drawn,
        css="drawing knot-inline",
        viewBox=f"0 0 {SIZE} {SIZE}",
        width=SIZE,
        height=SIZE,
        aria_hidden="true",
        focusable="false",
    )
