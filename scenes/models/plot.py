"""A draft of the costume plot: its scenes, appearances and change rules."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from company.clock import now
from company.rows import CompanyRows, KeyField
from scenes.models.roles import Costume, Guise
from scenes.models.shows import Show

MOST_IN_A_CELL = 20  # appearances of a guise in one scene


class Draft(models.Model):
    """One state of the plot. A frozen one is never written again: the next edit opens the next."""

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="drafts")
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=80, blank=True)
    parent = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True)
    revision = models.PositiveIntegerField(default=1)
    made_at = models.DateTimeField(default=now)
    frozen_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["show", "number"], name="draft_number_once"),
        ]

    def __str__(self) -> str:
        return self.name or f"draft {self.number}"


class Scene(models.Model):
    """One scene in its playing order."""

    company_path: ClassVar[str] = "draft__show__company"

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="scenes")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    label = models.CharField(max_length=20)
    label_key = KeyField(of="label")
    title = models.CharField(max_length=120, blank=True)
    act = models.CharField(max_length=40, blank=True)
    position = models.PositiveIntegerField(default=0)
    length_s = models.PositiveIntegerField("running time")
    gap_s = models.PositiveIntegerField("gap after", default=0)
    is_interval = models.BooleanField("an interval follows", default=False)
    needed_by = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "key"], name="scene_key_once"),
            models.UniqueConstraint(
                fields=["draft", "label_key"],
                name="scene_label_once",
                violation_error_message="There is a scene with this number already.",
            ),
            models.CheckConstraint(
                condition=Q(length_s__gt=0),
                name="scene_length_above_nought",
                violation_error_message="A scene lasts longer than nought minutes.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.title}".strip()


class Hold(models.TextChoices):
    """How a figure is held while it is on."""

    TWO_HANDS = "two hands", "two hands"
    ONE_HAND = "one hand", "one hand"
    HUNG = "hung in view", "hung in view"
    SET_DOWN = "set down", "set down"


class Appearance(models.Model):
    """One entry of the costume plot. Blank times follow the scene; a blank costume is undecided."""

    company_path: ClassVar[str] = "draft__show__company"

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="appearances")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    scene = models.ForeignKey(Scene, on_delete=models.CASCADE, related_name="appearances")
    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="appearances")
    costume = models.ForeignKey(
        Costume, on_delete=models.PROTECT, null=True, blank=True, related_name="appearances"
    )
    rig = models.CharField(max_length=40, blank=True)
    enters_s = models.IntegerField(null=True, blank=True)
    leaves_s = models.IntegerField(null=True, blank=True)
    from_place = models.CharField("enters from", max_length=40, blank=True)
    to_place = models.CharField("leaves to", max_length=40, blank=True)
    hold = models.CharField(max_length=12, choices=Hold, default=Hold.TWO_HANDS)
    copies = models.PositiveSmallIntegerField(default=1)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "key"], name="appearance_key_once"),
            models.CheckConstraint(
                condition=Q(copies__gte=1),
                name="appearance_copies_at_least_one",
                violation_error_message="At least one copy.",
            ),
            models.CheckConstraint(
                condition=Q(enters_s=None) | Q(leaves_s=None) | Q(enters_s__lt=F("leaves_s")),
                name="appearance_enters_before_leaves",
                violation_error_message="It leaves before it enters.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guise} in scene {self.scene.label}"


class ChangeRule(models.Model):
    """A change that can be made between two costumes of a guise, one way only."""

    company_path: ClassVar[str] = "draft__show__company"

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="change_rules")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="change_rules")
    from_costume = models.ForeignKey(Costume, on_delete=models.PROTECT, related_name="changes_from")
    to_costume = models.ForeignKey(Costume, on_delete=models.PROTECT, related_name="changes_to")
    change_s = models.PositiveIntegerField("time it takes")
    people = models.PositiveSmallIntegerField(default=1)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "key"], name="change_rule_key_once"),
            models.UniqueConstraint(
                fields=["draft", "from_costume", "to_costume"],
                name="change_rule_once",
                violation_error_message="This change is in the draft already.",
            ),
            models.CheckConstraint(
                condition=~Q(from_costume=F("to_costume")),
                name="change_rule_two_costumes",
                violation_error_message="A change is from one costume to another.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guise}: {self.from_costume} to {self.to_costume}"
