"""Patterns of heads, hands and bodies: made for a guise, borrowed by another."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core.codes import make_code
from builds.core.workshop import RouteStage
from builds.models import Figure, GuisePart, Part, Pattern
from builds.queries.steps import shared_parts
from company.models import User
from company.services.changes import record_change
from scenes.models import Guise, Show

Routes = dict[str, tuple[RouteStage, ...]]


def ensure_patterns(show: Show, guises: list[Guise], routes: Routes) -> None:
    """Give each guise a pattern of its own for every part of its route that it lacks."""
    have = set(
        GuisePart.objects.filter(guise__character__show=show).values_list("guise_id", "part")
    )
    for guise in guises:
        for part in shared_parts(routes.get(guise.kind, ())):
            if (guise.pk, part) not in have:
                GuisePart.objects.create(guise=guise, part=part, pattern=own_pattern(guise, part))


def own_pattern(guise: Guise, part: str) -> Pattern:
    """The pattern made for this guise: the one there is, else a new one with a free code."""
    show = guise.character.show
    pattern = Pattern.objects.filter(made_for=guise, part=part).first()
    if pattern is not None:
        return pattern
    taken = set(Pattern.objects.filter(show=show).values_list("code", flat=True))
    return Pattern.objects.create(
        show=show,
        made_for=guise,
        part=part,
        name=f"{guise}, {Part(part).label}"[:160],
        code=make_code(guise.character.name, guise.name, part, taken),
    )


@transaction.atomic
def borrow_part(*, guise: Guise, part: str, lender: Guise, user: User | None) -> GuisePart:
    """Let `guise` share the lender's head, hands or body: its steps are not made again.

    A lender that borrows itself passes on what it borrowed. Giving a guise as its own lender
    gives the part back: it has its own pattern again, with all that was done on it.
    """
    from builds.services.steps import make_steps

    _check_lender(guise, part, lender)
    lent = GuisePart.objects.filter(guise=lender, part=part).select_related("pattern").first()
    if lender.pk == guise.pk or lent is None:
        pattern = own_pattern(lender, part)
    else:
        pattern = lent.pattern
    if lent is None and lender.pk != guise.pk:
        GuisePart.objects.create(guise=lender, part=part, pattern=pattern)
    before = GuisePart.objects.filter(guise=guise, part=part).select_related("pattern").first()
    use, _ = GuisePart.objects.update_or_create(
        guise=guise, part=part, defaults={"pattern": pattern}
    )
    record_change(
        company=guise.character.show.company,
        user=user,
        noun="guise part",
        row=guise.pk,
        before={"part": part, "pattern": before.pattern.code} if before else None,
        after={"part": part, "pattern": pattern.code},
    )
    if Figure.objects.filter(guise=guise).exists():
        make_steps(show=guise.character.show, user=user)
    return use


def _check_lender(guise: Guise, part: str, lender: Guise) -> None:
    if part not in Part.values:
        raise ValidationError({"part": "Say what is borrowed: head, hands or body."})
    if lender.character.show_id != guise.character.show_id:
        raise ValidationError({"lender": "Borrow from a guise of the same show."})
    if lender.kind != guise.kind:
        raise ValidationError(
            {
                "lender": f"{lender} is a {lender.get_kind_display()} figure and {guise} a "
                f"{guise.get_kind_display()} figure: what one has does not fit the other."
            }
        )
