"""What has been done at the demo's bench up to now, recorded when it was done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from builds.core import planning as core
from builds.demo import story
from builds.demo.castings import come_out
from builds.demo.story import StepStory
from builds.loading import instant_of, load_problem
from builds.models import Plan, PlannedStep, Step
from builds.queries.steps import live_steps, step_waits
from builds.services.hours import log_work
from builds.services.work import begin_step, call_lead, finish_step, pass_step
from company import clock
from company.models import Maker, User
from company.queries import working_time_of
from scenes.models import Show

# How long things really took beside the plan, in turn: a little over, as it goes.
REALLY_TOOK = (1.0, 1.1, 0.9, 1.25, 1.0, 1.05, 1.2)
MOST_A_DAY_MIN = 12 * 60


def carry_out_past(show: Show, lead: User, start: datetime) -> None:
    """Do every step that the story has done, in the order and hours in which people could."""
    with clock.fixed_at(start):
        loaded = load_problem(show)
    done = _done_steps(show)
    pieces = [step for step in loaded.problem.steps if loaded.pieces[step.id].step.pk in done]
    known = {piece.id for piece in pieces}
    problem = replace(
        loaded.problem,
        steps=tuple(
            replace(piece, after=tuple(w for w in piece.after if w[0] in known)) for piece in pieces
        ),
    )
    plan = core.solve(problem, work=0, seed=1)
    if plan.status == "none":
        raise RuntimeError("The story's past cannot be planned: " + " ".join(plan.reasons))
    spans: dict[int, list[core.PlannedStep]] = {}
    for planned in plan.steps:
        if planned.person is not None:
            spans.setdefault(loaded.pieces[planned.id].step.pk, []).append(planned)
    rows = {step.pk: step for step in live_steps(show).select_related("show__company")}
    calendar = _Days(show, start, max(instant_of(step.finish) for step in plan.steps))
    for index, (pk, parts) in enumerate(sorted(spans.items(), key=lambda item: item[1][-1].finish)):
        maker = loaded.makers[parts[0].person or ""]
        begun, finished = instant_of(parts[0].start), instant_of(parts[-1].finish)
        minutes = sum(loaded.step(part.id).minutes for part in parts)
        days = calendar.between(maker, begun, finished)
        _do(rows[pk], lead, maker, begun, finished, minutes, days, index)


def _done_steps(show: Show) -> set[int]:
    """Ids of the steps that are done: those the story names and all that they waited for."""
    waits = step_waits(show)
    ahead = [
        step.pk
        for (role, guise, costume), stages in story.DONE.items()
        for stage in stages
        for step in find_steps(show, StepStory(role, guise, costume, stage))
    ]
    done: set[int] = set()
    while ahead:
        pk = ahead.pop()
        if pk not in done:
            done.add(pk)
            ahead += [before for before, _ in waits.get(pk, ())]
    return done


def find_steps(show: Show, told: StepStory) -> list[Step]:
    """The steps that the story means: of its figure, or shared by the figure's guise."""
    steps = live_steps(show).filter(stage__key=told.stage).select_related("show__company")
    own = steps.filter(
        figure__guise__character__name=told.role,
        figure__guise__name=told.guise,
        figure__costumes__costume__name=told.costume,
        figure__costumes__is_built_in=True,
    ).distinct()
    if own.exists():
        return list(own)
    shared = steps.filter(pattern__uses__guise__character__name=told.role).filter(
        pattern__uses__guise__name=told.guise
    )
    return list(shared.distinct()) or list(
        steps.filter(guise__character__name=told.role, guise__name=told.guise)
    )


