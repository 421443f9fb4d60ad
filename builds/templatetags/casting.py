"""What a guise's parts are made of, and what a step of sculpting, moulding or pouring asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template
from django.template import Context

from builds.models import Mould, Part, Step
from builds.queries.casting_advice import Advice, advice_for
from builds.queries.materials import Materials
from company.access import membership_of
from company.models import Role

register = template.Library()

MOULD_ROWS = ("pattern__show__company", "pattern__made_for__character", "amounts")


@dataclass(frozen=True)
class PartMaterials:
    """One part of a guise with the mould that will be made, or is."""

    mould: Mould
    advice: Advice


@register.inclusion_tag("builds/_guise_materials.html", takes_context=True)
def guise_materials(context: Context, guise: Any) -> dict[str, Any]:
    """Sculpted, moulded and cast in what, for each part of a guise; for the page of a guise."""
    show = guise.character.show
    moulds = (
        Mould.objects.filter(pattern__uses__guise=guise)
        .exclude(state=Mould.State.RETIRED)
        .select_related(*MOULD_ROWS)
        .order_by("number")
    )
    known = Materials(show.company)
    newest = {mould.pattern_id: mould for mould in moulds}
    place = membership_of(context["user"], show.company)
    return {
        "parts": [PartMaterials(m, advice_for(m, materials=known)) for m in newest.values()],
        "may_edit": place.allows(Role.LEAD),
    }


@register.inclusion_tag("builds/_step_casting.html")
def step_casting(step: Step) -> dict[str, Any]:
    """At what size to sculpt, what to weigh out, whether it will set: for the page of a step.

    Empty for steps that have nothing to do with a mould: no query is made for them.
    """
    if step.pour_id is not None:
        mould = _mould(pk=step.pour.mould_id) if step.pour else None
        return {"step": step, "kind": "pour", "mould": mould, **_advice(mould)}
    if step.mould_id is not None:
        mould = _mould(pk=step.mould_id)
        return {"step": step, "kind": "mould", "mould": mould, **_advice(mould)}
    key = step.stage.key
    if step.pattern_id is None or not key.startswith(("sculpt", "mould", "drawing")):
        return {}
    if key.startswith("drawing") and step.pattern is not None:
        mould = _mould(pattern__made_for=step.pattern.made_for_id, pattern__part=Part.HEAD)
    else:
        mould = _mould(pattern=step.pattern_id)
    kind = "mould" if key.startswith("mould") else "sculpt"
    return {"step": step, "kind": kind, "mould": mould, **_advice(mould)}


def _mould(**which: object) -> Mould | None:
    """The newest mould in use of these."""
    rows = Mould.objects.filter(**which).exclude(state=Mould.State.RETIRED)
    found: Mould | None = rows.select_related(*MOULD_ROWS).order_by("-number").first()
    return found


def _advice(mould: Mould | None) -> dict[str, Any]:
    return {"advice": advice_for(mould)} if mould is not None else {}
