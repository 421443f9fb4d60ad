"""Moulds, their pours and the castings that came out of them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from builds.models.figures import Figure, Pattern
from company.models import Maker
from company.rows import CompanyRows


class Mould(models.Model):
    """One mould of a pattern. Until it is made it stands as wanted."""

    company_path: ClassVar[str] = "pattern__show__company"

    class State(models.TextChoices):
        WANTED = "wanted", "not made yet"
        IN_USE = "in use", "in use"
        MENDED = "mended", "mended"
        RETIRED = "retired", "retired"

    class Material(models.TextChoices):
        PLASTER = "plaster", "plaster"
        SILICONE = "silicone", "silicone"

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="moulds")
    number = models.PositiveIntegerField(default=1)
    material = models.CharField(max_length=12, choices=Material, default=Material.PLASTER)
    parts = models.PositiveSmallIntegerField(default=2)
    cavities = models.PositiveSmallIntegerField(default=1)
    made_at = models.DateTimeField(null=True, blank=True)
    first_use = models.DateTimeField(null=True, blank=True)
    rest_min = models.PositiveIntegerField("rest between pours, minutes", default=0)
    life = models.PositiveIntegerField("castings it is good for", default=30)
    state = models.CharField(max_length=8, choices=State, default=State.WANTED)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["pattern", "number"], name="mould_number_once"),
            models.CheckConstraint(condition=Q(cavities__gte=1), name="mould_cavities_1_up"),
        ]

    def __str__(self) -> str:
        return f"{self.pattern.name}, mould {self.number}"


class Pour(models.Model):
    """One filling of one mould, planned until it has a time."""

    company_path: ClassVar[str] = "mould__pattern__show__company"

    mould = models.ForeignKey(Mould, on_delete=models.PROTECT, related_name="pours")
    number = models.PositiveIntegerField()
    poured_at = models.DateTimeField(null=True, blank=True)
    maker = models.ForeignKey(
        Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="pours"
    )
    lot = models.CharField(max_length=40, blank=True)
    mix = models.CharField(max_length=200, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["mould", "number"], name="pour_number_once"),
        ]

    def __str__(self) -> str:
        return f"pour {self.number} of {self.mould}"


class Casting(models.Model):
    """One casting, known by its number for good: in one figure, or in one place."""

    company_path: ClassVar[str] = "pattern__show__company"

    class Result(models.TextChoices):
        GOOD = "good", "good"
        FLAWED = "flawed", "flawed"
        THROWN = "thrown out", "thrown out"

    pour = models.ForeignKey(Pour, on_delete=models.PROTECT, related_name="castings")
    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="castings")
    number = models.PositiveIntegerField()
    result = models.CharField(max_length=12, choices=Result, null=True, blank=True)
    figure = models.ForeignKey(
        Figure, on_delete=models.PROTECT, null=True, blank=True, related_name="castings"
    )
    place = models.CharField(max_length=80, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pattern", "number"]
        constraints = [
            models.UniqueConstraint(fields=["pattern", "number"], name="casting_number_once"),
            models.CheckConstraint(
                condition=Q(figure=None) | Q(place=""),
                name="casting_in_one_place",
                violation_error_message="A casting is in a figure or in a place, not in both.",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        """What is written inside the casting: JORY60-03."""
        return f"{self.pattern.code}-{self.number:02d}"
