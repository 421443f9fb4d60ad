"""A helper's answer about a step, with the hours, the words and the photo that came with it."""

from __future__ import annotations

from typing import IO

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Step
from builds.services.photos import add_photo
from builds.services.work import begin_step, call_lead, finish_step, leave_step
from company.models import Maker, User

BEGIN, FINISHED, LEFT, NEED = "begin", "finished", "left", "need"


@transaction.atomic
def record_answer(
    *,
    step: Step,
    user: User,
    answer: str,
    minutes: int | None = None,
    words: str = "",
    maker: Maker | None = None,
    reason: str = "",
    photo: IO[bytes] | None = None,
    photo_size: int = 0,
    version: int | None = None,
) -> Step:
    """Record finished, left here, need the lead or begin, all of it or nothing of it.

    Raises what the single services raise: NotYet, ValidationError by field, StaleEdit.
    """
    if answer == FINISHED:
        finish_step(
            step=step, user=user, minutes=minutes, words=words, maker=maker, reason=reason,
            version=version,
        )  # fmt: skip
    elif answer == LEFT:
        leave_step(
            step=step, user=user, minutes=minutes, words=words, maker=maker, reason=reason,
            version=version,
        )  # fmt: skip
    elif answer == NEED:
        call_lead(step=step, user=user, words=words, version=version)
    elif answer == BEGIN:
        begin_step(step=step, user=user, maker=maker, reason=reason, version=version)
    else:
        raise ValidationError("Say finished, left here, or need the lead.")
    if photo is not None:
        try:
            add_photo(subject=step, user=user, upload=photo, size=photo_size, words=words[:200])
        except ValidationError as refusal:
            raise ValidationError({"photo": refusal.messages}) from refusal
    return step
