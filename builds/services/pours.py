"""A pour as it happens: filled, drained, opened, or struck because it was a mistake."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from builds.core.casting.life import Ready, is_ready
from builds.models import Casting, Mould, Pour, Step
from builds.models.routes import Scope
from builds.queries.hindrances import closed_to
from builds.queries.materials import Materials, casting_times
from builds.queries.mould_states import state_of
from builds.services.hours import own_role
from builds.services.mould_rows import next_number
from builds.services.plans import steps_changed
from company import clock
from company.models import Maker, User
from company.services.changes import claim_version, record_change, snapshot

LONGEST_LOT, LONGEST_MIX, LONGEST_REASON, LONGEST_NOTE = 40, 200, 300, 4000
LONGEST_AGO = timedelta(days=3 * 365)


class MouldNotReady(Exception):
    """The mould should wait, and nobody said why it is poured all the same."""

    def __init__(self, ready: Ready) -> None:
        super().__init__("; ".join(ready.warnings))
        self.ready = ready


@transaction.atomic
def record_pour(
    *,
    mould: Mould,
    user: User,
    maker: Maker | None,
    lot: str = "",
    mix: str = "",
    poured_at: datetime | None = None,
    reason: str = "",
) -> Pour:
    """Somebody has filled the mould. The next pour planned in it is the one, else one more.

    `poured_at` None: now. Raises MouldNotReady where it is still drying, resting, due for a
    drying day or used up and no `reason` is given; ValidationError by field for what is wrong,
    for a mould that is retired, not made or full, and for a person to whom the pour is closed.
    """
    Mould.objects.select_for_update().get(pk=mould.pk)
    now = clock.now()
    at = poured_at or now
    lot, mix, reason = (" ".join(text.split()) for text in (lot, mix, reason))
    wrong = _pour_problems(mould, lot, mix, reason, at, now)
    if wrong:
        raise ValidationError(wrong)
    _check_ready(mould, at, reason)
    pour = _next_pour(mould)
    before = snapshot(pour)
    times = casting_times(mould.pattern.show.company, mould.casting_material)
    pour.poured_at, pour.maker, pour.lot, pour.mix, pour.reason = at, maker, lot, mix, reason
    pour.material = mould.casting_material
    pour.drain_min, pour.open_min, pour.cure_min = times.drain_min, times.open_min, times.cure_min
    pour.version += 1
    pour.save()
    step = _step_of(pour) or _made_step(pour, user)
    if step is not None and (closed := closed_to(step, maker, own_role(user, step))):
        raise ValidationError({"maker": f"{closed} Nothing was recorded."})
    if step is not None and step.begun_at is None:
        # Where nothing is drained the work ends with the filling; else it ends with the draining.
        step.begun_at, step.begun_by = at, maker
        step.finished_at = None if pour.drain_min is not None else at
        _save_step(step, user)
    record_pour_change(pour, user, before)
    steps_changed(mould.pattern.show)
    return pour


def _pour_problems(
    mould: Mould, lot: str, mix: str, reason: str, at: datetime, now: datetime
) -> dict[str, str]:
    wrong: dict[str, str] = {}
    for name, text, longest in (
        ("lot", lot, LONGEST_LOT),
        ("mix", mix, LONGEST_MIX),
        ("reason", reason, LONGEST_REASON),
    ):
        if len(text) > longest:
            wrong[name] = f"At most {longest} letters, not {len(text)}."
    if at > now + timedelta(minutes=1):
        wrong["poured_at"] = "That is still to come: a pour is recorded once the mould is filled."
    elif at < now - LONGEST_AGO:
        wrong["poured_at"] = "That is years ago: look at the date."
    elif mould.made_at is not None and at < mould.made_at:
        wrong["poured_at"] = "That is before the mould was made."
    return wrong


def _check_ready(mould: Mould, at: datetime, reason: str) -> None:
    ready = is_ready(state_of(mould, Materials(mould.pattern.show.company)), at)
    if ready.forbidden:
        said = " and ".join(ready.forbidden)
        raise ValidationError({"mould": f"Nothing can be poured in it: {said}."})
    if ready.warnings and not reason:
        raise MouldNotReady(ready)


def _next_pour(mould: Mould) -> Pour:
    """The first pour planned in the mould; where none is, one more with its castings."""
    planned = Pour.objects.filter(mould=mould, poured_at=None, struck_at=None)
    # Those that a figure waits for come before those that are poured in case another fails.
    rows = sorted(
        planned.prefetch_related("castings"),
        key=lambda pour: (all(c.figure_id is None for c in pour.castings.all()), pour.number),
    )
    if rows:
        return rows[0]
    pour = Pour.objects.create(mould=mould, number=next_number(mould))
    last = Casting.objects.filter(pattern=mould.pattern_id).aggregate(n=Max("number"))["n"] or 0
    for n in range(1, mould.cavities + 1):
        Casting.objects.create(pour=pour, pattern_id=mould.pattern_id, number=last + n)
    return pour


def _step_of(pour: Pour) -> Step | None:
    rows = Step.objects.filter(pour=pour, struck_at=None, stage__scope=Scope.POUR)
    rows = rows.select_related("stage", "show__company", "pour__mould__pattern")
    return rows.order_by("stage__position", "pk").first()


def _made_step(pour: Pour, user: User) -> Step | None:
    """The step of a pour that nobody had planned: it is wanted now that it is poured."""
    from builds.services.steps import make_steps

    make_steps(show=pour.mould.pattern.show, user=user)
    return _step_of(pour)


@transaction.atomic
def drain_pour(
    *, pour: Pour, user: User, at: datetime | None = None, version: int | None = None
) -> Pour:
    """What is left in the mould was poured out: the work of the pour is done, its wait begins."""
    before = claim_pour(pour, version)
    if pour.poured_at is None:
        raise ValidationError("It is not poured yet.")
    if pour.opened_at is not None or pour.drained_at is not None:
        raise ValidationError("It was drained already.")
    pour.drained_at = instant_of_press(at, pour.poured_at, "drained_at", "drained", "poured")
    pour.save()
    finish_pour_step(pour, user, pour.drained_at)
    record_pour_change(pour, user, before)
    steps_changed(pour.mould.pattern.show)
    return pour


@transaction.atomic
def edit_pour(*, pour: Pour, user: User, version: int | None, **values: Any) -> Pour:
    """Write lot, mix, note, and the minutes of its clock; only what is given."""
    unknown = values.keys() - {"lot", "mix", "note", "drain_min", "open_min", "cure_min"}
    if unknown:
        raise TypeError(f"cannot write {sorted(unknown)!r} here")
    before = claim_pour(pour, version)
    wrong: dict[str, str] = {}
    for name, value in values.items():
        setattr(pour, name, value.strip() if isinstance(value, str) else value)
    for name, longest in (("lot", LONGEST_LOT), ("mix", LONGEST_MIX), ("note", LONGEST_NOTE)):
        if len(getattr(pour, name)) > longest:
            wrong[name] = f"At most {longest} letters, not {len(getattr(pour, name))}."
    for name in ("drain_min", "open_min", "cure_min"):
        value = getattr(pour, name)
        if value is not None and not 0 <= value <= 60 * 24 * 60:
            wrong[name] = "From nought to 60 days."
    if wrong:
        raise ValidationError(wrong)
    pour.save()
    record_pour_change(pour, user, before)
    steps_changed(pour.mould.pattern.show)
    return pour


@transaction.atomic
def strike_pour(*, pour: Pour, user: User, words: str, version: int | None = None) -> Pour:
    """It was recorded by mistake: it is struck through and kept, and another is planned for it.

    Refused where a casting of it is judged already: that one was in somebody's hands.
    """
    before = claim_pour(pour, version)
    if pour.poured_at is None:
        raise ValidationError("It is not poured yet, so there is nothing to strike.")
    if not words.strip():
        raise ValidationError({"words": "Say in a few words what was wrong with the record."})
    if len(words.strip()) > LONGEST_REASON:
        raise ValidationError({"words": f"At most {LONGEST_REASON} letters."})
    castings = list(pour.castings.filter(struck_at=None))  # type: ignore[attr-defined]
    if any(casting.result for casting in castings):
        raise ValidationError(
            "A casting of it has come out, so it was poured. Correct the casting instead."
        )
    now = clock.now()
    pour.struck_at, pour.struck_words = now, words.strip()
    pour.save()
    for casting in castings:
        casting.struck_at, casting.figure, casting.place = now, None, ""
        casting.version += 1
        casting.save(update_fields=["struck_at", "figure", "place", "version"])
    Step.objects.filter(pour=pour).update(struck_at=now)
    record_pour_change(pour, user, before)
    from builds.services.steps import make_steps

    make_steps(show=pour.mould.pattern.show, user=user)
    steps_changed(pour.mould.pattern.show)
    return pour


def follow_pour_step(step: Step, before: dict[str, Any]) -> None:
    """A pour follows its step where it is recorded there: poured when the step is finished.

    Taking the step back takes the pour back, unless something was recorded of it since.
    `before` are the step's columns as they were.
    """
    pour = step.pour
    assert pour is not None
    if step.finished_at is not None:
        if pour.poured_at is None:
            times = casting_times(step.show.company, pour.mould.casting_material)
            pour.poured_at, pour.maker = step.begun_at, step.begun_by
            pour.material = pour.mould.casting_material
            pour.drain_min, pour.open_min = times.drain_min, times.open_min
            pour.cure_min = times.cure_min
        if pour.drain_min is not None and pour.drained_at is None:
            pour.drained_at = step.finished_at
        pour.save()
        return
    is_taken_back = before["finished_at"] or (before["begun_at"] and step.begun_at is None)
    if pour.poured_at is None or not is_taken_back:
        return
    if pour.opened_at is not None or pour.lot or pour.mix:
        if pour.opened_at is not None or step.begun_at is None:
            raise ValidationError("The pour is on record: correct or strike it on its own page.")
        pour.drained_at = None
    else:
        pour.poured_at = pour.drained_at = pour.maker = None
        pour.drain_min = pour.open_min = pour.cure_min = None
    pour.save()


def finish_pour_step(pour: Pour, user: User, at: datetime) -> None:
    step = _step_of(pour)
    if step is not None and step.finished_at is None:
        if step.begun_at is None:
            step.begun_at, step.begun_by = pour.poured_at, pour.maker
        step.finished_at = max(at, step.begun_at or at)
        _save_step(step, user)


def _save_step(step: Step, user: User) -> None:
    step.version += 1
    step.save()
    record_change(
        company=step.show.company,
        user=user,
        noun="step",
        row=step.pk,
        after={
            name: str(value)
            for name, value in (("begun_at", step.begun_at), ("finished_at", step.finished_at))
            if value is not None
        },
    )


def claim_pour(pour: Pour, version: int | None) -> dict[str, Any]:
    claim_version(pour, version)
    pour.refresh_from_db()
    if pour.struck_at is not None:
        raise ValidationError("This pour is struck. Nothing was recorded.")
    return snapshot(pour)


def instant_of_press(
    at: datetime | None, after: datetime | None, field: str, what: str, before: str
) -> datetime:
    """The instant given, or now; ValidationError where it is to come or too early."""
    now = clock.now()
    at = at or now
    if at > now + timedelta(minutes=1):
        raise ValidationError({field: f"That is still to come: say when it was {what}."})
    if after is not None and at < after:
        raise ValidationError({field: f"That is before it was {before}."})
    return at


def record_pour_change(pour: Pour, user: User | None, before: dict[str, Any]) -> None:
    after = snapshot(pour)
    changed = [name for name in after if after[name] != before[name]]
    record_change(
        company=pour.mould.pattern.show.company,
        user=user,
        noun="pour",
        row=pour.pk,
        before={name: before[name] for name in changed},
        after={name: after[name] for name in changed},
    )
