"""Recording at the bench: begun, left here, finished, need the lead, passed, and taken back.

Every press is written to the record of changes with who pressed it. A press that comes with the
`version` its page had is refused as stale where somebody was quicker, so that a second press of
the same button never books hours twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.core.progress import Hindrance
from builds.models import Step
from builds.queries.hindrances import closed_to, hindrances_of, maker_of, planned_for
from builds.services.hours import log_work, own_role
from builds.services.moulds import follow_step
from builds.services.plans import steps_changed
from builds.services.pour_steps import follow_pour_step
from company import clock
from company.models import Maker, Role, User
from company.services.changes import claim_version, record_change, snapshot

LONGEST_WORDS = 300


class NotYet(Exception):
    """The step still waits for something, and nobody said why it is begun all the same."""

    def __init__(self, hindrances: list[Hindrance]) -> None:
        super().__init__("Something comes before this. Say why it is begun all the same.")
        self.hindrances = hindrances


@transaction.atomic
def begin_step(
    *,
    step: Step,
    user: User,
    maker: Maker | None = None,
    reason: str = "",
    version: int | None = None,
    hindrances: Sequence[Hindrance] | None = None,
) -> Step:
    """Record that somebody has begun. `maker` None: the person themselves.

    `hindrances` are what comes before, where the caller has looked already.

    Raises NotYet where what comes before is not done or not dry and no `reason` is given,
    ValidationError where the step is closed to them, is struck or was begun, StaleEdit.
    """
    before = _open(step, version)
    if step.begun_at is not None:
        raise ValidationError("It was begun already.")
    _begin(step, user, maker, reason, hindrances)
    _write(step, before, user, reason=reason)
    return step


@transaction.atomic
def leave_step(
    *,
    step: Step,
    user: User,
    minutes: int | None = None,
    words: str = "",
    maker: Maker | None = None,
    reason: str = "",
    version: int | None = None,
) -> Step:
    """'Left here': the hours put in today, and how it lies. Begins the step where it was not."""
    before = _open(step, version)
    if step.finished_at is not None:
        raise ValidationError("It was finished already: take that back first.")
    if minutes is None:
        raise ValidationError({"hours": "Say how long it took: 1½ hours is 1.5 or 1:30."})
    if step.begun_at is None:
        _begin(step, user, maker, reason)
    log_work(step=step, user=user, minutes=minutes, maker=maker, words=words)
    _write(step, before, user, reason=reason)
    return step


@transaction.atomic
def finish_step(
    *,
    step: Step,
    user: User,
    minutes: int | None = None,
    words: str = "",
    maker: Maker | None = None,
    reason: str = "",
    version: int | None = None,
) -> Step:
    """'Finished', with the hours it took where they are said. An unbegun step is begun with it."""
    before = _open(step, version)
    if step.finished_at is not None:
        raise ValidationError("It was finished already.")
    if step.begun_at is None:
        _begin(step, user, maker, reason)
    if minutes is not None:
        log_work(step=step, user=user, minutes=minutes, maker=maker, words=words)
    step.finished_at = clock.now()
    step.needs_lead, step.needs_lead_words = False, ""
    _write(step, before, user, reason=reason, words="" if minutes is not None else words)
    return step


@transaction.atomic
def call_lead(*, step: Step, user: User, words: str, version: int | None = None) -> Step:
    """'Need the lead': the step stays as it is until the lead has been."""
    before = _open(step, version)
    if not words.strip():
        raise ValidationError({"words": "Say in a few words what it is about."})
    step.needs_lead, step.needs_lead_words = True, _short(words)
    _write(step, before, user)
    return step


@transaction.atomic
def answer_call(*, step: Step, user: User, version: int | None = None) -> Step:
    """The lead has been: the call is taken down. What was asked stays in the record."""
    before = _open(step, version)
    step.needs_lead, step.needs_lead_words = False, ""
    _write(step, before, user)
    return step


@transaction.atomic
def pass_step(*, step: Step, user: User, words: str = "", version: int | None = None) -> Step:
    """The lead's yes. Only a lead passes, only what waits for a pass, only once it is finished."""
    before = _open(step, version)
    _check_lead(step, user, "passes")
    if not step.stage.gate:
        raise ValidationError(f"'{step.stage}' does not wait for a pass.")
    if step.finished_at is None:
        raise ValidationError("It is passed once it is finished.")
    if step.passed_at is None:
        step.passed_at, step.passed_by = clock.now(), user
        _write(step, before, user, words=words)
    return step


