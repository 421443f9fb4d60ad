"""A drawing, its weighed parts and a costume as the figure that the statics reckon with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from builds.core.statics import strings as core_strings
from builds.core.statics.parts import DrawnPart, soles_of, weigh_part
from builds.core.statics.values import (
    BALANCED_CENTRE_MM,
    KINDS,
    PIECE_OF_JOINT,
    TWIN_MASS,
    WEIGHED_MASS,
    Figure,
    Joint,
    Load,
    Piece,
)
from builds.loading.part_columns import part_columns
from builds.models import Control, CostumeFit, Drawing, DrawingHole, DrawingPart, Side
from scenes.models import Costume

LEG = ("foot", "shank", "thigh")
# How a weight on both arms or legs lies on their parts: common practice, no source.
_SPREAD = {
    "arms_pct": (("upper arm", 0.6), ("fore arm", 0.4)),
    "legs_pct": (("thigh", 0.6), ("shank", 0.4)),
}


@dataclass(frozen=True, slots=True)
class Weighed:
    """What a part was found to weigh, and where it balances. `is_own`: of this very figure."""

    mass_g: float
    centre: tuple[float, float] | None = None
    is_own: bool = True


def load_part(row: DrawingPart) -> DrawnPart:
    """A row of the drawing as the core's part."""
    return DrawnPart(
        kind=row.kind,
        **part_columns(row),
        fullness=row.fullness_pct / 100,
        material=row.material,
        density_kg_m3=row.density_kg_m3,
        wall_mm=None if row.wall_mm is None else float(row.wall_mm),
        hardware_g=float(row.hardware_g),
    )


def load_parts(drawing: Drawing) -> dict[str, DrawnPart]:
    """The drawing's parts by kind, from the torso outwards."""
    found = {row.kind: load_part(row) for row in drawing.parts.all()}
    return {kind: found[kind] for kind in KINDS if kind in found}


def hanging_hole(drawing: Drawing) -> DrawingHole | None:
    """The string hole that it hangs from."""
    return next((hole for hole in drawing.holes.all() if hole.hangs), None)


def load_figure(
    drawing: Drawing,
    weighed: Mapping[str, Weighed] | None = None,
    *,
    head_share: float | None = None,
) -> Figure | None:
    """The bare figure with its ballast; None while the torso or the hole it hangs from lacks.

    A weighed part wins over the reckoned one; a twin's weight is taken as good to five per cent.
    """
    parts, hole = load_parts(drawing), hanging_hole(drawing)
    if "torso" not in parts or hole is None:
        return None
    pieces = tuple(_piece(part, (weighed or {}).get(part.kind)) for part in parts.values())
    foot = next((parts[kind] for kind in LEG if kind in parts), None)
    return Figure(
        pieces=pieces,
        joints=tuple(_joints(drawing)),
        hole_x_mm=float(hole.x_mm),
        hole_y_mm=float(hole.y_mm),
        loads=tuple(
            Load(row.part, float(row.mass_g), float(row.x_mm), float(row.y_mm))
            for row in drawing.ballast.all()
        ),
        head_share=drawing.head_share_pct / 100 if head_share is None else head_share,
        soles=soles_of(foot) if foot is not None else (),
        lift_mm=float(drawing.lift_mm),
    )


def _piece(part: DrawnPart, weighed: Weighed | None) -> Piece:
    piece = weigh_part(part)
    if weighed is None:
        return piece
    piece = replace(
        piece,
        mass_g=weighed.mass_g,
        mass_within=WEIGHED_MASS if weighed.is_own else TWIN_MASS,
    )
    if weighed.centre is None:
        return piece
    x, y = weighed.centre
    return replace(piece, x_mm=x, y_mm=y, centre_within_mm=BALANCED_CENTRE_MM)


def _joints(drawing: Drawing) -> Iterable[Joint]:
    for row in drawing.joints.all():
        if row.kind in PIECE_OF_JOINT:
            yield Joint(
                row.kind,
                float(row.x_mm),
                float(row.y_mm),
                row.stop_back_deg,
                row.stop_forward_deg,
                row.is_held,
            )


def dress_figure(figure: Figure, costume: Costume, fit: CostumeFit | None) -> Figure:
    """The figure in a costume: its weight spread over the parts, stiff cloth holding joints."""
    fit = fit or CostumeFit(costume=costume)
    total = float(costume.weight_g or 0)
    loads = []
    if total > 0:
        shares = [("torso", fit.torso_pct / 100), ("head", fit.head_pct / 100)]
        for column, spread in _SPREAD.items():
            shares += [(kind, getattr(fit, column) / 100 * part) for kind, part in spread]
        for kind, share in shares:
            piece = figure.piece(kind) or figure.in_order[0]
            x = piece.x_mm + (float(fit.forward_mm) if piece.kind == "torso" else 0.0)
            if share > 0:
                loads.append(Load(piece.kind, total * share, x, piece.y_mm))
    held = {"hip": fit.holds_hips, "shoulder": fit.holds_shoulders}
    joints = tuple(
        replace(joint, is_held=True) if held.get(joint.kind) else joint for joint in figure.joints
    )
    return replace(figure, loads=(*figure.loads, *loads), joints=joints)


# Strings


def load_points(drawing: Drawing) -> list[core_strings.FigureHole]:
    """The figure's string holes, known by their comparison key."""
    return [
        core_strings.FigureHole(
            row.name_key,
            float(row.x_mm),
            float(row.y_mm),
            float(row.z_mm) if row.side == Side.PAIR else 0.0,
            2 if row.side == Side.PAIR else 1,
            row.hangs,
        )
        for row in drawing.holes.all()
    ]


def load_control(control: Control) -> list[core_strings.ControlHole]:
    """The control's holes and where their strings go."""
    return [
        core_strings.ControlHole(
            row.name, row.to_key, float(row.x_mm), float(row.y_mm), float(row.z_mm), row.is_taut
        )
        for row in control.strings.all()
    ]


def load_line(control: Control) -> core_strings.Line:
    """The line it is strung with."""
    return core_strings.Line(
        strength_n=float(control.strength_n),
        knot_factor=control.knot_factor_pct / 100,
        safety=float(control.safety),
        knot_mm=control.knot_mm,
        spare_mm=control.spare_mm,
    )
