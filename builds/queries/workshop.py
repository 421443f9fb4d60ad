"""The whole workshop of a show in one reading: steps, who has them, hours, what each waits for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Sum

from builds.core.progress import Before, Hindrance, Progress, find_hindrances
from builds.models import Casting, Figure, GuisePart, Plan, PlannedStep, Step, WorkLog
from builds.queries.hindrances import chosen_guises, progress
from builds.queries.needed import NeededBy, needed_by_dates, scenes_played
from builds.queries.plans import FigureDates, figure_dates, plan_seen_by
from builds.queries.steps import live_steps, step_waits
from company import clock
from company.models import Maker, User
from scenes.models import Scene, Show


@dataclass(frozen=True)
class Slip:
    """What a plan says of a step: who, from when to when."""

    makers: tuple[Maker, ...]
    start: datetime
    finish: datetime

    @property
    def who(self) -> str:
        """'Ines with Tomas'."""
        return " with ".join(maker.name for maker in self.makers)


@dataclass
class Work:
    """Everything that pages about figures and steps draw on."""

    show: Show
    plan: Plan | None
    zone: ZoneInfo
    today: date
    now: datetime
    steps: dict[int, Step]
    waits: Mapping[int, tuple[tuple[int, int], ...]]
    chosen: set[int]
    slips: dict[int, Slip]
    spent: dict[int, int]
    dates: dict[int, FigureDates]
    needed: dict[int, NeededBy] = field(default_factory=dict)
    scenes: dict[int, list[Scene]] = field(default_factory=dict)
    castings: dict[int, list[Casting]] = field(default_factory=dict)
    patterns: dict[int, dict[int, str]] = field(default_factory=dict)

    def progress(self, step: Step) -> Progress:
        """Where a step stands."""
        return progress(step, self.chosen)

    def is_done(self, step: Step) -> bool:
        """Whether nothing is left to do in it, the lead's pass included."""
        return self.progress(step) is Progress.DONE

    def hindrances(self, step: Step) -> list[Hindrance]:
        """What an unbegun step waits for."""
        if step.begun_at is not None or self.is_done(step):
            return []
        return find_hindrances(
            [
                Before(
                    f"{self.steps[pk].subject_words} · {self.steps[pk].stage.name}",
                    self.progress(self.steps[pk]),
                    (self.steps[pk].passed_at if self.steps[pk].stage.gate else None)
                    or self.steps[pk].finished_at,
                    wait_min,
                )
                for pk, wait_min in self.waits.get(step.pk, ())
            ],
            self.now,
        )

    def of_figure(self, figure: Figure) -> list[Step]:
        """All steps that the figure needs, its guise's and its castings' too, in route order."""
        pours = {casting.pour_id for casting in self.castings.get(figure.pk, ())}
        patterns = self.patterns.get(figure.guise_id, {})
        return [
            step
            for step in self.steps.values()
            if step.figure_id == figure.pk
            or (step.pour_id is not None and step.pour_id in pours)
            or (step.pattern_id is not None and step.pattern_id in patterns)
            or step.guise_id == figure.guise_id
        ]

    def next_of(self, steps: list[Step]) -> Step | None:
        """What comes next: under way first, then what the plan has first, then what is free."""
        left = [step for step in steps if not self.is_done(step)]
        if not left:
            return None
        far = datetime.max.replace(tzinfo=self.zone)

        def order(step: Step) -> tuple[bool, bool, datetime, bool, int]:
            slip = self.slips.get(step.pk)
            is_held = bool(self.hindrances(step))
            return (
                step.begun_at is None or self.progress(step) is Progress.FINISHED,
                # A choice takes no hours and stands in no plan, yet all else waits for it.
                bool(step.work_min) or is_held,
                slip.start if slip else far,
                slip is None and is_held,
                step.stage.position,
            )

        return min(left, key=order)


SUBJECTS = (
    "stage__craft",
    "guise__character",
    "pattern",
    "mould__pattern",
    "pour__mould__pattern",
    "figure__guise__character",
    "costume",
)


def read_work(show: Show, user: User) -> Work:
    """Read the workshop as this person may see it. The number of queries does not grow."""
    plan = plan_seen_by(user, show)
    zone = ZoneInfo(show.company.time_zone)
    # Prefetched, not joined: a thousand steps share some thirty stages and forty figures, and
    # building each of those once halves the time of a page.
    rows = live_steps(show).select_related(None).prefetch_related(*SUBJECTS)
    steps = {step.pk: step for step in rows}
    figures = list(Figure.objects.filter(show=show))
    scenes = scenes_played(show)
    castings: dict[int, list[Casting]] = defaultdict(list)
    for casting in Casting.objects.filter(figure__show=show).select_related("pattern", "pour"):
        castings[casting.figure_id].append(casting)  # type: ignore[index]
    patterns: dict[int, dict[int, str]] = defaultdict(dict)
    for use in GuisePart.objects.filter(guise__character__show=show):
        patterns[use.guise_id][use.pattern_id] = use.part
    return Work(
        show=show,
        plan=plan,
        zone=zone,
        today=clock.today(show.company),
        now=clock.now(),
        steps=steps,
        waits=step_waits(show, steps.values()),
        chosen=chosen_guises(show),
        slips=_slips(show, plan),
        spent=_spent(show),
        dates=figure_dates(plan, zone),
        needed=needed_by_dates(show, figures, scenes),
        scenes=scenes,
        castings=castings,
        patterns=patterns,
    )


def _slips(show: Show, plan: Plan | None) -> dict[int, Slip]:
    """The plan's word on each step; a step in parts runs from its first to its last."""
    if plan is None:
        return {}
    makers = {maker.pk: maker for maker in Maker.objects.for_company(show.company)}
    found: dict[int, Slip] = {}
    rows = PlannedStep.objects.filter(plan=plan).order_by("start", "part")
    for pk, *who, start, finish in rows.values_list(
        "step_id", "maker_id", "second_id", "start", "finish"
    ):
        own = tuple(makers[maker] for maker in who if maker is not None)
        before = found.get(pk, Slip(own, start, finish))
        found[pk] = Slip(
            tuple(dict.fromkeys(before.makers + own)),
            min(before.start, start),
            max(before.finish, finish),
        )
    return found


def _spent(show: Show) -> dict[int, int]:
    rows = WorkLog.objects.filter(step__show=show, struck_at=None)
    return dict(rows.values_list("step_id").annotate(Sum("minutes")))
