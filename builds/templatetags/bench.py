"""Knots and braids of the register, and what a guise borrows, as tags for any page."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context
from django.utils.safestring import SafeString

from builds.core.progress import Progress
from builds.drawings import BraidData, BraidKnot, draw_braid
from builds.drawings import Strand as DrawnStrand
from builds.forms.figures import BorrowForm
from builds.models import GuisePart
from builds.queries.figures import Braid, StepLine
from company import drawing
from company.access import membership_of
from company.drawing import Knot
from company.models import Role

register = template.Library()

KNOTS = {
    Progress.LOOSE: Knot.LOOSE,
    Progress.UNDER_WAY: Knot.HALF,
    Progress.FINISHED: Knot.HALF,
    Progress.DONE: Knot.TIED,
}


@register.simple_tag
def braid(drawn: Braid, ident: str, with_words: bool = False) -> SafeString:
    """A figure's braid: small for the register, large with its words."""
    return draw_braid(to_drawing(drawn), ident=ident, with_words=with_words)


def to_drawing(drawn: Braid) -> BraidData:
    """The braid as the drawing code takes it."""
    return BraidData(
        strands=tuple(
            DrawnStrand(strand.word, _knots(strand.lines), strand.joins) for strand in drawn.strands
        ),
        trunk=_knots(drawn.trunk),
    )


def _knots(lines: tuple[StepLine, ...]) -> tuple[BraidKnot, ...]:
    return tuple(BraidKnot(line.words, KNOTS[line.progress]) for line in lines)


@register.simple_tag
def knot_sign(progress: Progress, is_struck: bool = False) -> SafeString:
    """One knot on a bit of thread, an ornament beside words that say the same."""
    state = Knot.STRUCK if is_struck else KNOTS[progress]
    return drawing.picture(
        30,
        22,
        drawing.path("M1 15H29", "thread-line"),
        drawing.knot(state, 15, 15, 6),
        ident="knot",
        title="",
        css="knot-sign",
    )


@register.filter
def lane(progress: Progress) -> str:
    """The progress as a word for a class: loose, half, waits or tied."""
    words = {
        Progress.LOOSE: "loose",
        Progress.UNDER_WAY: "half",
        Progress.FINISHED: "waits",
        Progress.DONE: "tied",
    }
    return words[progress]


@register.inclusion_tag("builds/_guise_borrow.html", takes_context=True)
def guise_borrowing(context: Context, guise: Any) -> dict[str, Any]:
    """What a guise borrows, and for the lead the form that says so. For the page of a guise."""
    user: Any = context["user"]
    show = guise.character.show
    uses = GuisePart.objects.filter(guise=guise).select_related("pattern__made_for__character")
    return {
        "guise": guise,
        "show": show,
        "borrowed": [use for use in uses if use.pattern.made_for_id != guise.pk],
        "own": [use for use in uses if use.pattern.made_for_id == guise.pk],
        "form": context.get("borrow_form") or BorrowForm(guise=guise),
        "may_borrow": membership_of(user, show.company).allows(Role.LEAD),
        "csrf_token": context.get("csrf_token"),
        "request": context.get("request"),
    }
