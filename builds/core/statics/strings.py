"""Strings: how long each is for a bridge and a hand, what it carries, and how slow the swing is.

The figure hangs with its string holes straight below those of the control that carry it; the
control is held tilted, front down, at the performer's hand. Angles to the vertical are those of
the drawn pose.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

G = 9.80665  # m/s2, standard gravity (CGPM 1901)
KNOT_MM, SPARE_MM = 60, 300  # common practice, no source
KNOT_FACTOR = 0.45  # overhand and reef; Jacobson, Outdoor Knots, p. 28 (after Day, Dent)
SAFETY = 5.0  # common practice, no source
JERK = 2.0  # a load let go without a drop doubles the pull of an elastic string; textbook


@dataclass(frozen=True, slots=True)
class ControlHole:
    """A hole of the control, mm from the grip: forward, up, to the side; and where it goes."""

    name: str
    to: str
    x_mm: float = 0.0
    y_mm: float = 0.0
    z_mm: float = 0.0
    is_taut: bool = False


@dataclass(frozen=True, slots=True)
class FigureHole:
    """A string hole of the figure as drawn, and how many strings go to it (a pair: two)."""

    name: str
    x_mm: float
    y_mm: float
    z_mm: float = 0.0
    strings: int = 2
    hangs: bool = False


@dataclass(frozen=True, slots=True)
class Held:
    """Where the hand holds the control: so high above the stage, front down by `tilt_deg`."""

    height_mm: float
    tilt_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """The line: breaking strength, what a knot leaves of it, safety, and the cutting allowance."""

    strength_n: float = 133.0
    knot_factor: float = KNOT_FACTOR
    safety: float = SAFETY
    knot_mm: float = KNOT_MM
    spare_mm: float = SPARE_MM

    @property
    def working_n(self) -> float:
        """What one string may carry: strength x knot factor / safety.

        >>> round(Line(133).working_n, 1)
        12.0
        """
        return self.strength_n * self.knot_factor / self.safety


@dataclass(frozen=True, slots=True)
class StringRow:
    """One string, or the two of a pair: lengths in whole mm up, what each carries in newton."""

    name: str
    to: str
    count: int
    finished_mm: int
    cut_mm: int
    angle_deg: float
    at_rest_n: float
    jerk_n: float
    working_n: float
    is_taut: bool

    @property
    def is_over(self) -> bool:
        """Whether a jerk asks more of it than it may carry."""
        return self.jerk_n > self.working_n + 1e-9


def tilted(x_mm: float, y_mm: float, tilt_deg: float) -> tuple[float, float]:
    """A point of the control with its front so many degrees down.

    >>> tuple(round(c, 6) for c in tilted(100, 0, 90))
    (0.0, -100.0)
    """
    a = math.radians(tilt_deg)
    return x_mm * math.cos(a) + y_mm * math.sin(a), y_mm * math.cos(a) - x_mm * math.sin(a)


def find_strings(
    holes: Sequence[ControlHole],
    points: Sequence[FigureHole],
    held: Held,
    line: Line,
    *,
    on_body_g: float,
    on_head_g: float,
    head: str = "head",
) -> list[StringRow]:
    """Every string whose control hole finds a hole of the figure by name, in the given order.

    `on_body_g` hangs from the holes that carry the figure, `on_head_g` from the head's. The
    others are just slack and carry nothing.

    >>> rows = find_strings([ControlHole("bar", "shoulder", 0, 0, 40, True)],
    ...     [FigureHole("shoulder", 0, 480, 40, hangs=True)], Held(2450), Line(),
    ...     on_body_g=1000, on_head_g=0)
    >>> rows[0].finished_mm, rows[0].cut_mm, round(rows[0].at_rest_n, 2)
    (1970, 2330, 4.9)
    """
    by_name = {point.name: point for point in points}
    grip_x = _grip(holes, by_name, held)
    pulls = _pulls_up(holes, by_name, on_body_g, on_head_g, head)
    rows = []
    for hole in holes:
        point = by_name.get(hole.to)
        if point is None:
            continue
        x, y = tilted(hole.x_mm, hole.y_mm, held.tilt_deg)
        # Two strings go to the figure from two sides of the bar.
        side = hole.z_mm - point.z_mm
        across = (grip_x + x - point.x_mm, held.height_mm + y - point.y_mm, side)
        if across[1] <= 0:
            raise ValueError(f"the control's hole '{hole.name}' is held below the figure's")
        length = math.hypot(*across)
        upright = across[1] / length
        pull = pulls.get(hole.name, 0.0) / upright
        finished = math.ceil(length - 1e-6)
        rows.append(
            StringRow(
                hole.name,
                hole.to,
                point.strings,
                finished,
                math.ceil(finished + line.knot_mm + line.spare_mm),
                math.degrees(math.acos(min(1.0, upright))),
                pull,
                JERK * pull,
                line.working_n,
                hole.is_taut or pull > 0,
            )
        )
    return rows


def _grip(holes: Sequence[ControlHole], by_name: dict[str, FigureHole], held: Held) -> float:
    """How far forward the hand is, so that what carries the figure hangs plumb."""
    for hole in holes:
        point = by_name.get(hole.to)
        if point is not None and point.hangs:
            return point.x_mm - tilted(hole.x_mm, hole.y_mm, held.tilt_deg)[0]
    return 0.0


def _pulls_up(
    holes: Sequence[ControlHole],
    by_name: dict[str, FigureHole],
    on_body_g: float,
    on_head_g: float,
    head: str,
) -> dict[str, float]:
    """The upward pull in newton of each single string, by control hole."""
    pulls: dict[str, float] = {}
    for grams, chosen in (
        (on_body_g, [h for h in holes if h.to in by_name and by_name[h.to].hangs]),
        (on_head_g, [h for h in holes if h.to in by_name and h.to == head]),
    ):
        strings = sum(by_name[hole.to].strings for hole in chosen)
        for hole in chosen:
            pulls[hole.name] = grams / 1000 * G / strings
    return pulls


def two_string_pull(weight_n: float, angle_deg: float) -> float:
    """What each of two strings carries at so many degrees to the vertical: W / (2 cos a).

    >>> round(two_string_pull(10, 60), 6)
    10.0
    """
    if not 0 <= angle_deg < 90:
        raise ValueError(f"angle_deg is {angle_deg}, outside 0 to below 90 degrees")
    return weight_n / (2 * math.cos(math.radians(angle_deg)))


def swing_period_s(length_mm: float) -> float:
    """A figure on long strings swings as a simple pendulum: 2 pi sqrt(L / g), textbook.

    >>> round(swing_period_s(1000), 3), round(swing_period_s(2000), 3)
    (2.006, 2.837)
    """
    if not length_mm > 0:
        raise ValueError(f"length_mm is {length_mm} mm, not more than nought")
    return 2 * math.pi * math.sqrt(length_mm / 1000 / G)


@dataclass(frozen=True, slots=True)
class DefaultHole:
    """Where a default string goes and where on the control it starts, for a 600 mm figure."""

    to: str
    x_mm: float
    y_mm: float
    z_mm: float
    is_pair: bool
    is_taut: bool = False


# Nine after the usual places of strings (each side of head, shoulders, hands, knees, and the small
# of the back; mimeographed puppeteers' handbook, scribd.com/doc/281277715). Where the holes of
# the control lie: head and shoulder bars slightly wider than what they lift, leg bar about 20 cm
# (hillfactor.com.au, 1_10_Marionettes); the rest common practice, no source.
_PLACES = {
    "shoulder": DefaultHole("shoulder", 0, -40, 10, True, True),
    "head": DefaultHole("head", 30, 0, 10, True, True),
    "back": DefaultHole("back", -110, -20, 0, False),
    "hand": DefaultHole("hand", 90, -10, 60, True),
    "knee": DefaultHole("knee", 130, 20, 100, True),
    "elbow": DefaultHole("elbow", -30, -20, 80, True),
    "heel": DefaultHole("heel", -60, 20, 90, True),
    "chin": DefaultHole("chin", 70, 0, 0, False),
}
_SETS: dict[int, tuple[str, ...]] = {
    7: ("shoulder", "head", "back", "hand"),
    9: ("shoulder", "head", "back", "hand", "knee"),
    11: ("shoulder", "head", "back", "hand", "knee", "elbow"),
    13: ("shoulder", "head", "back", "hand", "knee", "elbow", "heel"),
}
SETS = tuple(_SETS)


def default_holes(strings: int) -> tuple[DefaultHole, ...]:
    """The usual places for seven, nine, eleven or thirteen strings.

    >>> sum(2 if hole.is_pair else 1 for hole in default_holes(9))
    9
    """
    if strings not in _SETS:
        raise ValueError(f"strings is {strings}, not one of {', '.join(map(str, _SETS))}")
    return tuple(_PLACES[name] for name in _SETS[strings])


def weight_in_hand_g(figure_g: float, control_g: float, cloth_g: Iterable[float] = ()) -> float:
    """What the performer holds up: figure, its cloth and the control.

    >>> weight_in_hand_g(1200, 250, [90])
    1540
    """
    return figure_g + control_g + sum(cloth_g)
