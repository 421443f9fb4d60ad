"""Hours put into a step: booked to a maker and a day, struck where they were a mistake."""

from __future__ import annotations

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum

from builds.models import Step, WorkLog
from builds.queries.hindrances import maker_of
from builds.services.plans import steps_changed
from company import clock
from company.access import membership_of
from company.models import Maker, Role, User
from company.services.changes import claim_version, record_change, snapshot

LONGEST_DAY_MIN = 16 * 60
DAY_MIN = 24 * 60


@transaction.atomic
def log_work(
    *,
    step: Step,
    user: User,
    minutes: int,
    maker: Maker | None = None,
    day: date | None = None,
    words: str = "",
    version: int | None = None,
) -> WorkLog:
    """Book minutes to a maker (the person themselves where none is named) and a day (today).

    Raises ValidationError naming every field that is wrong: the time is longer than nought and at
    most 16 hours, the day is not to come, one maker's day holds 24 hours. A lead books for
    anybody of the company, a maker for themselves. With the `version` the step was read at, a
    second press of the same button is refused as stale instead of booking twice.
    """
    if version is not None:
        claim_version(step, version)
    company = step.show.company
    own = maker_of(user, step)
    maker = maker or own
    day = day or clock.today(company)
    wrong: dict[str, str] = {}
    if not 0 < minutes <= LONGEST_DAY_MIN:
        wrong["hours"] = "It took longer than nought and at most 16 hours in one day."
    if day > clock.today(company):
        wrong["day"] = "This day is still to come."
    if maker is None:
        wrong["maker"] = "Say who did it." if own_role(user, step) is Role.LEAD else _NO_MAKER
    elif maker.company_id != company.pk:
        wrong["maker"] = "Choose somebody of this company."
    elif maker != own and own_role(user, step) is not Role.LEAD:
        wrong["maker"] = "Book your own hours; the lead books for others."
    if not wrong and maker is not None and _of_day(maker, day) + minutes > DAY_MIN:
        wrong["hours"] = f"{maker} would have worked more than 24 hours that day."
    if wrong:
        raise ValidationError(wrong)
    log = WorkLog.objects.create(
        step=step, maker=maker, day=day, minutes=minutes, note=" ".join(words.split())[:300]
    )
    record_change(company=company, user=user, noun="work", row=log.pk, after=snapshot(log))
    steps_changed(step.show)
    return log


_NO_MAKER = "Nobody among the makers is marked as you. Ask the lead to put you there."


@transaction.atomic
def strike_work(*, log: WorkLog, user: User) -> WorkLog:
    """Strike hours that were a mistake. The lead strikes anybody's, a maker their own."""
    own = maker_of(user, log.step)
    if own_role(user, log.step) is not Role.LEAD and log.maker != own:
        raise ValidationError("Strike your own hours; the lead strikes those of others.")
    if log.struck_at is None:
        log.struck_at = clock.now()
        log.save(update_fields=["struck_at"])
        record_change(
            company=log.step.show.company,
            user=user,
            noun="work",
            row=log.pk,
            before={"struck_at": None, "minutes": log.minutes},
            after={"struck_at": str(log.struck_at)},
        )
        steps_changed(log.step.show)
    return log


def own_role(user: User, step: Step) -> Role:
    """What the person is in the step's company."""
    return Role(membership_of(user, step.show.company).role)


def _of_day(maker: Maker, day: date) -> int:
    booked = WorkLog.objects.filter(maker=maker, day=day, struck_at=None)
    return booked.aggregate(sum=Sum("minutes"))["sum"] or 0
