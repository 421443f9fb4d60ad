"""Making plans, pinning one up, and letting the plan move with the work."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from django.db import transaction

from builds.core import planning as core
from builds.core.planning.chain import ChainLink, what_sets_the_date
from builds.core.planning.keeping import KeptPlan, solve_keeping
from builds.loading import Loaded, instant_of, load_problem, read_beside
from builds.models import Plan, PlannedStep
from builds.queries.plans import days_are_let_go, latest_change, latest_plan
from builds.services.plan_odds import play_plan
from builds.services.plan_reasons import circles_in, nothing_to_plan, ways_out, whose_hours
from builds.services.plan_words import bound_words, chain_words, dated
from company import clock
from company.models import User
from company.services.changes import record_change
from scenes.models import Show

logger = logging.getLogger(__name__)

FIRST_WORK = 100  # rounds of improvement of a plan that somebody waits for
QUICK_WORK = 20  # when the plan only follows what was recorded
TELL_EVERY_S = 1.0  # the better plans of a second come as one
Stop = Callable[[], bool]


class BrokenPlan(Exception):
    """The checker refused what the planner made: nothing was stored."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is planned, for whom, and what had been seen when it was read."""

    show: Show
    user: User | None
    loaded: Loaded
    seen: int
    is_released: bool
    keep_until: int


def make_plan(
    *,
    show: Show,
    user: User | None,
    work: int = FIRST_WORK,
    seed: int = 1,
    is_released: bool = False,
    stop: Stop | None = None,
    report: Callable[[Plan], None] | None = None,
) -> Plan:
    """Plan the show as it stands and keep the plan as a draft. Pins nothing up.

    Helpers' next days stay as they are pinned up unless `is_released`; what is later moves only
    where that helps. A plan that cannot exist is kept too, with its reasons as sentences. `report`
    is given the first plan, no worse than the forecast there is, and each better one as it is
    found; they are kept as well.
    """
    seen = latest_change(show.company)
    circles = circles_in(show)
    if circles:
        nothing = Loaded(core.Problem(()))
        return _store(
            _Asked(show, user, nothing, seen, is_released, 0),
            KeptPlan(core.Plan("none", reasons=tuple(circles))),
        )
    loaded = load_problem(show)
    beside = read_beside(show, loaded, is_released=is_released)
    asked = _Asked(show, user, loaded, seen, is_released, beside.keep_until)
    reasons = nothing_to_plan(loaded)
    if reasons:
        return _store(asked, KeptPlan(core.Plan("none", reasons=tuple(reasons))))

    def look(rounds: int, tell: Callable[[KeptPlan], None] | None = None) -> KeptPlan:
        return solve_keeping(
            loaded.problem,
            beside.pinned,
            keep_until=beside.keep_until,
            newest=beside.newest,
            work=rounds,
            seed=seed,
            stop=stop,
            report=tell,
        )

    best = look(work, _teller(asked, look(0), report) if report is not None else None)
    if best.plan.status == "none":
        more = (*whose_hours(loaded), *best.plan.reasons, *ways_out(best.plan.reasons))
        best = KeptPlan(replace(best.plan, reasons=more))
    return _store(asked, best)


def _teller(
    asked: _Asked, first: KeptPlan, report: Callable[[Plan], None]
) -> Callable[[KeptPlan], None]:
    """Keeps and reports the first plan, and then each that is better than all before it.

    The search begins far from what stands: without the first its plans would be worse at first
    than the one on the wall, and a worker that is killed would leave such a one behind.
    """
    score, told_at = first.plan.score, clock.elapsed_s()
    if first.plan.status != "none":
        report(_store(asked, first))

    def keep(found: KeptPlan) -> None:
        nonlocal score, told_at
        now = clock.elapsed_s()
        if found.plan.score < score and now - told_at >= TELL_EVERY_S:
            score, told_at = found.plan.score, now
            report(_store(asked, found))

    return keep


@transaction.atomic
def _store(asked: _Asked, kept: KeptPlan) -> Plan:
    show, loaded, found = asked.show, asked.loaded, kept.plan
    problem = loaded.problem
    faults = core.check_plan(problem, found) if found.status != "none" else []
    if faults:
        raise BrokenPlan("; ".join(faults[:5]))
    links = what_sets_the_date(problem, found)
    odds = play_plan(show, loaded, found)
    plan = Plan.objects.create(
        show=show,
        made_at=clock.now(),
        by=asked.user,
        draft_number=show.current_draft.number if show.current_draft else None,
        seed=found.seed,
        work=found.work,
        status=found.status,
        reasons=[dated(reason, show) for reason in found.reasons],
        ready=instant_of(found.ready) if found.ready is not None else None,
        bound=instant_of(found.bound) if found.bound is not None else None,
        bound_words=bound_words(
            found, show, weighs=any(figure.weight != 1 for figure in problem.figures)
        ),
        chain=[_link_row(link, loaded) for link in links],
        chain_words=chain_words(links, found, loaded),
        outlook=odds.word if odds else "",
        outlook_words=odds.words if odds else "",
        odds=odds.document if odds else None,
        kept_until=instant_of(asked.keep_until) if kept.kept else None,
        is_released=asked.is_released,
        figures=_figure_rows(loaded, found),
        changes_seen=asked.seen,
    )
    on_thread = {link.id for link in links}
    PlannedStep.objects.bulk_create(
        _planned_row(plan, planned, loaded, planned.id in on_thread, planned.id in kept.kept)
        for planned in found.steps
        if planned.person is not None
    )
    _forget_older_drafts(plan)
    return plan


