"""The drawing of a guise, small, for the pages of its figures and its own."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context

from builds.drawings.figure_outline import draw_thumbnail, thumbnail_pen
from builds.drawings.hang import draw_over
from builds.loading.hang_picture import hang_data
from builds.loading.outlines import load_outline
from builds.models import Figure
from builds.queries.drawings import drawing_of
from builds.queries.figure_hang import read_figure_hang
from company.access import membership_of
from company.models import Role
from scenes.models import Guise, Kind

register = template.Library()

# What is carved after a full-size drawing; gloves and shadows are cut after patterns.
DRAWN_KINDS = (Kind.STRING, Kind.ROD, Kind.TABLE_TOP)


@register.inclusion_tag("builds/_drawing_thumbnail.html", takes_context=True)
def drawing_thumbnail(
    context: Context, guise: Guise, figure: Figure | None = None
) -> dict[str, Any]:
    """Front and profile with heights, linked to the page where they are placed.

    With a figure how that one hangs lies over it, and the page has it as `stands_hang`.
    """
    drawing = drawing_of(guise)
    hangs = read_figure_hang(figure, drawing) if figure is not None else None
    context["stands_hang"] = hangs  # for what else the page says of the body
    company = context["show"].company
    may_edit = membership_of(context["request"].user, company).allows(Role.LEAD)
    found: dict[str, Any] = {"guise": guise, "drawing": drawing, "paper": company.paper}
    if drawing is None:
        return {**found, "may_begin": may_edit and guise.kind in DRAWN_KINDS}
    outline = load_outline(drawing)
    if outline.points or outline.parts:
        title = f"{guise} as it is drawn, from the front and in profile"
        over = ""
        if hangs is not None:
            over = draw_over(hang_data(drawing, hangs.hang), thumbnail_pen(outline))
            title += "; dashed as it hangs"
        found["drawn"] = draw_thumbnail(outline, ident="drawing", title=title, over=over)
        found["is_hung"] = bool(over)
    return found
