"""Where a point of a photographed drawing lies in millimetres, from two marks and their distance.

A picture has its own points (px, x to the right, y down). A drawing has millimetres: x across from
the line of balance, y up from the floor. Two marks a known distance apart give the scale; where
the line of balance meets the floor is nought; a second point on the line says which way is up, so
that a picture taken askew is set straight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LEAST_MARKS_PX = 20.0  # nearer marks are mostly the unsteadiness of the hand that set them
LEAST_DISTANCE_MM = 1.0
MOST_DISTANCE_MM = 20_000.0
MOST_MM_PER_PX = 50.0  # a figure of half a metre on ten points of a picture
LEAST_MM_PER_PX = 0.005

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PictureScale:
    """The way from the points of a picture to millimetres of the drawing, and back.

    `mm_per_px` is above nought; `foot_px` is where the line of balance meets the floor; `up` is a
    unit vector in the picture. `across` is 1 where the drawing's x grows to the right of the
    picture and -1 where it grows to the left: a profile that faces left has its front there.
    """

    mm_per_px: float
    foot_px: Point
    up: Point
    across: int

    def to_mm(self, x_px: float, y_px: float) -> Point:
        """A point of the picture in mm: across from the line of balance, up from the floor.

        >>> scale = PictureScale(0.5, (100.0, 900.0), (0.0, -1.0), 1)
        >>> scale.to_mm(120, 500)
        (10.0, 200.0)
        """
        dx, dy = x_px - self.foot_px[0], y_px - self.foot_px[1]
        right = dx * -self.up[1] + dy * self.up[0]
        upward = dx * self.up[0] + dy * self.up[1]
        # Nought is added so that no answer reads -0.0.
        return (right * self.across * self.mm_per_px + 0.0, upward * self.mm_per_px + 0.0)

    def to_px(self, x_mm: float, y_mm: float) -> Point:
        """The point of the picture where a point of the drawing lies.

        >>> PictureScale(0.5, (100.0, 900.0), (0.0, -1.0), -1).to_px(10, 200)
        (80.0, 500.0)
        """
        right, upward = x_mm * self.across / self.mm_per_px, y_mm / self.mm_per_px
        return (
            self.foot_px[0] + right * -self.up[1] + upward * self.up[0] + 0.0,
            self.foot_px[1] + right * self.up[0] + upward * self.up[1] + 0.0,
        )

    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """The SVG matrix (a, b, c, d, e, f) that lays the picture on paper in mm, at true scale.

        On paper x is mm to the right of the line of balance as it is seen, whichever way the
        figure faces, and y is mm down from the floor (so all of the figure is above nought).

        >>> PictureScale(0.5, (100.0, 900.0), (0.0, -1.0), -1).matrix()
        (0.5, 0.0, 0.0, 0.5, -50.0, -450.0)
        """
        scale = self.mm_per_px
        a, b = scale * -self.up[1], -scale * self.up[0]
        c, d = scale * self.up[0], scale * -self.up[1]
        foot_x, foot_y = self.foot_px
        return (
            a + 0.0,
            b + 0.0,
            c + 0.0,
            d + 0.0,
            -(a * foot_x + c * foot_y) + 0.0,
            -(b * foot_x + d * foot_y) + 0.0,
        )


def measure_scale(
    mark_a_px: Point,
    mark_b_px: Point,
    distance_mm: float,
    *,
    foot_px: Point,
    top_px: Point | None = None,
    faces_left: bool = False,
) -> PictureScale:
    """The scale of a picture whose two marks are `distance_mm` apart on the real drawing.

    `top_px` is a second point on the line of balance, above the floor; without it the picture is
    taken to stand upright. `faces_left` says that the front of a profile is on the picture's left.
    Raises ValueError with every sentence of `find_scale_faults` where one stands.

    >>> scale = measure_scale((100, 100), (100, 700), 300, foot_px=(400, 900))
    >>> scale.mm_per_px, scale.to_mm(400, 100)
    (0.5, (0.0, 400.0))
    """
    faults = find_scale_faults(mark_a_px, mark_b_px, distance_mm, foot_px, top_px)
    if faults:
        raise ValueError(" ".join(sentence for _, sentence in faults))
    up = (0.0, -1.0)
    if top_px is not None:
        rise = math.dist(foot_px, top_px)
        up = ((top_px[0] - foot_px[0]) / rise, (top_px[1] - foot_px[1]) / rise)
    return PictureScale(
        mm_per_px=distance_mm / math.dist(mark_a_px, mark_b_px),
        foot_px=(float(foot_px[0]), float(foot_px[1])),
        up=up,
        across=-1 if faces_left else 1,
    )


def find_scale_faults(
    mark_a_px: Point,
    mark_b_px: Point,
    distance_mm: float,
    foot_px: Point,
    top_px: Point | None,
    size_px: tuple[int, int] | None = None,
) -> list[tuple[str, str]]:
    """What is wrong with the marks of a picture, all at once: names of values with sentences.

    The names are 'marks', 'distance_mm', 'foot', 'top'. `size_px` is the picture's width and
    height, where it is known.

    >>> [name for name, _ in find_scale_faults((5, 5), (5, 5), 0, (0, 0), (0, 40))]
    ['marks', 'distance_mm', 'top']
    """
    points = {"mark_a": mark_a_px, "mark_b": mark_b_px, "foot": foot_px, "top": top_px}
    faults = [
        (name if name in ("foot", "top") else "marks", "A place on the picture is not a number.")
        for name, point in points.items()
        if point is not None and not all(math.isfinite(value) for value in point)
    ]
    if faults:
        return faults
    apart = math.dist(mark_a_px, mark_b_px)
    if apart == 0:
        faults.append(("marks", "The two marks are at the same point: set them far apart."))
    elif apart < LEAST_MARKS_PX:
        faults.append(
            (
                "marks",
                f"The two marks are only {apart:.0f} points of the picture apart, too near to "
                f"measure by: at least {LEAST_MARKS_PX:.0f}, and the farther the better.",
            )
        )
    if not LEAST_DISTANCE_MM <= distance_mm <= MOST_DISTANCE_MM:
        faults.append(
            (
                "distance_mm",
                f"The marks are from {LEAST_DISTANCE_MM:.0f} mm to "
                f"{MOST_DISTANCE_MM / 1000:.0f} m apart on the real drawing.",
            )
        )
    elif apart >= LEAST_MARKS_PX and not LEAST_MM_PER_PX <= distance_mm / apart <= MOST_MM_PER_PX:
        faults.append(
            (
                "distance_mm",
                f"That makes a point of the picture {distance_mm / apart:.3g} mm on the drawing, "
                "which cannot be: look at the marks and the distance again.",
            )
        )
    faults += _faults_of_line(foot_px, top_px)
    if size_px is not None:
        faults += [
            (name if name in ("foot", "top") else "marks", "This place is outside the picture.")
            for name, point in points.items()
            if point is not None
            and not (0 <= point[0] <= size_px[0] and 0 <= point[1] <= size_px[1])
        ]
    return faults


def _faults_of_line(foot_px: Point, top_px: Point | None) -> list[tuple[str, str]]:
    """A line of balance must be long enough to have a direction, and stand more than lie."""
    if top_px is None:
        return []
    across, rise = top_px[0] - foot_px[0], foot_px[1] - top_px[1]
    if math.hypot(across, rise) < LEAST_MARKS_PX:
        return [("top", "The upper end of the line of balance is too near its foot.")]
    if rise <= 0 or abs(across) > rise:
        return [
            (
                "top",
                "The line of balance lies more than it stands: its upper end belongs above its "
                "foot. Turn the picture upright and send it again if it lies on its side.",
            )
        ]
    return []
