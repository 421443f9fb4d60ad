"""Bodies of the demo: drawings with parts, weights, a trial hang, controls, reaches and venues."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from builds.core.full_size.proportions import heads_shares
from builds.demo.paper_drawing import HOLES, PARTS, WHOSE, lay_demo_drawing
from builds.models import Drawing, Figure, JointKind
from builds.queries.drawings import current_drawing
from builds.services.bridges import add_venue, change_bridge
from builds.services.controls import lay_string_set, save_control, set_reach
from builds.services.drawings import start_drawing
from builds.services.hangs import record_trial, save_fit, weigh_part
from builds.services.parts import lay_usual_parts, put_ballast, save_hanging, save_part
from builds.services.placed import HolePlace, JointPlace, Placing
from builds.services.placing import place_drawing
from company import clock
from company.models import User
from scenes.models import Costume, Guise, Show
from scenes.services.costumes import edit_costume

# Upright bodies after the trade's six heads: role, guise, height in mm.
UPRIGHT = (("Jory Tarrow", "at thirty", 560), ("Captain Pell", "", 590))
# What a costume weighs, in grams; one is left for the scale.
CLOTH_G = {
    ("Jory Tarrow", "at thirty", "grey coat"): 190,
    ("Jory Tarrow", "at sixty", "pilot coat"): 240,
    ("Captain Pell", "", "uniform"): 210,
    ("Captain Pell", "", "drowned"): 130,
}
STOPS = {
    "neck": (False, -30, 30),
    "shoulder": (False, None, None),
    "elbow": (False, 0, 110),
    "wrist": (False, -50, 50),
    "hip": (False, -25, 80),
    "knee": (False, -95, 0),
    "ankle": (False, -20, 10),
}
# The captain's parts came off the scale when he was jointed: grams of one piece.
PELL_ON_SCALE = {
    "torso": 838, "head": 118, "upper arm": 33, "fore arm": 21, "hand": 17, "thigh": 88,
    "shank": 47, "foot": 27,
}  # fmt: skip
REACHES = (("Ines", 960), ("Odile", 905))
VENUES = (
    ("Saltmarsh Hall", 1200, 1000, "a stage box with its own bridge"),
    ("The Lamp Loft", 1750, 990, "ask for the second ladder"),
)


def lay_demo_bodies(show: Show, user: User) -> None:
    """Draw three bodies, size their parts, string them; say who holds a control how high, where."""
    for (role, name, worn), grams in CLOTH_G.items():
        costume = Costume.objects.get(guise=_guise(show, role, name), name=worn)
        edit_costume(show=show, user=user, costume=costume, weight_g=grams)
    stooped = _guise(show, *WHOSE)
    _size_parts(lay_demo_drawing(stooped, user), user)
    for role, name, height in UPRIGHT:
        _lay_upright(_guise(show, role, name), user, height)
    pell = _guise(show, "Captain Pell", "")
    drawing = current_drawing(pell.pk)
    assert drawing is not None
    for guise in (stooped, *(_guise(show, role, name) for role, name, _ in UPRIGHT)):
        control = lay_string_set(guise=guise, user=user, strings=9, version=None)
        values: dict[str, Any] = {
            "line": "black braided line, 30 lb", "tilt_deg": Decimal(0), "weight_g": 260,
        }  # fmt: skip
        save_control(guise=guise, user=user, version=control.version, values=values)
    coat = Costume.objects.get(guise=stooped, name="pilot coat")
    fit = {
        "torso_pct": 62, "head_pct": 6, "arms_pct": 16, "legs_pct": 16,
        "forward_mm": Decimal(-8), "holds_hips": True, "holds_shoulders": False,
    }  # fmt: skip
    save_fit(costume=coat, user=user, version=None, values=fit)
    _lay_stages(show, user)


def record_demo_hangs(show: Show, user: User, at: datetime) -> None:
    """What came off the scale and hung on the test control since."""
    with clock.fixed_at(at):
        pell = _first_figure(show, "Captain Pell", "")
        if pell is not None:
            for part, grams in PELL_ON_SCALE.items():
                weigh_part(figure=pell, user=user, part=part, mass_g=Decimal(grams))
        thirty = _first_figure(show, "Jory Tarrow", "at thirty")
        if thirty is not None:
            record_trial(
                figure=thirty,
                user=user,
                lean_deg=Decimal("3.5"),
                within_deg=Decimal("0.5"),
                note="on the shop's test control; he tips on to his toes",
            )


def _guise(show: Show, role: str, name: str) -> Guise:
    return Guise.objects.select_related("character__show__company").get(
        character__show=show, character__name=role, name=name
    )


def _first_figure(show: Show, role: str, name: str) -> Figure | None:
    found: Figure | None = (
        Figure.objects.filter(show=show, guise__character__name=role, guise__name=name)
        .select_related("guise__character", "show__company")
        .order_by("number")
        .first()
    )
    return found


def _size_parts(drawing: Drawing, user: User) -> None:
    """The parts as they are on his paper: lime, hollowed a little, the head a shell."""
    for kind, part in PARTS.items():
        is_head = kind == "head"
        values = {
            "shape": part.shape,
            "top_x_mm": _tenth(part.top[0]),
            "top_y_mm": _tenth(part.top[1]),
            "bottom_x_mm": _tenth(part.low[0]),
            "bottom_y_mm": _tenth(part.low[1]),
            "width_mm": _tenth(part.width_mm),
            "depth_mm": _tenth(part.depth_mm),
            "width_low_mm": None if part.width_low_mm is None else _tenth(part.width_low_mm),
            "depth_low_mm": None if part.depth_low_mm is None else _tenth(part.depth_low_mm),
            "made_of": "casting" if is_head else "wood",
            "material": "neoprene slip" if is_head else "lime",
            "wall_mm": Decimal(3) if is_head else None,
            "hardware_g": Decimal(18) if kind == "torso" else Decimal(3),
        }
        save_part(drawing=drawing, user=user, version=None, kind=kind, values=values)
    _set_stops(drawing, user)


def _set_stops(drawing: Drawing, user: User) -> None:
    save_hanging(
        drawing=drawing,
        user=user,
        version=None,
        head_share_pct=60,
        lift_mm=Decimal(0),
        stops=STOPS,
    )


def _lay_upright(guise: Guise, user: User, height_mm: int) -> None:
    """A body after six heads, with the usual holes, and parts of usual sizes."""
    drawing = start_drawing(
        guise=guise, user=user, height_mm=Decimal(height_mm), shares=heads_shares()
    )
    joints = {joint.kind: joint for joint in drawing.joints.all()}
    scale = height_mm / 540
    holes = []
    for name, (part, side, hangs, (x, _, z)) in HOLES.items():
        up = _hole_height(name, joints, height_mm)
        forward = Decimal(0) if hangs else _tenth(x * scale * (0.35 if name == "head" else 0.8))
        holes.append(HolePlace(0, name, part, side, hangs, forward, _tenth(up), _tenth(z * scale)))
    places = tuple(
        JointPlace(kind, joint.x_mm, joint.y_mm, joint.z_mm) for kind, joint in joints.items()
    )
    drawing = place_drawing(
        drawing=drawing,
        user=user,
        version=None,
        placing=Placing(height_mm=Decimal(height_mm), joints=places, holes=tuple(holes)),
    )
    lay_usual_parts(drawing=drawing, user=user, version=None)
    _set_stops(drawing, user)
    if guise.character.name == "Captain Pell":
        put_ballast(
            drawing=drawing,
            user=user,
            version=None,
            x_mm=Decimal(-34),
            y_mm=Decimal(330),
            mass_g=Decimal(15),
            metal="brass",
            words="let into the small of the back",
        )


def _hole_height(name: str, joints: dict[str, Any], height_mm: int) -> float:
    shoulder = float(joints[JointKind.SHOULDER].y_mm)
    return {
        "shoulder": shoulder + 0.02 * height_mm,
        "head": 0.93 * height_mm,
        "back": 0.62 * height_mm,
        "hand": float(joints[JointKind.WRIST].y_mm) - 0.03 * height_mm,
        "knee": float(joints[JointKind.KNEE].y_mm) + 0.02 * height_mm,
    }[name]


def _lay_stages(show: Show, user: User) -> None:
    for name, reach in REACHES:
        set_reach(company=show.company, user=user, name=name, reach_mm=reach)
    show.refresh_from_db()
    change_bridge(
        company=show.company,
        user=user,
        show=show,
        version=None,
        bridge_mm=show.bridge_mm or 1500,
        rail_mm=1050,
        has_edge_board=True,
        looked_at_by="the hall's own rigger",
    )
    for name, height, rail, note in VENUES:
        venue = add_venue(company=show.company, user=user, name=name, note=note)
        change_bridge(
            company=show.company,
            user=user,
            venue=venue,
            version=None,
            bridge_mm=height,
            rail_mm=rail,
            has_edge_board=True,
            looked_at_by="the house's technician",
        )


def _tenth(value: float) -> Decimal:
    return Decimal(str(value)).quantize(Decimal("0.1"), "ROUND_HALF_UP")
