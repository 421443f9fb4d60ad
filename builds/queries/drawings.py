"""Which drawing a guise goes by, with all that is placed on it."""

from __future__ import annotations

from builds.models import Drawing, GuisePart, Part
from company.rows import CompanyRows
from scenes.models import Guise, Show

CHILDREN = ("holes", "joints", "parts", "ballast", "pictures")


def drawing_of(guise: Guise) -> Drawing | None:
    """The guise's own current drawing, else that of the guise whose body it borrows, else None.

    Its holes, joints, parts, ballast and pictures are at hand. Two queries and one for each sort
    of these; one more where the body is borrowed.
    """
    own = current_drawing(guise.pk)
    if own is not None:
        return own
    lender = (
        GuisePart.objects.filter(guise=guise, part=Part.BODY)
        .exclude(pattern__made_for=guise)
        .values_list("pattern__made_for", flat=True)
        .first()
    )
    return current_drawing(lender) if lender is not None else None


def list_drawings(show: Show) -> list[Drawing]:
    """The current drawings of a show's guises, with their guises alone. One query."""
    return list(_of_show(show))


def drawings_of_show(show: Show) -> list[Drawing]:
    """The same with all that is on them."""
    return list(_of_show(show).prefetch_related(*CHILDREN))


def _of_show(show: Show) -> CompanyRows:
    return (
        Drawing.objects.filter(guise__character__show=show, is_current=True)
        .select_related("guise__character__show__company")
        .order_by("guise__character__position", "guise__position", "guise__pk")
    )


def current_drawing(guise_pk: int) -> Drawing | None:
    """The current drawing of a guise itself, with its children."""
    found: Drawing | None = (
        Drawing.objects.filter(guise=guise_pk, is_current=True)
        .select_related("guise__character__show__company")
        .prefetch_related(*CHILDREN)
        .first()
    )
    return found
