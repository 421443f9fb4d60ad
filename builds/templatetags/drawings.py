"""The drawing of a guise, small, for the pages of its figures and its own."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context

from builds.drawings.figure_outline import draw_thumbnail
from builds.loading.outlines import load_outline
from builds.queries.drawings import drawing_of
from company.access import membership_of
from company.models import Role
from scenes.models import Guise, Kind

register = template.Library()

# What is carved after a full-size drawing; gloves and shadows are cut after patterns.
DRAWN_KINDS = (Kind.STRING, Kind.ROD, Kind.TABLE_TOP)


@register.inclusion_tag("builds/_drawing_thumbnail.html", takes_context=True)
def drawing_thumbnail(context: Context, guise: Guise) -> dict[str, Any]:
    """Front and profile with heights, linked to the page where they are placed."""
    drawing = drawing_of(guise)
    context["stands_drawing"] = drawing  # for what else the page says of the body
    company = context["show"].company
    may_edit = membership_of(context["request"].user, company).allows(Role.LEAD)
    found: dict[str, Any] = {"guise": guise, "drawing": drawing, "paper": company.paper}
    if drawing is None:
        return {**found, "may_begin": may_edit and guise.kind in DRAWN_KINDS}
    figure = load_outline(drawing)
    if figure.points or figure.parts:
        found["drawn"] = draw_thumbnail(
            figure, ident="drawing", title=f"{guise} as it is drawn, from the front and in profile"
        )
    return found
