"""The page 'Parts and weights': every part of a drawing, what it weighs and how that is known."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.statics.parts import weigh_part
from builds.core.statics.values import KINDS
from builds.core.statics.woods import MATERIALS
from builds.loading.statics import load_part
from builds.models import Drawing, DrawingPart, Weighing
from builds.models.drawings import PartKind
from builds.queries.drawings import drawing_of
from builds.queries.hangs import doubts_of, read_weighed
from scenes.models import Guise


@dataclass(frozen=True)
class PartRow:
    """A part of the drawing with its reckoned weight, and what its figures were found to weigh."""

    kind: PartKind
    row: DrawingPart | None
    reckoned_g: float | None = None
    weighed_g: float | None = None
    weighings: tuple[Weighing, ...] = ()

    @property
    def slug(self) -> str:
        """The kind as part of an address."""
        return self.kind.value.replace(" ", "-")

    @property
    def made(self) -> str:
        """'lime, solid' or 'neoprene slip, wall 3 mm'."""
        if self.row is None:
            return ""
        known = MATERIALS.get(self.row.material)
        name = known.name if known is not None else self.row.material
        wall = f"wall {self.row.wall_mm:g} mm" if self.row.wall_mm is not None else "solid"
        return f"{name}, {wall}"

    @property
    def length_mm(self) -> float | None:
        """From end to end of its axis."""
        return None if self.row is None else load_part(self.row).length_mm

    @property
    def both_g(self) -> float:
        """What the figure has of it, both sides."""
        each = self.weighed_g if self.weighed_g is not None else self.reckoned_g
        return (each or 0) * (2 if self.kind.is_pair else 1)


@dataclass(frozen=True)
class PartsPage:
    """The page's content."""

    guise: Guise
    drawing: Drawing | None
    rows: tuple[PartRow, ...]
    doubts: tuple[str, ...]
    ballast_g: float

    @property
    def total_g(self) -> float:
        """The bare figure with its ballast."""
        return sum(row.both_g for row in self.rows) + self.ballast_g

    @property
    def there(self) -> int:
        """How many parts have sizes."""
        return sum(row.row is not None for row in self.rows)


def read_parts(guise: Guise) -> PartsPage:
    """All parts, whether they have sizes or not. A flat number of queries."""
    drawing = drawing_of(guise)
    if drawing is None:
        return PartsPage(guise, None, (), (), 0.0)
    weighings = list(
        Weighing.objects.filter(figure__guise=guise).select_related("figure").order_by("-at", "-pk")
    )
    live = [row for row in weighings if row.struck_at is None]
    weighed = read_weighed(guise, None, live)
    there = {row.kind: row for row in drawing.parts.all()}
    rows = []
    for kind in KINDS:
        row = there.get(kind)
        found = weighed.get(kind)
        rows.append(
            PartRow(
                kind=PartKind(kind),
                row=row,
                reckoned_g=weigh_part(load_part(row)).mass_g if row is not None else None,
                weighed_g=found.mass_g if found is not None else None,
                weighings=tuple(w for w in weighings if w.part == kind),
            )
        )
    return PartsPage(
        guise,
        drawing,
        tuple(rows),
        doubts_of(drawing),
        sum(float(row.mass_g) for row in drawing.ballast.all()),
    )
