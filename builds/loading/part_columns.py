"""What a part's row says of its shape: read once, for its outline and for its weight."""

from __future__ import annotations

from typing import TypedDict

from builds.core.full_size.part_outlines import Points
from builds.models import DrawingPart


class PartColumns(TypedDict):
    """Shape, axis and sizes in mm, as both cores name them."""

    shape: str
    top: tuple[float, float]
    low: tuple[float, float]
    width_mm: float
    depth_mm: float
    width_low_mm: float | None
    depth_low_mm: float | None
    outline: Points


def part_columns(row: DrawingPart) -> PartColumns:
    """The columns of a row as plain numbers."""
    return PartColumns(
        shape=row.shape,
        top=(float(row.top_x_mm), float(row.top_y_mm)),
        low=(float(row.bottom_x_mm), float(row.bottom_y_mm)),
        width_mm=float(row.width_mm),
        depth_mm=float(row.depth_mm),
        width_low_mm=None if row.width_low_mm is None else float(row.width_low_mm),
        depth_low_mm=None if row.depth_low_mm is None else float(row.depth_low_mm),
        outline=read_outline(row.outline),
    )


def read_outline(stored: object) -> Points:
    """An outline as it is kept (pairs of numbers), or none."""
    if not isinstance(stored, list):
        return ()
    return tuple((float(x), float(y)) for x, y in stored)
