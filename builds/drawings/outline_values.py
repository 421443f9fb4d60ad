"""What is drawn of a figure, in plain values, and the pen that says where and how large.

Places of a drawing are mm: x forward of the line of balance, y up from the floor, z from the
middle. A pen brings them to the units of a picture; at a scale of 1 these are mm on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[float, float]
Polygon = tuple[Place, ...]

_PLAIN_HALF_MM = 0.3  # of the height: how far a figure reaches that has points alone


@dataclass(frozen=True, slots=True)
class OutlinePart:
    """A part's outline in profile (x, y) and from the front (z, y), and its grain as an arrow."""

    kind: str
    profile: Polygon
    front: Polygon = ()
    is_pair: bool = False
    grain: tuple[Place, Place] | None = None


@dataclass(frozen=True, slots=True)
class OutlinePoint:
    """A string hole or a joint. `side` is 'pair', 'middle', 'left' or 'right' of the figure."""

    name: str
    x_mm: float
    y_mm: float
    z_mm: float = 0.0
    is_hole: bool = False
    side: str = "middle"
    is_key: bool = False  # what the posture hangs on: hole, shoulder, hip, ankle
    part: str = ""  # the part that a hole is in

    def front_places(self) -> tuple[float, ...]:
        """Where it lies across the front view, to the right as it is seen.

        >>> OutlinePoint("hip", 0, 300, 40, side="pair").front_places()
        (-40, 40)
        """
        if self.side == "pair" and self.z_mm:
            return (-self.z_mm, self.z_mm)
        # The figure faces us: its left is on our right.
        return {"left": (self.z_mm,), "right": (-self.z_mm,)}.get(self.side, (0.0,))


@dataclass(frozen=True, slots=True)
class OutlinePicture:
    """A photo of the paper drawing under a view, with the matrix that brings it to true scale."""

    view: str
    href: str
    width_px: int
    height_px: int
    matrix: tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class FigureOutline:
    """All that is drawn of a figure. Without parts only its points are."""

    height_mm: float
    parts: tuple[OutlinePart, ...] = ()
    points: tuple[OutlinePoint, ...] = ()
    pictures: tuple[OutlinePicture, ...] = ()
    faces_left: bool = True

    def reach(self, view: str) -> tuple[float, float]:
        """How far a view reaches to the left and to the right of its line, as it is seen, in mm."""
        if view == "front":
            seen = [z for p in self.parts for z, _ in p.front]
            wide = max([abs(z) for z in seen] + [abs(p.z_mm) for p in self.points], default=0.0)
            wide = max(wide, self._least_half())
            return (wide, wide)
        sign = -1 if self.faces_left else 1
        seen = [sign * x for p in self.parts for x, _ in p.profile]
        seen += [sign * p.x_mm for p in self.points]
        least = self._least_half()
        return (max([least, *(-x for x in seen)]), max([least, *seen]))

    def _least_half(self) -> float:
        return self.height_mm * (0.05 if self.parts else _PLAIN_HALF_MM / 2)

    def picture_of(self, view: str) -> OutlinePicture | None:
        """The photo under a view, where there is one."""
        return next((p for p in self.pictures if p.view == view), None)


@dataclass(frozen=True, slots=True)
class Pen:
    """Where a view stands and how it is drawn, in the units of the picture.

    `x` is where its line of balance stands, `floor` where the floor lies, `scale` units for a mm.
    """

    x: float = 0.0
    floor: float = 0.0
    scale: float = 1.0
    faces_left: bool = True
    hair: float = 0.2
    line: float = 0.4
    dot: float = 2.5
    size: float = 4.0  # of lettering

    def profile(self, x_mm: float, y_mm: float) -> Place:
        """A place of the profile on the picture.

        >>> Pen(x=100, floor=500).profile(10, 200), Pen(100, 500, faces_left=False).profile(10, 0)
        ((90.0, 300.0), (110.0, 500.0))
        """
        sign = -1 if self.faces_left else 1
        return (self.x + sign * x_mm * self.scale, self.floor - y_mm * self.scale)

    def front(self, z_mm: float, y_mm: float) -> Place:
        """A place of the front view on the picture, `z_mm` to the right as it is seen."""
        return (self.x + z_mm * self.scale, self.floor - y_mm * self.scale)