@transaction.atomic
def refuse_pass(*, step: Step, user: User, words: str, version: int | None = None) -> Step:
    """'Not yet': the step is under way again, with what is still to do. Also takes a pass back."""
    before = _open(step, version)
    _check_lead(step, user, "says what is still to do")
    if step.finished_at is None:
        raise ValidationError("It is not finished, so there is nothing to hand back.")
    if not words.strip():
        raise ValidationError({"words": "Say what is still to do before it is passed."})
    step.finished_at = step.passed_at = step.passed_by = None
    today = clock.today(step.show.company)
    step.note = "\n".join(
        filter(None, [step.note, f"Still to do, {today.day} {today:%B}: {_short(words)}"])
    )
    _write(step, before, user, words=words)
    return step


@transaction.atomic
def undo_press(*, step: Step, user: User, version: int | None = None) -> Step:
    """Take a wrong press back: finished becomes under way; begun becomes not begun.

    Hours stay until each is struck; a step with hours on it stays begun. What the lead has
    passed the lead alone takes back, with a word (`refuse_pass`).
    """
    before = _open(step, version)
    if step.passed_at is not None:
        raise ValidationError("The lead has passed it: the lead hands it back, with a word.")
    if step.finished_at is not None:
        step.finished_at = None
    elif step.begun_at is not None:
        if step.work.filter(struck_at=None).exists():  # type: ignore[attr-defined]
            raise ValidationError("Hours are on record for it: strike those first.")
        step.begun_at = step.begun_by = None
    else:
        raise ValidationError("There is nothing to take back.")
    _write(step, before, user, words="taken back")
    return step


def _open(step: Step, version: int | None) -> dict[str, Any]:
    """Claim the step as it stands now; its columns before."""
    claim_version(step, version)
    step.refresh_from_db()
    if step.struck_at is not None:
        raise ValidationError("This step is no longer wanted. Nothing was recorded.")
    return snapshot(step)


def _begin(
    step: Step,
    user: User,
    maker: Maker | None,
    reason: str,
    hindrances: Sequence[Hindrance] | None = None,
) -> None:
    maker = maker or maker_of(user, step)
    closed = closed_to(step, maker, own_role(user, step))
    if closed:
        raise ValidationError(f"{closed} Nothing was recorded.")
    if not reason.strip():
        found = hindrances_of(step) if hindrances is None else list(hindrances)
        if found:
            raise NotYet(found)
    step.begun_at, step.begun_by = clock.now(), maker


def _check_lead(step: Step, user: User, what: str) -> None:
    if own_role(user, step) is not Role.LEAD:
        raise ValidationError(f"Only the lead {what}.")


def _write(
    step: Step, before: dict[str, Any], user: User, *, reason: str = "", words: str = ""
) -> None:
    """Save, record what differs, and let the plan move. Says whose step it was if not one's own."""
    step.save()
    if step.pour_id is not None:
        follow_pour_step(step, before)
    elif step.pattern_id is not None or step.mould_id is not None:
        follow_step(step, user)
    after = snapshot(step)
    changed = [name for name in after if after[name] != before[name]]
    said: dict[str, Any] = {name: after[name] for name in changed}
    whose = [maker.name for maker in planned_for(step)]
    mine = maker_of(user, step) if whose else None
    if whose and (mine is None or mine.name not in whose):
        said["planned_for"] = whose
    if reason.strip():
        said["reason"] = _short(reason)
    if words.strip():
        said["words"] = _short(words)
    record_change(
        company=step.show.company,
        user=user,
        noun="step",
        row=step.pk,
        before={name: before[name] for name in changed},
        after=said,
    )
    steps_changed(step.show)


def _short(words: str) -> str:
    words = " ".join(words.split())
    if len(words) > LONGEST_WORDS:
        raise ValidationError(
            {"words": f"At most {LONGEST_WORDS} letters here, not {len(words)}: use the note."}
        )
    return words
