"""A whole show at another scale: heights, weights and strings of every guise that is drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

from builds.core.statics.scaling import Scaled, scale_figure
from builds.core.statics.strings import Held, StringRow, find_strings
from builds.loading.statics import load_control, load_line, load_points
from builds.queries.strings import USUAL_REACH_MM, read_hung_guises, string_set
from scenes.models import Guise, Show


@dataclass(frozen=True)
class ScaledGuise:
    """A guise as it is and as it would be."""

    guise: Guise
    height_mm: float
    mass_g: float
    scaled: Scaled
    strings_before: tuple[StringRow, ...] = ()
    strings_after: tuple[StringRow, ...] = ()
    is_own: bool = True

    @property
    def strings(self) -> list[tuple[StringRow, StringRow]]:
        """Each string before and after."""
        return list(zip(self.strings_before, self.strings_after, strict=False))


def read_scaled(show: Show, percent: float) -> list[ScaledGuise]:
    """Every guise that hangs, at so many per cent. A flat number of queries."""
    scale = percent / 100
    found = []
    for guise, drawing, control, hung in read_hung_guises(show):
        before: tuple[StringRow, ...] = ()
        after: tuple[StringRow, ...] = ()
        if control is not None and show.bridge_mm is not None:
            hand = show.bridge_mm + USUAL_REACH_MM
            stands = string_set(drawing, control, hung, hand)
            before = stands.rows if stands is not None else ()
            points = [
                replace(p, x_mm=p.x_mm * scale, y_mm=p.y_mm * scale, z_mm=p.z_mm * scale)
                for p in load_points(drawing)
            ]
            if hand > max((p.y_mm for p in points), default=0) + 100:
                after = tuple(
                    find_strings(
                        load_control(control),
                        points,
                        Held(hand, float(control.tilt_deg)),
                        load_line(control),
                        on_body_g=hung.on_body_g * scale**3,
                        on_head_g=hung.on_head_g * scale**3,
                    )
                )
        found.append(
            ScaledGuise(
                guise=guise,
                height_mm=float(drawing.height_mm),
                mass_g=hung.figure.mass_g,
                scaled=scale_figure(float(drawing.height_mm), hung.figure.mass_g, scale),
                strings_before=before,
                strings_after=after,
                is_own=drawing.guise_id == guise.pk,
            )
        )
    return found
