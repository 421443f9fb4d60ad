"""What a step waits for today, and whom it is closed to."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping

from builds.core.casting.values import Mark as Care
from builds.core.progress import Before, Hindrance, Progress, find_hindrances, progress_of
from builds.models import PlannedStep, Step
from builds.models.routes import Mark
from builds.queries.materials import Materials
from builds.queries.mould_times import closed_marks
from builds.queries.steps import live_steps, step_waits
from company import clock
from company.models import Maker, Role, User
from scenes.models import Show, Sketch


def chosen_guises(show: Show) -> set[int]:
    """Guises of which a sketch is chosen: their stage 'sketch chosen' is done by that."""
    rows = Sketch.objects.filter(guise__character__show=show, is_chosen=True)
    return set(rows.values_list("guise_id", flat=True))


def progress(step: Step, chosen: Container[int] = ()) -> Progress:
    """Where the step stands. `chosen` are the guises of which a sketch is chosen."""
    if step.stage.mark == Mark.CHOSEN and _guise_of(step) in chosen:
        return Progress.DONE
    return progress_of(
        begun=step.begun_at,
        finished=step.finished_at,
        passed=step.passed_at,
        gate=step.stage.gate,
    )


def _guise_of(step: Step) -> int | None:
    return step.pattern.made_for_id if step.pattern else step.guise_id


def hindrances_of(
    step: Step,
    steps: Mapping[int, Step] | None = None,
    waits: Mapping[int, Iterable[tuple[int, int]]] | None = None,
) -> list[Hindrance]:
    """What must be done, or dry, before this step is begun; nothing where it is begun already.

    `steps` by id and `waits` are the show's where the caller has read them.
    """
    if step.begun_at is not None or step.struck_at is not None:
        return []
    if steps is None:
        steps = {row.pk: row for row in live_steps(step.show)}
    if waits is None:
        waits = step_waits(step.show, steps.values())
    chosen = chosen_guises(step.show)
    befores = [
        Before(
            f"{steps[pk].subject_words} · {steps[pk].stage.name}",
            progress(steps[pk], chosen),
            (steps[pk].passed_at if steps[pk].stage.gate else None) or steps[pk].finished_at,
            wait_min,
        )
        for pk, wait_min in waits.get(step.pk, ())
    ]
    return find_hindrances(befores, clock.now())


def closed_to(step: Step, maker: Maker | None, role: Role) -> str:
    """Why this person may not do the step, as a sentence; '' where they may."""
    stage, closed = step.stage, closed_marks(step, Materials(step.show.company))
    is_lead = role is Role.LEAD if maker is None else maker.is_lead
    if stage.lead_only and not is_lead:
        return f"'{stage.name}' is the lead's alone."
    if maker is None:
        return ""
    if stage.needs_saw_training and not maker.is_saw_trained:
        return f"{maker} is not marked as trained on the saw: leave it to somebody who is."
    if maker.has_latex_allergy and (stage.closed_to_latex_allergy or Care.LATEX_ALLERGY in closed):
        return f"{maker} is marked with a latex allergy: leave it to somebody else."
    if maker.is_under_18 and (stage.closed_to_under_18 or Care.UNDER_18 in closed):
        return f"{maker} is under 18: this is not for them."
    return ""


def maker_of(user: User | None, step: Step) -> Maker | None:
    """The maker that the signed-in person is in the step's company; None where they are none."""
    if user is None:
        return None
    return Maker.objects.filter(company=step.show.company, user=user, struck_at=None).first()


def planned_for(step: Step) -> list[Maker]:
    """Whose step it is: its pinned maker, else those whom the pinned-up plan names."""
    if step.pinned_maker is not None:
        return [step.pinned_maker]
    rows = PlannedStep.objects.filter(step=step, plan__is_pinned_up=True)
    found: dict[int, Maker] = {}
    for row in rows.select_related("maker", "second").order_by("part"):
        for maker in (row.maker, row.second):
            if maker is not None:
                found.setdefault(maker.pk, maker)
    return list(found.values())
