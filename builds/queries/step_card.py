"""Everything that the page of one step says."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.progress import Hindrance, Progress
from builds.models import Casting, Figure, Photo, Step, WorkLog
from builds.models.routes import Second
from builds.queries.figures import StepLine, line_of
from builds.queries.hindrances import closed_to
from builds.queries.materials import Materials
from builds.queries.mould_times import wait_after_min
from builds.queries.workshop import Slip, Work, read_work
from company.access import membership_of
from company.models import Change, Maker, Role, User
from company.queries import makers_of
from company.templatetags.words import and_list, day, hours


@dataclass(frozen=True)
class StepCard:
    """The page of one step, as one person sees it."""

    step: Step
    progress: Progress
    slip: Slip | None
    spent_min: int
    left_min: int
    hindrances: tuple[Hindrance, ...]
    befores: tuple[StepLine, ...]
    wait_min: int
    nexts: tuple[StepLine, ...]
    figures: tuple[Figure, ...]
    casting: Casting | None
    logs: tuple[WorkLog, ...]
    photos: tuple[Photo, ...]
    makers: tuple[Maker, ...]
    mine: Maker | None
    lead: Maker | None
    closed: str
    not_mine: str
    reason: str
    lede: str
    is_lead: bool
    may_record: bool

    @property
    def is_struck(self) -> bool:
        """Whether it is no longer wanted."""
        return self.step.struck_at is not None

    @property
    def took_hint(self) -> str:
        """What is left of the hours, beside the field that asks what it took."""
        return f"of {hours(self.left_min)} left" if self.spent_min else f"of {hours(self.left_min)}"

    @property
    def waits_for_pass(self) -> bool:
        """Whether it is finished and the lead has not passed it."""
        return self.progress is Progress.FINISHED


def read_step(step: Step, user: User) -> StepCard:
    """Everything on the page of one step. A flat number of queries."""
    show = step.show
    work = read_work(show, user)
    role = Role(membership_of(user, show.company).role)
    makers = makers_of(show.company)
    mine = next((maker for maker in makers if maker.user_id == user.pk), None)
    spent = work.spent.get(step.pk, 0)
    slip = work.slips.get(step.pk)
    befores = [work.steps[pk] for pk, _ in work.waits.get(step.pk, ())]
    after = {
        pk: wait_min
        for pk, waits in work.waits.items()
        for before, wait_min in waits
        if before == step.pk
    }
    nexts = [work.steps[pk] for pk in after]
    hindrances = tuple(work.hindrances(step)) if step.struck_at is None else ()
    return StepCard(
        step=step,
        progress=work.progress(step),
        slip=slip,
        spent_min=spent,
        left_min=max(step.work_min - spent, 0),
        wait_min=wait_after_min(
            work.steps.get(step.pk, step), after.values(), Materials(show.company)
        ),
        hindrances=hindrances,
        befores=tuple(line_of(row, work) for row in befores),
        nexts=tuple(line_of(row, work) for row in nexts),
        figures=_figures(step, work),
        casting=_casting(step, work),
        logs=tuple(
            WorkLog.objects.filter(step=step).select_related("maker").order_by("-day", "-pk")
        ),
        photos=tuple(Photo.objects.filter(step=step, struck_at=None).select_related("by")),
        makers=tuple(makers),
        mine=mine,
        lead=next((maker for maker in makers if maker.is_lead), None),
        closed=closed_to(step, mine, role) if role is not Role.READER else "",
        not_mine=_not_mine(step, slip, mine),
        reason=_reason(step),
        lede=say_step(step, work, slip, spent),
        is_lead=role is Role.LEAD,
        may_record=role.rank >= Role.MAKER.rank and step.struck_at is None,
    )


def say_step(step: Step, work: Work, slip: Slip | None, spent: int) -> str:
    """The sentence on top: how far it is, whose it is, and when."""
    progress = work.progress(step)
    if step.struck_at is not None:
        return "No longer wanted. What was done in it stays on record."
    if progress is Progress.DONE:
        when = step.passed_at or step.finished_at
        if when is None:
            return "Done: a sketch is chosen."
        verb = "Passed" if step.passed_at else "Done"
        took = f", in {hours(spent)}" if spent else ""
        return f"{verb} on {day(when.astimezone(work.zone))}{took}."
    if progress is Progress.FINISHED:
        return "Finished, and waits for the lead's pass."
    if progress is Progress.UNDER_WAY:
        by = f" by {step.begun_by}" if step.begun_by else ""
        so_far = f", {hours(spent)} of {hours(step.work_min)} so far" if spent else ""
        return f"Under way, begun{by}{so_far}."
    when = f"{hours(step.work_min)} of work" if step.work_min else "A choice to make"
    if slip is None:
        return f"{when}, not planned yet."
    return f"{when}, for {slip.who} on {day(slip.start.astimezone(work.zone))}."


def _not_mine(step: Step, slip: Slip | None, mine: Maker | None) -> str:
    """Whose step it is where it is not the person's own."""
    makers = [step.pinned_maker] if step.pinned_maker else list(slip.makers) if slip else []
    if not makers or mine is None or mine in makers:
        return ""
    return and_list(maker.name for maker in makers)


def _figures(step: Step, work: Work) -> tuple[Figure, ...]:
    """The figures that the step is for: one, or all of the guise or pattern."""
    if step.figure is not None:
        return (step.figure,)
    rows = Figure.objects.filter(show=step.show, state=Figure.State.WANTED)
    if step.pour_id is not None:
        return tuple(rows.filter(castings__pour=step.pour_id))
    if step.pattern_id is not None:
        return tuple(rows.filter(guise__parts__pattern=step.pattern_id).distinct())
    return tuple(rows.filter(guise=step.guise_id))


def _casting(step: Step, work: Work) -> Casting | None:
    """The casting that the step is about, where there is one."""
    for castings in work.castings.values():
        for casting in castings:
            if step.pour_id == casting.pour_id:
                return casting
    found = work.castings.get(step.figure_id or 0, [])
    return found[0] if found and step.stage.part in ("", "head") else None


def _reason(step: Step) -> str:
    """Why it was begun though something came before it, if that was said."""
    rows = Change.objects.for_company(step.show.company).filter(noun="step", row=str(step.pk))
    for change in rows.filter(after__has_key="reason").order_by("-pk")[:1]:
        return str((change.after or {}).get("reason", ""))
    return ""


def second_words(step: Step, lead: Maker | None) -> str:
    """Who stands beside, in words."""
    stage = step.stage
    if stage.second == Second.ANYBODY:
        return "a second person for all of it"
    if stage.second == Second.CRAFT:
        return f"somebody who can {stage.second_craft} for all of it"
    if stage.second == Second.LEAD:
        return f"{lead or 'the lead'} too, for all of it"
    if stage.second == Second.SOMEONE_IN:
        return "never alone: somebody else in the workshop"
    return ""