def _do(
    step: Step,
    lead: User,
    maker: Maker,
    start: datetime,
    finish: datetime,
    minutes: int,
    days: list[date],
    index: int,
) -> None:
    """Begin a step when it was begun and finish it when it was finished; gates are passed."""
    with clock.fixed_at(start):
        begin_step(step=step, user=lead, maker=maker, hindrances=())
    with clock.fixed_at(finish):
        took = int(minutes * REALLY_TOOK[index % len(REALLY_TOOK)] / 15) * 15 or 15
        days = days or [finish.date()]
        for day in days:
            log_work(
                step=step,
                user=lead,
                maker=maker,
                minutes=max(15, min(took // len(days) // 15 * 15, 7 * 60)),
                day=day,
            )
        finish_step(step=step, user=lead, maker=maker)
        if step.stage.gate:
            pass_step(step=step, user=lead)
    if step.pour_id is not None:
        come_out(step, lead, maker, finish, clock.now())


class _Days:
    """The days on which each maker was in."""

    def __init__(self, show: Show, first: datetime, last: datetime) -> None:
        self.zone = ZoneInfo(show.company.time_zone)
        times = working_time_of(show.company, first.date(), last.date())
        self.of = {
            maker: sorted({instant_of(a).astimezone(self.zone).date() for a, _ in time.work})
            for maker, time in times.items()
        }

    def between(self, maker: Maker, start: datetime, finish: datetime) -> list[date]:
        """Those from the day of one instant to the day of another."""
        first, last = start.astimezone(self.zone).date(), finish.astimezone(self.zone).date()
        return [day for day in self.of[maker.pk] if first <= day <= last]


def last_day_of(maker: Maker, now: datetime, zone: ZoneInfo) -> date:
    """The last day before today on which a maker was in."""
    today = now.astimezone(zone).date()
    spans = working_time_of(maker.company, today - timedelta(days=30), today)[maker.pk].work
    days = [instant_of(start).astimezone(zone).date() for start, _ in spans]
    return max(day for day in days if day < today)


def carry_out_pinned_up(show: Show, lead: User, plan: Plan, now: datetime) -> None:
    """Work by the pinned-up plan up to now, but for one step of before today: it is left over."""
    zone = ZoneInfo(show.company.time_zone)
    told = {step.pk for step in _told_apart(show)}
    parts: dict[int, list[PlannedStep]] = {}
    rows = PlannedStep.objects.filter(plan=plan, finish__lte=now, step__begun_at=None)
    for row in rows.select_related("maker").order_by("start", "pk"):
        parts.setdefault(row.step_id, []).append(row)
    whole = [group for pk, group in parts.items() if len(group) == group[0].parts]
    whole = [group for group in whole if group[0].step_id not in told]
    calendar = _Days(show, plan.made_at, now)
    left = _left_over(whole, now.astimezone(zone).date(), zone)
    steps = {step.pk: step for step in live_steps(show).select_related("show__company")}
    for index, group in enumerate(sorted(whole, key=lambda group: group[-1].finish)):
        pk = group[0].step_id
        if pk == left or not _is_open(show, pk):
            continue
        minutes = sum(row.minutes for row in group)
        maker, begun, finished = group[0].maker, group[0].start, group[-1].finish
        days = calendar.between(maker, begun, finished)
        _do(steps[pk], lead, maker, begun, finished, minutes, days, index)


def _left_over(whole: list[list[PlannedStep]], today: date, zone: ZoneInfo) -> int | None:
    """The step that was not done: the last one due before today, a helper's if there is one."""
    due = [group for group in whole if group[-1].finish.astimezone(zone).date() < today]
    due.sort(key=lambda group: (not group[0].maker.is_lead, group[-1].finish))
    return due[-1][0].step_id if due else None


def _is_open(show: Show, pk: int) -> bool:
    """Whether all that a step waits for is done."""
    befores = [before for before, _ in step_waits(show).get(pk, ())]
    return all(step.is_done for step in live_steps(show).filter(pk__in=befores))


def _told_apart(show: Show) -> Iterable[Step]:
    for told in (
        story.JUST_MOULDED,
        story.FINISHED_NOT_PASSED,
        story.CALLS_LEAD,
        *story.UNDER_WAY,
    ):
        yield from find_steps(show, told)


def say_how_it_stood(show: Show, lead: User, now: datetime, before: date) -> None:
    """The mould that dries, the trial hang that waits for its pass, what is under way."""
    zone = ZoneInfo(show.company.time_zone)
    makers = {maker.name: maker for maker in Maker.objects.filter(company=show.company)}
    for told in (story.JUST_MOULDED, story.FINISHED_NOT_PASSED):
        step = find_steps(show, told)[0]
        begun = datetime.combine(before, time(9), zone)
        with clock.fixed_at(begun):
            begin_step(step=step, user=lead, maker=makers[told.who], hindrances=())
        with clock.fixed_at(begun + timedelta(hours=8)):
            minutes = int(told.hours * 60)
            finish_step(step=step, user=lead, maker=makers[told.who], minutes=minutes)
    for told in story.UNDER_WAY:
        step, maker = find_steps(show, told)[0], makers[told.who]
        day = last_day_of(maker, now, zone)
        first = last_day_of(maker, datetime.combine(day, time(7), zone), zone)
        with clock.fixed_at(datetime.combine(first, time(10), zone)):
            begin_step(step=step, user=lead, maker=maker, hindrances=())
        for each in (first, day):
            with clock.fixed_at(datetime.combine(each, time(17), zone)):
                log_work(step=step, user=lead, maker=maker, minutes=int(told.hours * 30))
    step = find_steps(show, story.CALLS_LEAD)[0]
    with clock.fixed_at(now):
        call_lead(step=step, user=lead, words=story.CALLS_LEAD.words)
