"""A figure at another scale: lengths by the scale, weights by its cube, righting by the fourth.

Cloth and string do not grow lighter in bending as fast as the figure does in weight; a small figure
is therefore slow to fall true. The bounds are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

LIGHTEST_G = 400.0
LEAST_RIGHTING = 0.35  # of the full figure's moment per degree
HEAVY_G = 2500.0  # common practice, no source: tires the arm


@dataclass(frozen=True, slots=True)
class Scaled:
    """A figure at `scale` of the first: height, weight, and what rights it beside the first's."""

    scale: float
    height_mm: float
    mass_g: float
    righting: float

    @property
    def is_too_light(self) -> bool:
        """Whether it may hang in its cloth and strings instead of falling true."""
        return self.scale < 1 and (self.mass_g < LIGHTEST_G or self.righting < LEAST_RIGHTING)

    @property
    def is_heavy(self) -> bool:
        """Whether it tires the arm."""
        return self.mass_g > HEAVY_G


def scale_figure(height_mm: float, mass_g: float, scale: float) -> Scaled:
    """Height by the scale, weight by its cube (square-cube law, Galilei 1638, Discorsi).

    >>> scaled = scale_figure(600, 1000, 1.2)
    >>> round(scaled.height_mm), round(scaled.mass_g)
    (720, 1728)
    """
    if not 0.05 <= scale <= 20:
        raise ValueError(f"scale is {scale}, outside 0.05 to 20")
    return Scaled(scale, height_mm * scale, mass_g * scale**3, scale**4)
