"""Guises drawn anew at another scale: the next drawing of each, with everything on it scaled."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db import models, transaction

from builds.models import Drawing
from builds.queries.drawings import current_drawing
from builds.services.drawings import start_drawing
from company.models import User
from scenes.models import Guise
from scenes.services.guises import edit_guise
from scenes.services.problems import EVERYWHERE, Problems

_TENTH = Decimal("0.1")
# Columns that grow with the scale, and with its cube.
_LENGTHS = {
    "holes": ("x_mm", "y_mm", "z_mm"),
    "joints": ("x_mm", "y_mm", "z_mm"),
    "parts": (
        "top_x_mm", "top_y_mm", "bottom_x_mm", "bottom_y_mm", "width_mm", "depth_mm",
        "width_low_mm", "depth_low_mm", "wall_mm",
    ),
    "ballast": ("x_mm", "y_mm"),
    "pictures": ("marks_mm",),
}  # fmt: skip
_WEIGHTS = {"parts": ("hardware_g",), "ballast": ("mass_g",)}
_OUTLINES = ("outline", "front_outline")


@transaction.atomic
def scale_guises(*, guises: Iterable[Guise], user: User, percent: Decimal) -> list[Drawing]:
    """Give each guise its next drawing at so many per cent; the one before is kept.

    Hours stay as they are, figures and their records too. Raises ValidationError where a guise
    has no drawing of its own, or the scale is out of reach.
    """
    problems = Problems()
    chosen = list(guises)
    if not 10 <= percent <= 300:
        problems.add("percent", "From 10 to 300 per cent.")
    if percent == 100:
        problems.add("percent", "That is the present size.")
    if not chosen:
        problems.add(EVERYWHERE, "Choose a guise or more.")
    drawings = {guise.pk: current_drawing(guise.pk) for guise in chosen}
    for guise in chosen:
        if drawings[guise.pk] is None:
            problems.add(EVERYWHERE, f"{guise} has no drawing of its own to scale.")
    problems.refuse()
    scale = percent / 100
    made = []
    for guise in chosen:
        stands = drawings[guise.pk]
        assert stands is not None
        made.append(_scale(guise, stands, user, scale))
    return made


def _scale(guise: Guise, stands: Drawing, user: User, scale: Decimal) -> Drawing:
    height = (stands.height_mm * scale).quantize(_TENTH)
    made = start_drawing(guise=guise, user=user, height_mm=height, copy_of=stands)
    fresh = current_drawing(guise.pk)
    assert fresh is not None
    for name, columns in _LENGTHS.items():
        for row in getattr(fresh, name).all():
            _grow(row, columns, scale)
            _grow(row, _WEIGHTS.get(name, ()), scale**3)
            if name == "parts":
                for outline in _OUTLINES:
                    _grow_outline(row, outline, scale)
            row.save()
    values: dict[str, Any] = {"scale": (guise.scale * scale).quantize(Decimal("0.001"))}
    for name in ("height_mm", "head_mm"):
        size = getattr(guise, name)
        if size is not None:
            values[name] = max(1, round(size * scale))
    edit_guise(show=guise.character.show, user=user, guise=guise, **values)
    return made


def _grow(row: models.Model, columns: Iterable[str], by: Decimal) -> None:
    for name in columns:
        value = getattr(row, name)
        if value is not None:
            least = _TENTH if name.startswith(("width", "depth", "wall", "mass")) else None
            grown = (value * by).quantize(_TENTH, "ROUND_HALF_UP")
            setattr(row, name, max(grown, least) if least is not None else grown)


def _grow_outline(row: models.Model, name: str, scale: Decimal) -> None:
    points = getattr(row, name)
    if points:
        grown = [[round(float(v) * float(scale), 2) for v in point] for point in points]
        setattr(row, name, grown)
