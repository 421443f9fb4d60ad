"""How a figure hangs, in sentences: the lean and its range, swings, what trues it."""

from __future__ import annotations

from builds.core.statics.lean import Lean
from builds.core.statics.rest import RestPose
from builds.core.statics.truing import Truing
from builds.core.statics.values import Figure

LEVEL_DEG = 0.25
_NAMES = {"shank": "lower leg"}
_PLURALS = {
    "hand": "hands",
    "foot": "feet",
    "shank": "lower legs",
    "torso": "torso",
    "head": "head",
}


def degrees(value: float) -> str:
    """'2.5°', without a sign.

    >>> degrees(-2.46), degrees(3.0), degrees(0.04)
    ('2.5°', '3°', '0°')
    """
    return f"{abs(value):.1f}".removesuffix(".0") + "°"


def way(value: float) -> str:
    """'forward' or 'back'."""
    return "forward" if value >= 0 else "back"


def part_name(kind: str) -> str:
    """'lower leg' for a shank."""
    return _NAMES.get(kind, kind)


def part_names(kind: str) -> str:
    """'thighs', 'feet', 'torso'."""
    return _PLURALS.get(kind, f"{kind}s")


def say_lean(lean: Lean) -> str:
    """'leans 2.5° back, between 1° and 4° back', said of a subject.

    >>> say_lean(Lean(-2.5, -4, -1)), say_lean(Lean(0.1, -1.2, 1.4))
    ('leans 2.5° back, between 1° and 4°', 'hangs as drawn, within 1.2° back and 1.4° forward')
    """
    low, high = lean.low_deg, lean.high_deg
    if abs(lean.lean_deg) < LEVEL_DEG:
        if low < 0 < high:
            return f"hangs as drawn, within {degrees(low)} back and {degrees(high)} forward"
        return f"hangs as drawn, within {degrees(max(abs(low), abs(high)))}"
    said = f"leans {degrees(lean.lean_deg)} {way(lean.lean_deg)}"
    if high - low < 0.1:
        return said
    if low * high >= 0:
        near, far = sorted((abs(low), abs(high)))
        return f"{said}, between {degrees(near)} and {degrees(far)}"
    return f"{said}, between {degrees(low)} back and {degrees(high)} forward"


def say_seat(truing: Truing) -> str:
    """Where the weight that turns it sits against the string holes."""
    if truing.drop_mm <= 0:
        return "Its weight sits above its string holes: it would turn over."
    off = abs(truing.forward_mm)
    if off < 0.5:
        return f"Its weight sits under the string holes, {truing.drop_mm:.0f} mm below them."
    side = "in front of" if truing.forward_mm > 0 else "behind"
    return (
        f"Its weight sits {off:.0f} mm {side} the string holes and {truing.drop_mm:.0f} mm below "
        "them."
    )


def say_swings(figure: Figure, rest: RestPose) -> list[str]:
    """Which limbs hang otherwise than drawn, and what the feet do."""
    said = []
    for kind in ("head", "upper arm", "fore arm", "hand", "thigh", "shank", "foot"):
        turned = rest.turned_deg.get(kind, 0.0)
        if abs(turned) < 1.0:
            continue
        stop = ", against the stop" if kind in rest.at_stop else ""
        if kind == "head":
            # Turning as a forward swing does, the crown goes back.
            said.append(f"The head tips {degrees(turned)} {way(-turned)}{stop}.")
        elif kind == "foot":
            toes = "up" if turned > 0 else "down"
            said.append(f"The toes point {degrees(turned)} further {toes} than drawn{stop}.")
        else:
            side = "in front of" if turned > 0 else "behind"
            said.append(f"The {part_names(kind)} hang {degrees(turned)} {side} the drawing{stop}.")
    if rest.clearance_mm is not None:
        if rest.floor_share > 0.002:
            share = (
                f"{rest.floor_share * 100:.0f} per cent" if rest.floor_share >= 0.01 else "a little"
            )
            said.append(f"The feet touch the floor, which carries {share} of the weight.")
        else:
            said.append(f"The feet hang {rest.clearance_mm:.0f} mm clear of the floor.")
    return said


def say_truing(truing: Truing, lean_deg: float, metal: str = "brass") -> list[str]:
    """What brings it to the drawing, each with its number."""
    if abs(lean_deg) < LEVEL_DEG:
        return ["Nothing is needed: it hangs as drawn."]
    said = []
    if truing.ballast is not None and truing.ballast.mass_g >= 0.5:
        said.append(
            f"{truing.ballast.mass_g:.0f} g of {metal} at the chosen place "
            f"({_place(truing.ballast.at)}){_remains(truing.ballast.lean_deg)}"
        )
    elif truing.ballast_refused:
        said.append(f"No ballast helps at the chosen place: {truing.ballast_refused}.")
    if truing.holes is not None:
        said.append(
            f"String holes {abs(truing.holes.by_mm):.1f} mm further "
            f"{way(truing.holes.by_mm)}{_remains(truing.holes.lean_deg)}"
        )
    if truing.hollow is not None:
        said.append(
            f"{truing.hollow.mass_g:.0f} g hollowed out of the torso, of "
            f"{truing.hollow.of_g:.0f} g, {_place(truing.hollow.at)}"
            f"{_remains(truing.hollow.lean_deg)}"
        )
    for lighter in truing.lighter[:2]:
        each = " each" if lighter.kind not in ("torso", "head") else ""
        said.append(
            f"{lighter.less_g:.0f} g less in the {part_names(lighter.kind)}{each}, of "
            f"{lighter.of_g:.0f} g{_remains(lighter.lean_deg)}"
        )
    return said


def _place(at: tuple[float, float]) -> str:
    x, y = at
    side = "in front of" if x >= 0 else "behind"
    return f"{abs(x):.0f} mm {side} the line, {y:.0f} mm up"


def _remains(lean_deg: float) -> str:
    if abs(lean_deg) < LEVEL_DEG:
        return "."
    return f"; {degrees(lean_deg)} {way(lean_deg)} then remains."
