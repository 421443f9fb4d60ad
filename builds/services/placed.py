"""What one press asks to be placed on a drawing: joints, string holes, marks of its pictures."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from builds.models.drawings import PartKind, Side

KEEP_MM, KEEP_PLACES = "mm", "places"


@dataclass(frozen=True, slots=True)
class JointPlace:
    """Where a joint is to be; without a place it is taken away."""

    kind: str
    x_mm: Decimal | None = None
    y_mm: Decimal | None = None
    z_mm: Decimal | None = None

    @property
    def prefix(self) -> str:
        """What the names of its fields begin with."""
        return f"joint-{self.kind}"


@dataclass(frozen=True, slots=True)
class HolePlace:
    """Where a string hole is to be. `key` is its row in the form, `pk` its own if it has one."""

    key: str
    name: str
    part: str = PartKind.TORSO
    side: str = Side.PAIR
    hangs: bool = False
    x_mm: Decimal | None = None
    y_mm: Decimal | None = None
    z_mm: Decimal | None = None
    pk: int | None = None

    @property
    def prefix(self) -> str:
        """What the names of its fields begin with."""
        return f"hole-{self.key}"


@dataclass(frozen=True, slots=True)
class PictureMarks:
    """The marks of the picture under a view, and its line; blank ones are not set yet."""

    view: str
    values: dict[str, Decimal | None] = field(default_factory=dict)
    faces_left: bool = True


@dataclass(frozen=True, slots=True)
class Placing:
    """All that one press of 'Keep it' asks for."""

    height_mm: Decimal
    head_shrinkage_pct: Decimal | None = None
    words: str = ""
    joints: tuple[JointPlace, ...] = ()
    holes: tuple[HolePlace, ...] = ()
    marks: tuple[PictureMarks, ...] = ()
    rescaled: str = ""  # KEEP_MM or KEEP_PLACES, once a scale is set a second time
