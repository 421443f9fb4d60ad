"""Long searches in the background: asked for, carried out by the worker, stopped.

One sort looks for a better plan, the other for what would bring the show back in time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction

from builds.models import Plan, PlanRun
from builds.queries.plans import days_are_let_go, days_late, is_out_of_date, latest_plan
from builds.services.in_time import try_changes
from builds.services.plans import QUICK_WORK, make_plan
from company import clock
from company.models import User
from company.services.changes import record_change
from company.work import beating
from scenes.models import Show

SILENT_AFTER = timedelta(minutes=1)
MOST_TRYING_S = 180
MOST_WORK = 1_000_000  # rounds: the seconds asked for end it earlier
CUT_OFF = "It was cut off. What it had found is kept."
LIVE = (PlanRun.State.ASKED, PlanRun.State.RUNNING)


def end_silent_runs(show: Show) -> int:
    """End runs whose worker has not been heard of for a minute, so that they can be asked again."""
    limit = clock.ticking_now() - SILENT_AFTER
    silent = PlanRun.objects.filter(show=show, state=PlanRun.State.RUNNING, heartbeat_at__lt=limit)
    return silent.update(state=PlanRun.State.ENDED, ended_at=clock.ticking_now(), words=CUT_OFF)


def waits_long(run: PlanRun | None) -> bool:
    """Whether nobody has taken a run up for a minute, though no worker is busy with another."""
    limit = clock.ticking_now() - SILENT_AFTER
    if run is None or run.state != PlanRun.State.ASKED or run.asked_at >= limit:
        return False
    busy = PlanRun.objects.filter(state=PlanRun.State.RUNNING, heartbeat_at__gte=limit)
    return not busy.exists()


@transaction.atomic
def ask_for_better(*, show: Show, user: User, seconds: int = 20) -> PlanRun:
    """Ask for a better plan; one that is under way already is given back instead."""
    return _ask(show, user, PlanRun.Aim.BETTER, seconds, [])


@transaction.atomic
def ask_what_helps(*, show: Show, user: User, asked: Sequence[str] = ()) -> PlanRun:
    """Ask what would bring the show back in time, with all that is supposed already (codes)."""
    return _ask(show, user, PlanRun.Aim.IN_TIME, MOST_TRYING_S, list(asked))


def _ask(show: Show, user: User, aim: str, seconds: int, asked: list[str]) -> PlanRun:
    end_silent_runs(show)
    rows = PlanRun.objects.filter(show=show, aim=aim, state__in=LIVE)
    live = rows.first()
    if live is not None:
        return live
    try:
        with transaction.atomic():
            run = PlanRun.objects.create(
                show=show,
                aim=aim,
                asked_at=clock.ticking_now(),
                asked_by=user,
                seconds=seconds,
                asked=asked,
            )
    except IntegrityError:
        return rows.get()
    record_change(
        company=show.company,
        user=user,
        noun="plan run",
        row=run.pk,
        after={"aim": aim, "seconds": seconds},
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
    """Carry a run out until its time is up or it is stopped; the best so far is always kept."""
    if run.aim == PlanRun.Aim.IN_TIME:
        _try_changes(run, stop)
        return None
    return _improve(run, stop)


def _improve(run: PlanRun, stop: Callable[[], bool]) -> Plan | None:
    """Look for a better plan, keeping each as it is found."""
    rows = PlanRun.objects.filter(pk=run.pk)
    plan: Plan | None = None

    trail: list[dict[str, Any]] = []

    def keep(found: Plan) -> None:
        """The best so far, and what was ready when and how late on the way to it, each once."""
        if found.ready is not None:
            step = {"ready": found.ready.isoformat(), "late": days_late(found)}
            if not trail or trail[-1] != step:
                trail.append(step)
        rows.update(best=found, found={"trail": trail})

    is_released = days_are_let_go(latest_plan(run.show))
    with _carried(run) as ended:
        plan = make_plan(
            show=run.show,
            user=run.asked_by,
            work=MOST_WORK,
            is_released=is_released,
            stop=_ends(run, stop),
            report=keep,
        )
        if is_out_of_date(plan):
            # What was recorded meanwhile counts: what was found is held on to, and moves with it.
            fresh = Show.objects.select_related("company", "current_draft").get(pk=run.show_id)
            plan = make_plan(
                show=fresh, user=run.asked_by, work=QUICK_WORK, is_released=is_released
            )
        keep(plan)
        ended["words"] = _how_it_ended(plan)
    return plan


def _try_changes(run: PlanRun, stop: Callable[[], bool]) -> None:
    """Try what would bring it back in time, keeping what is known after each change."""
    rows = PlanRun.objects.filter(pk=run.pk)
    with _carried(run) as ended:
        found = try_changes(
            run, stop=_ends(run, stop), tell=lambda known: rows.update(found=known) and None
        )
        rows.update(found=found)
        ended["words"] = _say_tried(found)


@contextmanager
def _carried(run: PlanRun) -> Iterator[dict[str, str]]:
    """Beats while a run is carried out, and ends it however it goes; 'words' says how it went."""
    rows = PlanRun.objects.filter(pk=run.pk)
    ended = {"words": "It failed. What was there before stands."}
    try:
        with beating(lambda: rows.update(heartbeat_at=clock.ticking_now()) and None):
            yield ended
    finally:
        rows.update(
            state=PlanRun.State.ENDED, ended_at=clock.ticking_now(), words=ended["words"][:300]
        )


def _ends(run: PlanRun, stop: Callable[[], bool]) -> Callable[[], bool]:
    """Whether it is over: the worker ends, the time is up, or somebody has asked it to stop."""
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

    return is_over


def _say_tried(found: dict[str, Any]) -> str:
    if found["is_in_time"]:
        return "All is in time already: nothing needs to change."
    if not found["of"]:
        return "There is no plan to begin from, or nothing left that could be changed."
    said = f"{found['tried']} of {found['of']} single changes tried"
    works = sum(row["is_in_time"] for row in found["rows"])
    if not works:
        return f"{said}: none alone brings all of it back in time."
    return f"{said}: {works} {'brings' if works == 1 else 'bring'} it back in time."


def _how_it_ended(plan: Plan) -> str:
    if plan.status == "none":
        return "There is no plan: " + " ".join(plan.reasons)[:250]
    if plan.status == "proved":
        return "This is the earliest day there is: it is proved."
    return f"{plan.work} rounds looked through; the best is kept."
