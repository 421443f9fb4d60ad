"""What a mould's materials say of its steps: how long they dry, whom they are closed to.

The route's waits are those of its usual material, plaster; a mould of another material, or one
with times of its own, is waited for by its own clock, and a company's own material by its data
sheet. What is recorded wins over what is usual. `known` are the materials of the show's company,
read once by the caller.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from builds.core.casting.moments import PourClock
from builds.core.casting.values import Kind, Mark
from builds.models import Mould, Pour, Step
from builds.models.materials import OWN
from builds.models.routes import Scope
from builds.queries.materials import Materials, casting_times, mould_facts

USUAL_MOULD = "plaster"
NIGHT_MIN = 8 * 60  # 'one a day' means the next working day, not twenty-four hours later
SOME_DAY = datetime(2000, 1, 3, tzinfo=UTC)  # minutes are counted from it, whatever the day
Waits = Mapping[int, tuple[tuple[int, int], ...]]


def drying_min(mould: Mould, usual_min: int, known: Materials) -> int:
    """Minutes on the clock from making the mould to its first use."""
    if mould.dry_min is not None:
        return mould.dry_min
    if _dries_as_usual(mould.material, known):
        return usual_min
    dry_min = mould_facts(known.company, mould.material, materials=known).dry_min
    return usual_min if dry_min is None else dry_min


def _dries_as_usual(key: str, known: Materials) -> bool:
    """Whether the route's wait is that of the material: plaster, or like it and nothing said."""
    if not key.startswith(OWN):
        return key == USUAL_MOULD
    row = known.own.get(key)
    return row is not None and row.like == USUAL_MOULD and row.ready_min is None


def clock_of(pour: Pour) -> PourClock | None:
    """The clock of a pour that was poured; None of one still to pour."""
    if pour.poured_at is None:
        return None
    return PourClock(
        poured_at=pour.poured_at,
        drain_min=pour.drain_min,
        open_min=pour.open_min,
        cure_min=pour.cure_min,
        drained_at=pour.drained_at,
        opened_at=pour.opened_at,
    )


def usual_clock(mould: Mould, poured_at: datetime, known: Materials) -> PourClock:
    """The clock that a pour of the mould's casting material would have from an instant on."""
    times = casting_times(known.company, mould.casting_material, materials=known)
    return PourClock(poured_at, times.drain_min, times.open_min, times.cure_min)


def pour_wait_min(step: Step, known: Materials) -> int:
    """Minutes from the end of a pour's step until the casting can be worked on."""
    assert step.pour is not None
    pour, usual_min = step.pour, step.stage.wait_min
    recorded = clock_of(pour)
    if recorded is not None and step.finished_at is not None:
        due = recorded.cure_due
        return usual_min if due is None else _minutes(step.finished_at, due)
    start = pour.poured_at or SOME_DAY
    due = (recorded or usual_clock(pour.mould, start, known)).cure_due
    if due is None:
        return usual_min
    return max(0, _minutes(start, due) - step.work_min)


def wait_after_min(step: Step, waits: Iterable[int], known: Materials) -> int:
    """Minutes that what a step leaves behind is left alone; the route's where nothing follows it.

    `waits` are the minutes that those which follow it wait for it, by `step_waits`.
    """
    if step.pour is not None:
        return pour_wait_min(step, known)
    return max(waits, default=step.stage.wait_min)


def mould_hold_min(step: Step, known: Materials) -> int:
    """Minutes from the end of a pour's step until the mould is empty again."""
    assert step.pour is not None
    pour, usual_min = step.pour, step.stage.wait_min
    if pour.opened_at is not None and step.finished_at is not None:
        return _minutes(step.finished_at, pour.opened_at)
    start = pour.poured_at or SOME_DAY
    due = (clock_of(pour) or usual_clock(pour.mould, start, known)).open_due
    if due is None:
        return usual_min
    return _minutes(step.finished_at, due) if step.finished_at else _minutes(start, due)


def mould_rest_min(mould: Mould, known: Materials) -> int:
    """Minutes that the mould rests once it is empty: its own, else its casting material's."""
    if mould.rest_min:
        return mould.rest_min
    rest_min = casting_times(known.company, mould.casting_material, materials=known).rest_min
    if not rest_min:
        return 0
    # The material counts from one pour to the next, the plan from the end of what the mould held.
    held = usual_clock(mould, SOME_DAY, known).open_due
    taken = _minutes(SOME_DAY, held) if held else 0
    return max(0, rest_min - NIGHT_MIN - taken)


def by_the_mould(
    rows: Iterable[Step], waits: Waits, known: Materials
) -> dict[int, tuple[tuple[int, int], ...]]:
    """The waits of a show with those for moulds and castings as their own clocks have them.

    `rows` are the live steps with `pour__mould` and `stage` read.
    """
    steps = {row.pk: row for row in rows}
    return {
        pk: tuple((other, _wait(steps[pk], steps.get(other), wait, known)) for other, wait in found)
        for pk, found in waits.items()
        if pk in steps
    }


def _wait(step: Step, before: Step | None, wait_min: int, known: Materials) -> int:
    if before is None or not wait_min:
        return wait_min
    if before.pour is not None and step.pour is None:
        return pour_wait_min(before, known)
    is_made_by = before.pattern_id is not None or before.mould_id is not None
    if step.pour is not None and is_made_by and step.stage.scope == Scope.POUR:
        return first_use_wait(step.pour.mould, before, wait_min, known)
    return wait_min


def first_use_wait(mould: Mould, before: Step, wait_min: int, known: Materials) -> int:
    """Minutes from the end of the step that makes a mould to the mould's first use."""
    if mould.first_use is not None and before.finished_at is not None:
        return _minutes(before.finished_at, mould.first_use)
    return drying_min(mould, wait_min, known)


def dry_at(step: Step, first_use: datetime | None = None) -> datetime | None:
    """When what a finished step leaves behind is dry or hard; None where nothing waits.

    `first_use` is that of the mould which the step made. A pour still in its mould has no answer.
    """
    if step.finished_at is None or not step.stage.wait_min:
        return None
    if step.pour is not None:
        known = clock_of(step.pour)
        if known is None or known.opened_at is None:
            return None
        return known.cure_due
    if step.mould is not None:
        first_use = step.mould.first_use
    is_mould = step.stage.scope == Scope.GUISE and first_use is not None
    return first_use if is_mould else step.finished_at + timedelta(minutes=step.stage.wait_min)


def _minutes(start: datetime, end: datetime) -> int:
    return max(0, -int((start - end) // timedelta(minutes=1)))


def closed_marks(step: Step, known: Materials) -> frozenset[Mark]:
    """The marks that close a step by the materials of its mould, beside those of its stage."""
    mould = step.pour.mould if step.pour is not None else step.mould
    if mould is None:
        return frozenset()
    if step.pour is not None:
        material = known.find(Kind.CAST, mould.casting_material)
    else:
        material = known.find(Kind.MOULD, mould.material)
    return material.care.closed_to if material is not None else frozenset()
