"""A hang and its drawing as the values of its picture."""

from __future__ import annotations

from builds.drawings.hang import HangData, HungPart
from builds.loading.outlines import load_outline
from builds.models import Drawing
from builds.queries.hangs import Hang


def hung_parts(drawing: Drawing, hang: Hang) -> tuple[HungPart, ...]:
    """Every part of the drawing where it comes to rest."""
    return tuple(
        HungPart(part.kind, tuple(hang.rest.moved(part.kind, at) for at in part.profile))
        for part in load_outline(drawing).parts
        if part.kind in hang.rest.turned_deg
    )


def hang_data(drawing: Drawing, hang: Hang) -> HangData:
    """The picture of how it hangs."""
    truing, figure = hang.truing, hang.drawn
    seat = (figure.hole_x_mm + truing.forward_mm, figure.hole_y_mm - max(truing.drop_mm, 0.0))
    off = abs(truing.forward_mm)
    side = "in front" if truing.forward_mm > 0 else "behind"
    words = f"weight, {off:.0f} mm {side}" if off >= 0.5 else "weight, under the holes"
    ballast = truing.ballast
    proposed = ballast is not None and ballast.mass_g >= 0.5 and not hang.is_true
    return HangData(
        drawn=load_outline(drawing),
        rest=hung_parts(drawing, hang),
        weight=seat,
        weight_words=words,
        ballast=ballast.at if ballast is not None and proposed else None,
        ballast_words=f"{ballast.mass_g:.0f} g here" if ballast is not None else "",
    )
