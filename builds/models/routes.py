"""Routes: the ordered recipe for a kind of puppet, as each company keeps it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from builds.models.parts import Part
from company.models import Company, Craft
from company.rows import CompanyRows, KeyField
from scenes.models import Kind


class Equipment(models.Model):
    """A named thing that only so many steps can hold at once: the stringing frame, a booth."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="equipment")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    capacity = models.PositiveSmallIntegerField(default=1)
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "equipment"
        ordering = ["name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                condition=Q(struck_at=None),
                name="equipment_name_once",
                violation_error_message="There is equipment of this name already.",
            ),
            models.CheckConstraint(condition=Q(capacity__gte=1), name="equipment_capacity_1_up"),
        ]

    def __str__(self) -> str:
        return self.name


class Route(models.Model):
    """How this company builds one kind of puppet."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="routes")
    kind = models.CharField(max_length=12, choices=Kind)
    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["company", "kind"], name="route_kind_once"),
        ]

    def __str__(self) -> str:
        return self.name


class Strand(models.TextChoices):
    """Which strand of the braid a stage lies on."""

    GUISE = "guise", "guise"
    HEAD = "head", "head"
    BODY = "body", "body"
    CONTROL = "control", "control"
    COSTUME = "costume", "costume"
    MEET = "meet", "meet"
    FINISH = "finish", "finish"
    END = "end", "end"


class Scope(models.TextChoices):
    """What a stage is done once for."""

    GUISE = "guise", "each guise, or each shared head, hands or body"
    POUR = "pour", "each pour"
    FIGURE = "figure", "each figure"
    COSTUME = "costume", "each costume of a figure"


class Second(models.TextChoices):
    """Who stands beside the one who does it."""

    NOBODY = "nobody", "nobody: one person"
    ANYBODY = "anybody", "a second person for all of it"
    CRAFT = "craft", "a second person with a craft, for all of it"
    LEAD = "lead", "the lead too, for all of it"
    SOMEONE_IN = "someone in", "somebody else in the workshop, at their own work"


class Mark(models.TextChoices):
    """What the braid, the thread and the needed-by date look for."""

    NONE = "", "none"
    CHOSEN = "chosen", "sketch chosen"
    PASSED = "passed", "head passed"
    CAST = "cast", "head cast"
    HUNG = "hung", "trial-hung"
    DRESSED = "dressed", "dressed"
    STRUNG = "strung", "strung"
    TRUED = "trued", "trued: fit for rehearsal"
    READY = "ready", "ready to play"


class DoneTo(models.TextChoices):
    """What of the figure a stage is done to: with another one of it, it is done again."""

    WHOLE = "", "the whole: it stays done"
    COSTUME = "costume", "its dressing: again in another costume"
    HEAD = "head", "its head: again with another head"
    BODY = "body", "its body: again with another body"


class OnlyWhen(models.TextChoices):
    """For which figures alone a stage is done."""

    ALWAYS = "", "every figure"
    MADE_OVER = "made over", "a figure that is made over"
    CROWD = "crowd", "a figure of several on one control"


class Stage(models.Model):
    """One stage of a route: what, by whom, how long, and what it waits for."""

    company_path: ClassVar[str] = "route__company"

    route = models.ForeignKey(Route, on_delete=models.CASCADE, related_name="stages")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    position = models.PositiveIntegerField(default=0)
    strand = models.CharField(max_length=8, choices=Strand)
    scope = models.CharField(max_length=8, choices=Scope, default=Scope.FIGURE)
    part = models.CharField(
        max_length=5, choices=Part, blank=True, help_text="Shared through this part when borrowed."
    )
    craft = models.ForeignKey(
        Craft, on_delete=models.PROTECT, null=True, blank=True, related_name="stages"
    )
    hours_min = models.PositiveIntegerField("minutes of work", default=0)
    each_min = models.PositiveIntegerField(
        "minutes of one sitting", null=True, blank=True, help_text="Two halves of 180 make 360."
    )
    wait_min = models.PositiveIntegerField("wait afterwards, minutes", default=0)
    rate = models.DecimalField("learning rate", max_digits=4, decimal_places=3, default=1)
    lead_only = models.BooleanField(default=False)
    second = models.CharField(max_length=12, choices=Second, default=Second.NOBODY)
    second_craft = models.ForeignKey(
        Craft, on_delete=models.PROTECT, null=True, blank=True, related_name="second_stages"
    )
    skip_if_alone = models.BooleanField(
        "left out where the lead does that craft alone", default=False
    )
    gate = models.BooleanField("waits for the lead's pass", default=False)
    in_one_go = models.BooleanField(default=False)
    needs_saw_training = models.BooleanField(default=False)
    closed_to_latex_allergy = models.BooleanField(default=False)
    closed_to_under_18 = models.BooleanField(default=False)
    equipment = models.ForeignKey(
        Equipment, on_delete=models.PROTECT, null=True, blank=True, related_name="stages"
    )
    holds_mould = models.BooleanField("holds the mould until it is out", default=False)
    hours_by_costume = models.BooleanField("hours by costume", default=False)
    first_of_costume = models.BooleanField("only for the first figure of a costume", default=False)
    only_with_working = models.BooleanField("only where eyes or mouth move", default=False)
    done_to = models.CharField(max_length=8, choices=DoneTo, blank=True, default=DoneTo.WHOLE)
    only_when = models.CharField(
        max_length=10, choices=OnlyWhen, blank=True, default=OnlyWhen.ALWAYS
    )
    mark = models.CharField(max_length=8, choices=Mark, blank=True, default=Mark.NONE)
    tools = models.CharField("tools and material", max_length=300, blank=True)
    looks_right = models.TextField("what right looks like", blank=True)
    leave_alone = models.TextField("what to leave alone", blank=True)
    ask_if = models.TextField("when to stop and ask", blank=True)
    cautions = models.TextField(blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["route", "key"], name="stage_key_once"),
            models.CheckConstraint(
                condition=Q(rate__gt=0, rate__lte=1),
                name="stage_rate_above_0_to_1",
                violation_error_message="The learning rate lies above 0 and at most 1.",
            ),
            models.CheckConstraint(
                condition=Q(each_min=None) | Q(each_min__gt=0, each_min__lte=F("hours_min")),
                name="stage_sitting_within_hours",
                violation_error_message="One sitting is longer than the whole stage.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StageAfter(models.Model):
    """A stage waits for another of its route."""

    company_path: ClassVar[str] = "stage__route__company"

    stage = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="afters")
    after = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="befores")

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["stage", "after"], name="stage_after_once"),
            models.CheckConstraint(
                condition=~Q(stage=F("after")),
                name="stage_after_another",
                violation_error_message="A stage cannot wait for itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage} after {self.after}"
