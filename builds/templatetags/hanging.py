"""What hangs at the bench on parts of the plot, for pages that take them out."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from django import template

from builds.queries.draft_work import Hanging, read_hanging, read_hanging_on
from company.models import Change
from scenes.models import Scene, Show
from scenes.services.record import read_touches

register = template.Library()


@register.simple_tag
def hangs_on_scene(show: Show, scene: Scene) -> list[Hanging]:
    """Figures with begun work that play in the scene."""
    return read_hanging(show, scene_keys=[scene.key])


@register.simple_tag
def hangs_on_keys(show: Show, keys: Collection[UUID]) -> list[Hanging]:
    """Figures with begun work that play these entries; nothing is read where there are none."""
    return read_hanging_on(show, keys) if keys else []


@register.simple_tag
def loosened_by(show: Show, step: int) -> list[Hanging]:
    """Figures with begun work that played what an edit, known by its id, took out of the plot."""
    change = Change.objects.filter(company=show.company_id, pk=step).first()
    if change is None:
        return []
    keys = {
        UUID(touch.ident)
        for touch in read_touches(change.before, change.after)
        if touch.kind == "appearances" and touch.after is None
    }
    return read_hanging_on(show, keys) if keys else []
