"""Plans: who does which step when; the one that is pinned up; and runs that look for better."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from builds.models.steps import Step
from company.models import Maker, User
from company.rows import CompanyRows
from scenes.models import Show


class Plan(models.Model):
    """One plan of a show. A draft until pinned up; once pinned up never changed, only followed."""

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="plans")
    made_at = models.DateTimeField()
    by = models.ForeignKey(
        User, on_delete=models.SET_NULL, null=True, blank=True, related_name="plans"
    )
    draft_number = models.PositiveIntegerField(null=True, blank=True)
    seed = models.PositiveIntegerField(default=1)
    work = models.PositiveIntegerField(default=0)
    status = models.CharField(max_length=20)
    reasons = models.JSONField(default=list, blank=True)
    ready = models.DateTimeField(null=True, blank=True)
    bound = models.DateTimeField(null=True, blank=True)
    bound_words = models.CharField(max_length=300, blank=True)
    chain = models.JSONField(default=list, blank=True)
    chain_words = models.TextField(blank=True)
    outlook = models.CharField("tight, fair or easy", max_length=10, blank=True)
    outlook_words = models.CharField(max_length=300, blank=True)
    is_pinned_up = models.BooleanField(default=False)
    pinned_up_at = models.DateTimeField(null=True, blank=True)
    figures = models.JSONField(
        default=list,
        blank=True,
        help_text="Figure, fit for rehearsal, ready to play, minutes late.",
    )
    odds = models.JSONField(
        null=True, blank=True, help_text="What two thousand runs of the plan say."
    )
    kept_until = models.DateTimeField(
        null=True, blank=True, help_text="Until when helpers' days stand as they were pinned up."
    )
    is_released = models.BooleanField(
        default=False, help_text="The lead has let the helpers' next days move."
    )
    changes_seen = models.BigIntegerField(
        default=0, help_text="The last change on record when it was made."
    )

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show"], condition=Q(is_pinned_up=True), name="plan_one_pinned_up"
            )
        ]

    def __str__(self) -> str:
        return f"plan of {self.show}, {self.made_at:%Y-%m-%d %H:%M}"


class PlannedStep(models.Model):
    """A step, or one part of a long step, with its people and times."""

    company_path: ClassVar[str] = "plan__show__company"

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="steps")
    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="planned")
    part = models.PositiveSmallIntegerField(default=1)
    parts = models.PositiveSmallIntegerField(default=1)
    minutes = models.PositiveIntegerField()
    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="planned")
    second = models.ForeignKey(
        Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="planned_second"
    )
    start = models.DateTimeField()
    finish = models.DateTimeField()
    latest_start = models.DateTimeField(null=True, blank=True)
    in_hand_min = models.IntegerField(null=True, blank=True)
    is_on_thread = models.BooleanField(default=False)
    is_kept = models.BooleanField(default=False)  # a helper's day, as it was pinned up

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["start", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "step", "part"], name="planned_step_once"),
            models.CheckConstraint(
                condition=Q(start__lte=F("finish")), name="planned_step_start_before_finish"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.step}, {self.maker}"


class PlanRun(models.Model):
    """A long search in the background. No heartbeat for a minute means ended.

    Its aim is a better plan, or what would bring the show back in time: `asked` then holds what
    is supposed besides, `found` what was tried and what came of it, best first.
    """

    company_path: ClassVar[str] = "show__company"

    class State(models.TextChoices):
        ASKED = "asked", "asked for"
        RUNNING = "running", "running"
        ENDED = "ended", "ended"

    class Aim(models.TextChoices):
        BETTER = "better", "a better plan"
        IN_TIME = "in time", "back in time"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="plan_runs")
    aim = models.CharField(max_length=8, choices=Aim, default=Aim.BETTER)
    state = models.CharField(max_length=8, choices=State, default=State.ASKED)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        User, on_delete=models.SET_NULL, null=True, blank=True, related_name="plan_runs"
    )
    started_at = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    stop_asked = models.BooleanField(default=False)
    seconds = models.PositiveIntegerField(default=20)
    best = models.ForeignKey(
        Plan, on_delete=models.SET_NULL, null=True, blank=True, related_name="found_by"
    )
    words = models.CharField(max_length=300, blank=True)
    asked = models.JSONField(default=list, blank=True)
    found = models.JSONField(default=dict, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "aim"],
                condition=Q(state__in=["asked", "running"]),
                name="plan_run_one_live",
            )
        ]

    def __str__(self) -> str:
        return f"run for {self.show}, {self.state}"
