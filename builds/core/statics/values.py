"""A figure as the statics know it: pieces, joints, what is fixed to them, the holes it hangs by.

All points are in the drawn pose. Arms and legs are reckoned once with a count of two, because in
profile both sides hang alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

Point = tuple[float, float]

TORSO, HEAD = "torso", "head"
# Each kind of piece with the kind it hangs on and the joint between; parents come first.
TREE: tuple[tuple[str, str, str], ...] = (
    ("torso", "", ""),
    ("head", "torso", "neck"),
    ("upper arm", "torso", "shoulder"),
    ("fore arm", "upper arm", "elbow"),
    ("hand", "fore arm", "wrist"),
    ("thigh", "torso", "hip"),
    ("shank", "thigh", "knee"),
    ("foot", "shank", "ankle"),
)
KINDS = tuple(kind for kind, _, _ in TREE)
PARENT = {kind: parent for kind, parent, _ in TREE}
JOINT_OF = {kind: joint for kind, _, joint in TREE}
PIECE_OF_JOINT = {joint: kind for kind, _, joint in TREE if joint}

# What a reckoned mass and centre are good to, and a weighed or balanced one. Common practice, no
# source: boards of one wood differ from its mean by 1 to 8 per cent (Wagner Meters L606 manual,
# p. 35), shapes add the rest.
RECKONED_MASS, TWIN_MASS, WEIGHED_MASS = 0.10, 0.05, 0.01
RECKONED_CENTRE_MM, BALANCED_CENTRE_MM = 3.0, 1.0


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece, or one of a pair: mass in grams, centre in mm, and how far both are good.

    `mass_within` is a share of the mass, `centre_within_mm` goes for x and for y; both are about
    two standard deviations.
    """

    kind: str
    mass_g: float
    x_mm: float
    y_mm: float
    count: int = 1
    mass_within: float = RECKONED_MASS
    centre_within_mm: float = RECKONED_CENTRE_MM

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"kind is {self.kind!r}, not one of {', '.join(KINDS)}")
        if not (math.isfinite(self.mass_g) and self.mass_g >= 0):
            raise ValueError(f"mass_g of the {self.kind} is {self.mass_g} g, not nought or more")
        if self.count not in (1, 2):
            raise ValueError(f"count of the {self.kind} is {self.count}, neither 1 nor 2")


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint: `back_deg` to `forward_deg` is how far the lower piece turns from the drawing.

    Forward is the sense that swings a hanging piece forward. None: no stop that way.
    """

    kind: str
    x_mm: float
    y_mm: float
    back_deg: float | None = None
    forward_deg: float | None = None
    is_held: bool = False

    def __post_init__(self) -> None:
        if self.kind not in PIECE_OF_JOINT:
            raise ValueError(f"kind is {self.kind!r}, no joint")
        if (self.back_deg or 0) > 0 or (self.forward_deg or 0) < 0:
            raise ValueError(f"the stops of the {self.kind} forbid the drawn pose (nought degrees)")

    @property
    def range_deg(self) -> tuple[float, float]:
        """Lowest and highest turn; a held joint has none, one without stops the whole circle."""
        if self.is_held:
            return 0.0, 0.0
        back = -180.0 if self.back_deg is None else self.back_deg
        return back, 180.0 if self.forward_deg is None else self.forward_deg


@dataclass(frozen=True, slots=True)
class Load:
    """Something of known weight on a piece: ballast, cloth. `mass_g` is for both of a pair."""

    kind: str
    mass_g: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as drawn, hung by its string holes at (`hole_x_mm`, `hole_y_mm`).

    `head_share` (0 to 1) is how much of the head its strings carry; at 0 the head is off its
    strings and falls within its stops, above 0 it is held as drawn and what is left of its weight
    presses on the neck. `soles` are points of the lowest leg piece that may meet the floor. The
    floor lies `lift_mm` below where it was drawn.
    """

    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    hole_x_mm: float
    hole_y_mm: float
    loads: tuple[Load, ...] = ()
    head_share: float = 0.5
    soles: tuple[Point, ...] = ()
    lift_mm: float = 0.0

    def __post_init__(self) -> None:
        kinds = [piece.kind for piece in self.pieces]
        if len(set(kinds)) != len(kinds):
            raise ValueError("a kind of piece stands twice in the figure")
        if TORSO not in kinds:
            raise ValueError("a figure hangs by its torso, and none is given")
        if not 0 <= self.head_share <= 1:
            raise ValueError(f"head_share is {self.head_share}, outside 0 to 1")

    def piece(self, kind: str) -> Piece | None:
        """The piece of this kind, if the figure has one."""
        return next((piece for piece in self.pieces if piece.kind == kind), None)

    @property
    def in_order(self) -> tuple[Piece, ...]:
        """Its pieces, each after the one it hangs on."""
        return tuple(sorted(self.pieces, key=lambda piece: KINDS.index(piece.kind)))

    @property
    def mass_g(self) -> float:
        """What the whole figure weighs, both sides, with its loads."""
        own = sum(piece.mass_g * piece.count for piece in self.pieces)
        return own + sum(load.mass_g for load in self.loads)

    def weights(self) -> Iterator[tuple[str, float, float, float]]:
        """(kind, grams of both sides, x, y) of every piece and load."""
        for piece in self.pieces:
            yield piece.kind, piece.mass_g * piece.count, piece.x_mm, piece.y_mm
        for load in self.loads:
            yield load.kind, load.mass_g, load.x_mm, load.y_mm

    @property
    def centre(self) -> Point:
        """Centre of mass as drawn, all of the head counted.

        >>> figure = Figure((Piece("torso", 300, 0, 400), Piece("head", 100, 20, 600)), (), 0, 480)
        >>> figure.centre
        (5.0, 450.0)
        """
        total = self.mass_g
        if not total:
            return self.hole_x_mm, self.hole_y_mm
        rows = list(self.weights())
        return (
            sum(m * x for _, m, x, _ in rows) / total,
            sum(m * y for _, m, _, y in rows) / total,
        )
