"""A pour as it happens: filled, drained, opened, or struck because it was a mistake."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from builds.core.casting.life import Ready, is_ready
from builds.models import Casting, Mould, Pour, Step
from builds.queries.hindrances import closed_to
from builds.queries.materials import Materials
from builds.queries.mould_states import state_of
from builds.queries.takings import Asked, density_of
from builds.services.hours import own_role
from builds.services.mould_rows import next_number
from builds.services.plans import steps_changed
from builds.services.pour_rows import (
    Lefts,
    claim_pour,
    instant_of_press,
    record_pour_change,
    start_clock,
)
from builds.services.pour_steps import finish_pour_step, made_step, save_pour_step, step_of_pour
from builds.services.takings import (
    give_back,
    plan_lots,
    take_anew,
    take_out_of_lots,
    taking_problems,
)
from company import clock
from company.models import Maker, User
from company.services.changes import snapshot
from company.templatetags.words import and_list

LONGEST_LOT, LONGEST_MIX, LONGEST_REASON, LONGEST_NOTE = 40, 200, 300, 4000
LONGEST_AGO = timedelta(days=3 * 365)


class MouldNotReady(Exception):
    """The mould should wait, and nobody said why it is poured all the same."""

    def __init__(self, ready: Ready) -> None:
        super().__init__("; ".join(ready.warnings))
        self.ready = ready

    @property
    def sentence(self) -> str:
        """What is asked for, beside the field for it."""
        return f"Careful, {and_list(self.ready.warnings)}. Say why it is poured all the same."


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
    takes: Asked | None = None,
    was_so: bool = False,
) -> Pour:
    """Somebody has filled the mould. The next pour planned in it is the one, else one more.

    What it takes comes off the lots named that stand on the shelf: `takes`, else what the mix
    takes by what was measured. A lot that has less is emptied where `was_so`, else refused.

    `poured_at` None: now. Raises MouldNotReady where it is still drying, resting, due for a
    drying day or used up and no `reason` is given; ValidationError by field for what is wrong,
    for a mould that is retired, not made or full, and for a person to whom the pour is closed.
    """
    Mould.objects.select_for_update().get(pk=mould.pk)
    now = clock.now()
    at = poured_at or now
    lot, mix, reason = (" ".join(text.split()) for text in (lot, mix, reason))
    known = Materials(mould.pattern.show.company)
    from_lots = plan_lots(Pour(mould=mould), lot, takes, at, known)
    wrong = _pour_problems(mould, lot, mix, reason, at, now)
    wrong |= taking_problems(from_lots, known.company, was_so)
    _check_ready(mould, at, reason, known, wrong)
    pour = _next_pour(mould)
    before = snapshot(pour)
    start_clock(pour, at, maker, known)
    pour.lot, pour.mix, pour.reason = lot, mix, reason
    pour.version += 1
    pour.save()
    step = step_of_pour(pour) or made_step(pour, user)
    if step is not None and (closed := closed_to(step, maker, own_role(user, step))):
        raise ValidationError({"maker": f"{closed} Nothing was recorded."})
    if step is not None and step.begun_at is None:
        # Where nothing is drained the work ends with the filling; else it ends with the draining.
        step.begun_at, step.begun_by = at, maker
        step.finished_at = None if pour.drain_min is not None else at
        save_pour_step(step, user)
    density = density_of(pour.material, known)
    record_pour_change(pour, user, before, *take_out_of_lots(pour, from_lots, density))
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


def _check_ready(
    mould: Mould, at: datetime, reason: str, known: Materials, wrong: dict[str, str]
) -> None:
    """Raise all that is wrong at once; MouldNotReady where a reason alone is missing."""
    ready = is_ready(state_of(mould, known), at)
    if ready.forbidden:
        wrong["mould"] = f"Nothing can be poured in it: {' and '.join(ready.forbidden)}."
    asks_why = bool(ready.warnings) and not reason
    if wrong:
        if asks_why:
            wrong.setdefault("reason", MouldNotReady(ready).sentence)
        raise ValidationError(wrong)
    if asks_why:
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
def edit_pour(
    *,
    pour: Pour,
    user: User,
    version: int | None,
    takes: Asked | None = None,
    was_so: bool = False,
    **values: Any,
) -> Pour:
    """Write lot, mix, note, and the minutes of its clock; only what is given.

    Another lot, or `takes`, corrects what came off the shelf: what it took goes back first.
    """
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
    lots: tuple[Lefts, Lefts] = ({}, {})
    if pour.poured_at is not None and (pour.lot != before["lot"] or takes is not None):
        known = Materials(pour.mould.pattern.show.company)
        try:
            lots = take_anew(pour, pour.lot, takes, was_so, known)
        except ValidationError as refusal:
            wrong |= {name: " ".join(said) for name, said in refusal.message_dict.items()}
    if wrong:
        raise ValidationError(wrong)
    pour.save()
    record_pour_change(pour, user, before, *lots)
    steps_changed(pour.mould.pattern.show)
    return pour


@transaction.atomic
def strike_pour(*, pour: Pour, user: User, words: str, version: int | None = None) -> Pour:
    """It was recorded by mistake: it is struck through and kept, and another is planned for it.

    What it took from lots goes back to them. Refused where a casting of it is judged already:
    that one was in somebody's hands.
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
    record_pour_change(pour, user, before, *give_back(pour))
    from builds.services.steps import make_steps

    make_steps(show=pour.mould.pattern.show, user=user)
    steps_changed(pour.mould.pattern.show)
    return pour
