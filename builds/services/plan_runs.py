"""Looking for a better plan in the background: asked for, found by the worker, stopped."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.db import IntegrityError, transaction

from builds.models import Plan, PlanRun
from builds.services.plans import make_plan
from company import clock
from company.models import User
from company.services.changes import record_change
from company.work import beating
from scenes.models import Show

SILENT_AFTER = timedelta(minutes=1)
MOST_WORK = 1_000_000  # rounds: the seconds asked for end it earlier
LIVE = (PlanRun.State.ASKED, PlanRun.State.RUNNING)


def end_silent_runs(show: Show) -> int:
    """End runs whose worker has not been heard of for a minute, so that they can be asked again."""
    limit = clock.ticking_now() - SILENT_AFTER
    silent = PlanRun.objects.filter(show=show, state=PlanRun.State.RUNNING, heartbeat_at__lt=limit)
    return silent.update(
        state=PlanRun.State.ENDED,
        ended_at=clock.ticking_now(),
        words="It was cut off. What it had found is kept.",
    )


@transaction.atomic
def ask_for_better(*, show: Show, user: User, seconds: int = 20) -> PlanRun:
    """Ask for a better plan; one that is under way already is given back instead."""
    end_silent_runs(show)
    live = PlanRun.objects.filter(show=show, state__in=LIVE).first()
    if live is not None:
        return live
    try:
        with transaction.atomic():
            run = PlanRun.objects.create(
                show=show, asked_at=clock.ticking_now(), asked_by=user, seconds=seconds
            )
    except IntegrityError:
        return PlanRun.objects.get(show=show, state__in=LIVE)
    record_change(
        company=show.company, user=user, noun="plan run", row=run.pk, after={"seconds": seconds}
    )
    return run


@transaction.atomic
def stop_run(*, run: PlanRun, user: User) -> PlanRun:
    """Ask a run to stop; it keeps the best it has found."""
    PlanRun.objects.filter(pk=run.pk, state__in=LIVE).update(stop_asked=True)
    PlanRun.objects.filter(pk=run.pk, state=PlanRun.State.ASKED).update(
        state=PlanRun.State.ENDED, ended_at=clock.ticking_now(), words="Stopped before it began."
    )
    record_change(
        company=run.show.company, user=user, noun="plan run", row=run.pk, after={"stop": True}
    )
    run.refresh_from_db()
    return run


def take_run() -> PlanRun | None:
    """The next run that waits, marked as running; None where there is none."""
    with transaction.atomic():
        run = PlanRun.objects.filter(state=PlanRun.State.ASKED).order_by("asked_at", "pk").first()
        if run is None:
            return None
        now = clock.ticking_now()
        taken = PlanRun.objects.filter(pk=run.pk, state=PlanRun.State.ASKED).update(
            state=PlanRun.State.RUNNING, started_at=now, heartbeat_at=now
        )
    if not taken:
        return None
    return PlanRun.objects.select_related("show__company", "show__current_draft", "asked_by").get(
        pk=run.pk
    )


def carry_out(run: PlanRun, *, stop: Callable[[], bool]) -> Plan | None:
    """Look for a better plan until the time is up, keeping each better one as it is found."""
    rows = PlanRun.objects.filter(pk=run.pk)
    until = clock.elapsed_s() + run.seconds
    asked_at = [clock.elapsed_s()]

    def is_over() -> bool:
        now = clock.elapsed_s()
        if stop() or now >= until:
            return True
        if now - asked_at[0] < 0.5:
            return False
        asked_at[0] = now
        return rows.filter(stop_asked=True).exists()

    def keep(plan: Plan) -> None:
        rows.update(best=plan)

    words = "It failed. The plan before it stands."
    plan: Plan | None = None
    try:
        with beating(lambda: rows.update(heartbeat_at=clock.ticking_now()) and None):
            plan = make_plan(
                show=run.show,
                user=run.asked_by,
                work=MOST_WORK,
                stop=is_over,
                report=keep,
            )
        words = _how_it_ended(plan)
    finally:
        rows.update(state=PlanRun.State.ENDED, ended_at=clock.ticking_now(), best=plan, words=words)
    return plan


def _how_it_ended(plan: Plan) -> str:
    if plan.status == "none":
        return "There is no plan: " + " ".join(plan.reasons)[:250]
    if plan.status == "proved":
        return "This is the earliest day there is: it is proved."
    return f"{plan.work} rounds looked through; the best is kept."
