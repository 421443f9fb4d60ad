"""Controls and their strings, and how high a performer's hand holds one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from builds.core.statics.strings import SETS, default_holes
from builds.models import Control, ControlString, DrawingHole, Reach, Side
from builds.queries.drawings import drawing_of
from company.core.names import name_key, tidy_name
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Guise
from scenes.services.problems import EVERYWHERE, Problems

USUAL_HEIGHT_MM = 600
MOST_STRINGS = 30
LEAST_REACH_MM, MOST_REACH_MM = 200, 2500
_TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class StringPlace:
    """A string as it is to be: the control's hole, the figure's hole, and where."""

    name: str
    to_hole: str
    x_mm: Decimal = Decimal(0)
    y_mm: Decimal = Decimal(0)
    z_mm: Decimal = Decimal(0)
    is_taut: bool = False


@transaction.atomic
def lay_string_set(*, guise: Guise, user: User, strings: int, version: int | None) -> Control:
    """Give the guise's control the usual holes for seven, nine or more strings.

    What was there is replaced. Lengths on the control go with the figure's height.
    """
    problems = Problems()
    if strings not in SETS:
        problems.add("strings", f"Choose one of {', '.join(map(str, SETS))} strings.")
    drawing = drawing_of(guise)
    if drawing is None:
        problems.add(EVERYWHERE, "There is no drawing of it yet, so no holes to string it from.")
    problems.refuse()
    assert drawing is not None
    scale = Decimal(drawing.height_mm) / USUAL_HEIGHT_MM
    points: dict[str, DrawingHole] = {hole.name_key: hole for hole in drawing.holes.all()}
    places = []
    for hole in default_holes(strings):
        point = points.get(hole.to)
        aside = Decimal(hole.z_mm) * scale
        if point is not None and point.side == Side.PAIR and hole.to in ("shoulder", "head"):
            # The bars are slightly wider than what they lift.
            aside += point.z_mm
        places.append(
            StringPlace(
                f"{hole.to} bar" if hole.is_pair else f"{hole.to} hole",
                hole.to,
                _tenth(Decimal(hole.x_mm) * scale),
                _tenth(Decimal(hole.y_mm) * scale),
                _tenth(aside),
                hole.is_taut,
            )
        )
    return save_control(guise=guise, user=user, version=version, values={}, strings=places)


@transaction.atomic
def save_control(
    *,
    guise: Guise,
    user: User,
    version: int | None,
    values: dict[str, Any],
    strings: Sequence[StringPlace] | None = None,
) -> Control:
    """Write the control and, where given, all its strings. Raises ValidationError, StaleEdit."""
    row = Control.objects.filter(guise=guise).prefetch_related("strings").first()
    before = _snapshot(row) if row else None
    if row is not None:
        claim_version(row, version)
        row = Control.objects.prefetch_related("strings").get(pk=row.pk)
    row = row or Control(guise=guise)
    for name, value in values.items():
        setattr(row, name, value)
    control_problems(row, strings).refuse()
    row.save()
    if strings is not None:
        row.strings.all().delete()
        ControlString.objects.bulk_create(
            ControlString(
                control=row,
                name=tidy_name(place.name),
                to_hole=tidy_name(place.to_hole),
                x_mm=place.x_mm,
                y_mm=place.y_mm,
                z_mm=place.z_mm,
                is_taut=place.is_taut,
                position=position,
            )
            for position, place in enumerate(strings)
        )
    stands = Control.objects.prefetch_related("strings").get(pk=row.pk)
    record_change(
        company=guise.character.show.company,
        user=user,
        noun="control",
        row=stands.pk,
        before=before,
        after=_snapshot(stands),
        said=f"set the strings of {guise}",
    )
    return stands


def control_problems(row: Control, strings: Sequence[StringPlace] | None) -> Problems:
    """All that is wrong with a control as it would stand."""
    problems = Problems()
    if not row.strength_n > 0:
        problems.add("strength_n", "The line breaks at more than nought.")
    if not 1 <= row.knot_factor_pct <= 100:
        problems.add("knot_factor_pct", "A knot leaves from 1 to 100 per cent of the line.")
    if not row.safety >= 1:
        problems.add("safety", "The safety factor is 1 or more.")
    if abs(row.tilt_deg) > 80:
        problems.add("tilt_deg", "At most 80° front down (above nought) or up.")
    if row.weight_g > 5000:
        problems.add("weight_g", "At most 5 kg.")
    if strings is None:
        return problems
    if len(strings) > MOST_STRINGS:
        problems.add(EVERYWHERE, f"At most {MOST_STRINGS} holes on a control.")
    names = [name_key(place.name) for place in strings]
    for n, place in enumerate(strings):
        if not tidy_name(place.name):
            problems.add(f"{n}-name", "Name the control's hole.")
        elif names[n] in names[:n]:
            problems.add(f"{n}-name", "The control has a hole of this name already.")
        if not tidy_name(place.to_hole):
            problems.add(f"{n}-to_hole", "Say which hole of the figure it goes to.")
        for field in ("x_mm", "y_mm", "z_mm"):
            if abs(getattr(place, field)) > 1000:
                problems.add(f"{n}-{field}", "At most a metre from the grip.")
    return problems


@transaction.atomic
def set_reach(*, company: Company, user: User, name: str, reach_mm: int | None) -> Reach | None:
    """Say how high above the bridge's floor somebody's hand holds a control; None forgets it."""
    problems = Problems()
    name = tidy_name(name)
    if not name:
        problems.add("name", "Say who.")
    if len(name) > 80:
        problems.add("name", f"At most 80 letters, not {len(name)}.")
    if reach_mm is not None and not LEAST_REACH_MM <= reach_mm <= MOST_REACH_MM:
        problems.add("reach_mm", f"From {LEAST_REACH_MM} to {MOST_REACH_MM} mm above its floor.")
    row = Reach.objects.filter(company=company, name_key=name_key(name)).first()
    if reach_mm is None and row is None:
        problems.add("reach_mm", "Say how high; blank forgets what was said, and nothing was.")
    problems.refuse()
    before = snapshot(row) if row else None
    if reach_mm is None:
        assert row is not None
        row.delete()
        row = None
    else:
        row = row or Reach(company=company, name=name)
        row.reach_mm = reach_mm
        row.save()
    record_change(
        company=company,
        user=user,
        noun="reach",
        row=name[:40],
        before=before,
        after=snapshot(row) if row else None,
        said=f"said how high {name} holds a control",
    )
    return row


def _snapshot(control: Control) -> dict[str, Any]:
    return {**snapshot(control), "strings": [snapshot(row) for row in control.strings.all()]}


def _tenth(value: Decimal) -> Decimal:
    return value.quantize(_TENTH, "ROUND_HALF_UP")
