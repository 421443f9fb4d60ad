"""What the demo's heads are sculpted, moulded and cast in, what was measured, and the shelf."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from builds.models import Mould
from builds.services.materials import add_own_material, add_own_pair
from builds.services.mould_materials import choose_materials, set_amounts
from builds.services.stock import add_lot
from company.models import User
from scenes.models import Show

# Role and part: sculpted in, moulded in, cast in. The heron's would foam: it is caught in time.
MATERIALS = {
    ("The Heron", "head"): ("oil clay with sulphur", "plaster", "urethane resin"),
    ("Gulls", "head"): ("water clay", "plaster", "latex slip"),
}
USUAL = ("water clay", "plaster", "neoprene slip")

# Role, guise, part: water in the bucket before and with the sculpt under it, in ml, and the mould
# box inside, in mm.
MEASURED = {
    ("Jory Tarrow", "at nine", "head"): (3000, 3410, (140, 130, 130)),
    ("Jory Tarrow", "at sixty", "head"): (3000, 3540, (150, 140, 150)),
    ("Captain Pell", "", "head"): (3000, 3610, (155, 145, 155)),
    ("The Heron", "", "head"): (3000, 3380, (240, 110, 130)),
    ("Jory Tarrow", "at nine", "hands"): (1000, 1062, (110, 90, 60)),
    ("Jory Tarrow", "at sixty", "hands"): (1000, 1096, (130, 100, 65)),
    ("Captain Pell", "", "hands"): (1000, 1110, (135, 105, 65)),
}

# What for, material, lot, how much before this week's pours (g or ml), opened and best before in
# days from this Monday.
LOTS = (
    ("cast", "neoprene slip", "N-114", "ml", 670, -125, 17, "cold shelf, must not freeze"),
    ("cast", "latex slip", "L-22", "ml", 750, -25, 210, "cold shelf"),
    ("mould", "plaster", "P-7", "g", 11_500, -30, 160, "dry bin under the bench"),
    ("cast", "urethane resin", "U-3", "g", 900, None, 120, "metal cupboard"),
    ("sculpt", "water clay", "C-2", "g", 9_000, -60, None, "clay bin"),
)
OWN_MATERIAL = {
    "kind": "sculpt",
    "name": "Grey river clay",
    "like": "water clay",
    "density_kg_m3": 1750,
    "source": "weighed a litre of it here",
}
OWN_PAIR = {
    "table": "sculpt",
    "first": "oil clay",
    "second": "platinum silicone",
    "verdict": "no",
    "reason": "Two patches of our clay stayed sticky for three days.",
    "way": "Mould it in plaster, or take tin silicone.",
}


def choose_demo_materials(show: Show, lead: User) -> None:
    """Say of every mould what it is sculpted, moulded and cast in."""
    for mould in _moulds(show):
        part = (mould.pattern.made_for.character.name, mould.pattern.part)
        sculpt, moulded, cast = MATERIALS.get(part, USUAL)
        choose_materials(
            mould=mould, user=lead, version=None, sculpt=sculpt, moulded=moulded, cast=cast
        )


def measure_demo_parts(show: Show, lead: User) -> None:
    """What was measured of the heads before they were moulded."""
    for mould in _moulds(show):
        guise = mould.pattern.made_for
        found = MEASURED.get((guise.character.name, guise.name, mould.pattern.part))
        if found is not None:
            before_ml, after_ml, box = found
            names = ("box_length_mm", "box_width_mm", "box_height_mm")
            values = {"way": "water", "before_ml": before_ml, "after_ml": after_ml}
            values |= dict(zip(names, box, strict=True))
            set_amounts(mould=mould, user=lead, version=None, values=values)


def fill_demo_shelf(show: Show, lead: User, day: Callable[[int], date]) -> None:
    """The shelf as it stands, a clay of their own, and what they found out about a pair."""
    company = show.company
    add_own_material(company=company, user=lead, values=OWN_MATERIAL)
    add_own_pair(company=company, user=lead, values=OWN_PAIR)
    for kind, material, code, unit, left, opened, best, place in LOTS:
        values = {
            "kind": kind,
            "material": material,
            "code": code,
            "unit": unit,
            "left": left,
            "opened_on": day(opened) if opened is not None else None,
            "best_before": day(best) if best is not None else None,
            "place": place,
        }
        add_lot(company=company, user=lead, values=values)


def _moulds(show: Show) -> list[Mould]:
    rows = Mould.objects.filter(pattern__show=show).exclude(state=Mould.State.RETIRED)
    return list(rows.select_related("pattern__show__company", "pattern__made_for__character"))
