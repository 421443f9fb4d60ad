"""Where a casting is: in one figure or in one place, put there, taken out, or exchanged."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Casting, Figure, GuisePart
from builds.services.results import (
    LONGEST_PLACE,
    SHELF,
    claim_casting,
    do_again,
    leave_figure,
    plan_anew,
    record_casting,
)
from company.models import User
from company.services.changes import snapshot


@transaction.atomic
def put_casting(
    *,
    casting: Casting,
    user: User,
    figure: Figure | None = None,
    place: str = "",
    version: int | None = None,
) -> Casting:
    """Put a casting into a figure, or out of one to a place. Its figure then gets another.

    Two figures whose castings change places: `swap_castings`. ValidationError where the figure
    is of another guise's head, has one that is good, or the casting is not out or thrown out.
    """
    before = claim_casting(casting, version)
    _check_out(casting)
    place = " ".join(place.split())
    if figure is not None and place:
        raise ValidationError({"place": "Into a figure, or to a place: not both."})
    if figure is None and not place:
        raise ValidationError({"place": "Say where it lies, or which figure it is in."})
    if len(place) > LONGEST_PLACE:
        raise ValidationError({"place": f"At most {LONGEST_PLACE} letters, not {len(place)}."})
    if figure is None:
        leave_figure(casting, place)
    else:
        _check_figure(casting, figure)
        if casting.figure_id == figure.pk:
            raise ValidationError({"figure": f"{casting} is in {figure} already."})
        if casting.figure is not None:
            leave_figure(casting, SHELF)
        _make_room(casting, figure)
        casting.figure, casting.place = figure, ""
    casting.version += 1
    casting.save()
    record_casting(casting, user, before)
    plan_anew(casting.pour, user, kept={casting.pk})
    return casting


@transaction.atomic
def swap_castings(
    *, casting: Casting, other: Casting, user: User, version: int | None = None
) -> None:
    """Two castings of one pattern change places: figures, shelves, or one of each."""
    before, before_other = claim_casting(casting, version), snapshot(other)
    if other.pk == casting.pk or other.pattern_id != casting.pattern_id:
        raise ValidationError({"other": f"{other} is not a casting of the same mould."})
    _check_out(casting)
    _check_out(other)
    was, lay, now, lies = casting.figure, casting.place, other.figure, other.place
    for one in (casting, other):
        Casting.objects.filter(pk=one.pk).update(figure=None, place="set aside")
        if one.figure is not None:
            do_again(one.figure, one)
    casting.figure, casting.place, other.figure, other.place = now, lies, was, lay
    for one, old in ((casting, before), (other, before_other)):
        one.version += 1
        one.save()
        record_casting(one, user, old)
    plan_anew(casting.pour, user)


def _check_out(casting: Casting) -> None:
    if casting.struck_at is not None or casting.result is None:
        raise ValidationError(f"{casting} is not out of the mould yet.")
    if casting.result == Casting.Result.THROWN:
        raise ValidationError(f"{casting} is thrown out: judge it again before it is used.")


def _check_figure(casting: Casting, figure: Figure) -> None:
    uses = GuisePart.objects.filter(guise=figure.guise_id, pattern=casting.pattern_id)
    if not uses.exists():
        raise ValidationError(
            {"figure": f"{casting} is no {casting.pattern.part} of {figure}: another guise's."}
        )
    has = _other_in(casting, figure)
    if has is not None and has.result is not None:
        raise ValidationError(
            {"figure": f"{figure} has {has} already: let the two change places instead."}
        )
    if figure.state == Figure.State.STRUCK:
        raise ValidationError({"figure": f"{figure} is struck from the bench."})


def _other_in(casting: Casting, figure: Figure) -> Casting | None:
    rows = Casting.objects.filter(figure=figure, pattern=casting.pattern_id)
    found: Casting | None = rows.exclude(pk=casting.pk).first()
    return found


def _make_room(casting: Casting, figure: Figure) -> None:
    """The casting that was planned for the figure is for nobody, or for the next that waits."""
    Casting.objects.filter(figure=figure, pattern=casting.pattern_id).exclude(pk=casting.pk).update(
        figure=None
    )
