"""Characters, their guises, what each guise wears, and the sketches of it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from company.models import User
from company.rows import CompanyRows, KeyField
from scenes.models.shows import Show


class Kind(models.TextChoices):
    """What sort of puppet it is: sets the route and how many hands work it."""

    STRING = "string", "string"
    ROD = "rod", "rod"
    HAND = "hand", "hand"
    SHADOW = "shadow", "shadow"
    TABLE_TOP = "table-top", "table-top"
    OBJECT = "object", "object"


class Character(models.Model):
    """A role of the show."""

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="characters")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    letters = models.CharField(
        max_length=3, help_text="One to three letters before its figures' numbers."
    )
    position = models.PositiveIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "name_key"],
                name="character_name_once",
                violation_error_message="There is a role of this name in the show already.",
            ),
            models.UniqueConstraint(
                fields=["show", "letters"],
                name="character_letters_once",
                violation_error_message="Another role of the show has these letters.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Guise(models.Model):
    """A character as one head sculpt and one body drawing: an age, a posture, a scale."""

    company_path: ClassVar[str] = "character__show__company"

    character = models.ForeignKey(Character, on_delete=models.CASCADE, related_name="guises")
    name = models.CharField(max_length=80, blank=True, help_text="For instance: at sixty.")
    name_key = KeyField()
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.STRING)
    scale = models.DecimalField(max_digits=5, decimal_places=3, default=1)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    head_mm = models.PositiveIntegerField(null=True, blank=True)
    words = models.CharField("three words of character", max_length=120, blank=True)
    colours = models.CharField(max_length=200, blank=True)
    has_working = models.BooleanField("eyes or mouth move", default=False)
    on_one = models.PositiveSmallIntegerField("how many on one control", default=1)
    further_min = models.PositiveIntegerField("hours per further one", default=0)
    people = models.PositiveSmallIntegerField(
        "people who work it", null=True, blank=True, help_text="Blank: as its kind asks."
    )
    chosen_by = models.DateField("sketch chosen by", null=True, blank=True)
    position = models.PositiveIntegerField(default=0)
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["character", "name_key"],
                name="guise_name_once",
                violation_error_message="This role has a guise of this name already.",
            ),
            models.CheckConstraint(condition=Q(scale__gt=0), name="guise_scale_above_nought"),
            models.CheckConstraint(
                condition=Q(on_one__gte=1),
                name="guise_one_or_more_on_a_control",
                violation_error_message="At least one on a control.",
            ),
            models.CheckConstraint(
                condition=Q(people=None) | Q(people__gte=1), name="guise_people_at_least_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.character.name} {self.name}".strip()

    def get_absolute_url(self) -> str:
        return reverse("scenes:guise_detail", args=[self.character.show_id, self.pk])


class Rig(models.Model):
    """A named trick build of a guise. Without a row of its own a rig does not play plain."""

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.CASCADE, related_name="rigs")
    name = models.CharField(max_length=40, help_text="For instance: flying.")
    name_key = KeyField()
    plays_plain = models.BooleanField("may play plain too", default=False)
    breaks_away = models.BooleanField("a part of it breaks at each performance", default=False)
    part_min = models.PositiveIntegerField("hours per part that breaks", default=0)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["guise", "name_key"],
                name="rig_name_once",
                violation_error_message="This guise has a trick build of this name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Costume(models.Model):
    """What a guise wears in one state of the plot: clothes, hair and attached props."""

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.CASCADE, related_name="costumes")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    tint = models.PositiveSmallIntegerField(default=1, help_text="Swatch 1 to 6.")
    weight_g = models.PositiveIntegerField(null=True, blank=True)
    sewing_min = models.PositiveIntegerField(null=True, blank=True)
    matters = models.BooleanField("this one matters", default=False)
    position = models.PositiveIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["guise", "name_key"],
                name="costume_name_once",
                violation_error_message="This guise has a costume of this name already.",
            ),
            models.CheckConstraint(
                condition=Q(tint__gte=1, tint__lte=6), name="costume_tint_1_to_6"
            ),
        ]

    def __str__(self) -> str:
        return self.name


def sketch_path(sketch: Sketch, filename: str) -> str:
    """Where a sketch is kept: the name is given by the service, never taken from the upload."""
    return f"sketches/{filename}"


class Sketch(models.Model):
    """A drawing of a guise, its owner's alone until one is chosen."""

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.CASCADE, related_name="sketches")
    file = models.ImageField(
        upload_to=sketch_path, width_field="width_px", height_field="height_px"
    )
    width_px = models.PositiveIntegerField(editable=False)
    height_px = models.PositiveIntegerField(editable=False)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="sketches")
    at = models.DateTimeField()
    words = models.CharField(max_length=200, blank=True)
    is_chosen = models.BooleanField(default=False)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "sketches"
        ordering = ["-is_chosen", "-at"]
        constraints = [
            models.UniqueConstraint(
                fields=["guise"], condition=Q(is_chosen=True), name="sketch_one_chosen"
            )
        ]

    def __str__(self) -> str:
        return f"sketch of {self.guise}"
