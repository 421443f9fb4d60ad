"""A pour and its step: what is recorded of the one is seen in the other."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from builds.models import Pour, Step
from builds.models.routes import Scope
from builds.queries.materials import Materials
from builds.services.pour_rows import start_clock
from company.models import User
from company.services.changes import record_change


def step_of_pour(pour: Pour) -> Step | None:
    rows = Step.objects.filter(pour=pour, struck_at=None, stage__scope=Scope.POUR)
    rows = rows.select_related("stage", "show__company", "pour__mould__pattern")
    return rows.order_by("stage__position", "pk").first()


def made_step(pour: Pour, user: User) -> Step | None:
    """The step of a pour that nobody had planned: it is wanted now that it is poured."""
    from builds.services.steps import make_steps

    make_steps(show=pour.mould.pattern.show, user=user)
    return step_of_pour(pour)


def follow_pour_step(step: Step, before: dict[str, Any]) -> None:
    """A pour follows its step where it is recorded there: poured when the step is finished.

    Taking the step back takes the pour back, unless something was recorded of it since.
    `before` are the step's columns as they were.
    """
    pour = step.pour
    assert pour is not None
    if step.finished_at is not None:
        if pour.poured_at is None:
            start_clock(pour, step.begun_at, step.begun_by, Materials(step.show.company))
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
    step = step_of_pour(pour)
    if step is not None and step.finished_at is None:
        if step.begun_at is None:
            step.begun_at, step.begun_by = pour.poured_at, pour.maker
        step.finished_at = max(at, step.begun_at or at)
        save_pour_step(step, user)


def save_pour_step(step: Step, user: User) -> None:
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