def _planned_row(
    plan: Plan, planned: core.PlannedStep, loaded: Loaded, is_on_thread: bool, is_kept: bool
) -> PlannedStep:
    piece = loaded.pieces[planned.id]
    return PlannedStep(
        plan=plan,
        step=piece.step,
        part=piece.part,
        parts=piece.parts,
        minutes=loaded.step(planned.id).minutes,
        maker=loaded.makers[planned.person or ""],
        second=loaded.makers[planned.second] if planned.second else None,
        start=instant_of(planned.start),
        finish=instant_of(planned.finish),
        latest_start=instant_of(planned.latest_start),
        in_hand_min=planned.in_hand_min,
        is_on_thread=is_on_thread,
        is_kept=is_kept,
    )


def _link_row(link: ChainLink, loaded: Loaded) -> dict[str, object]:
    piece = loaded.pieces[link.id]
    return {"step": piece.step.pk, "part": piece.part, "reason": link.reason, "words": link.words}


def _figure_rows(loaded: Loaded, found: core.Plan) -> list[dict[str, object]]:
    """For each figure: when it is fit for rehearsal, when ready to play, and how late it is."""
    by_tag = {figure.tag: figure for figure in loaded.figures}
    finish: dict[str, int] = {}
    for planned in found.steps:
        step = loaded.step(planned.id)
        if step.figure is not None:
            finish[step.figure] = max(finish.get(step.figure, 0), planned.finish)
    return [
        {
            "figure": by_tag[row.id].pk,
            "fit": instant_of(row.ready).isoformat(),
            "ready": instant_of(finish[row.id]).isoformat(),
            "late_min": row.late_min,
        }
        for row in found.figures
        if row.id in finish
    ]


def _forget_older_drafts(plan: Plan) -> None:
    """Drafts are worked out anew at any time: only the newest is kept, and what was pinned up."""
    Plan.objects.filter(show=plan.show, pinned_up_at=None).exclude(pk=plan.pk).delete()


# Pinning up


class CannotPinUp(Exception):
    """The plan cannot be pinned up; the text says why."""


@transaction.atomic
def pin_up(*, plan: Plan, user: User) -> Plan:
    """Make a plan the one that helpers see. The one before stays on record as it was."""
    Show.objects.select_for_update().get(pk=plan.show_id)
    if plan.status == "none":
        raise CannotPinUp("There is no plan to pin up: " + " ".join(plan.reasons))
    if plan.is_pinned_up:
        return plan
    before = Plan.objects.filter(show=plan.show, is_pinned_up=True).first()
    Plan.objects.filter(show=plan.show, is_pinned_up=True).update(is_pinned_up=False)
    plan.is_pinned_up = True
    plan.pinned_up_at = clock.now()
    plan.save(update_fields=["is_pinned_up", "pinned_up_at"])
    record_change(
        company=plan.show.company,
        user=user,
        noun="plan",
        row=plan.pk,
        before={"pinned up": before.pk} if before else None,
        after={"pinned up": plan.pk},
    )
    return plan


# The plan moves with the work


def steps_changed(show: Show) -> None:
    """Plan anew once the transaction holds, if the show has a plan: hours and finished work count.

    However often it is called in a transaction, the show is planned once.
    """
    waiting = {
        task.args[0]
        for _, task, *_ in transaction.get_connection().run_on_commit
        if isinstance(task, partial) and task.func is _follow
    }
    if show.pk not in waiting:
        transaction.on_commit(partial(_follow, show.pk))


def _follow(show_pk: int) -> None:
    show = Show.objects.select_related("company", "current_draft").get(pk=show_pk)
    newest = latest_plan(show)
    if newest is None:
        return
    try:
        make_plan(show=show, user=None, work=QUICK_WORK, is_released=days_are_let_go(newest))
    except Exception:
        # What was recorded holds, whatever becomes of the forecast.
        logger.exception("The plan of %s could not follow.", show)
