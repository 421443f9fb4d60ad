"""What lies between the joints of a drawing: its parts, and the ballast let into them."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from builds.models.drawings import Drawing, PartKind, mm_field
from company.rows import CompanyRows


class DrawingPart(models.Model):
    """What lies between joints: its shape, what it is made of, and what is fixed in it.

    The axis runs from its upper end to its lower one in profile (a foot's from heel to toe).
    Widths are across the figure, depths across the axis in profile. `outline` and
    `front_outline` are lists of [x, y] and [z, y] in drawing millimetres, where the shape is the
    outline; the outline is then `width_mm` thick and `fullness_pct` of that block is left.
    """

    company_path: ClassVar[str] = "drawing__guise__character__show__company"

    class Shape(models.TextChoices):
        ELLIPSOID = "ellipsoid", "ellipsoid (egg)"
        TAPER = "taper", "tapered cylinder"
        OUTLINE = "outline", "outline from the drawing"

    class MadeOf(models.TextChoices):
        WOOD = "wood", "wood"
        CASTING = "casting", "casting with a wall"

    class Grain(models.TextChoices):
        ALONG = "along", "along the part"
        ACROSS = "across", "across the part"

    drawing = models.ForeignKey(Drawing, on_delete=models.CASCADE, related_name="parts")
    kind = models.CharField(max_length=10, choices=PartKind)
    shape = models.CharField(max_length=9, choices=Shape, default=Shape.TAPER)
    top_x_mm = mm_field("upper end, forward")
    top_y_mm = mm_field("upper end, above the floor")
    bottom_x_mm = mm_field("lower end, forward")
    bottom_y_mm = mm_field("lower end, above the floor")
    width_mm = mm_field("width, upper end or widest")
    depth_mm = mm_field("depth, upper end or deepest")
    width_low_mm = mm_field("width, lower end", null=True, blank=True)
    depth_low_mm = mm_field("depth, lower end", null=True, blank=True)
    outline = models.JSONField(null=True, blank=True)
    front_outline = models.JSONField(null=True, blank=True)
    fullness_pct = models.PositiveSmallIntegerField(default=80)
    made_of = models.CharField(max_length=8, choices=MadeOf, default=MadeOf.WOOD)
    material = models.CharField(max_length=30, default="lime")
    density_kg_m3 = models.PositiveIntegerField("own density", null=True, blank=True)
    wall_mm = mm_field("wall, blank for solid", null=True, blank=True)
    hardware_g = models.DecimalField(
        "hooks, pins, eyes in it", max_digits=7, decimal_places=1, default=0
    )
    grain = models.CharField(max_length=6, choices=Grain, default=Grain.ALONG)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["drawing", "kind"], name="part_kind_once"),
            models.CheckConstraint(
                condition=Q(width_mm__gt=0, depth_mm__gt=0),
                name="part_sizes_above_nought",
                violation_error_message="Widths and depths are more than nought.",
            ),
            models.CheckConstraint(
                condition=Q(hardware_g__gte=0),
                name="part_hardware_not_negative",
                violation_error_message="What is fixed in it weighs nought or more.",
            ),
            models.CheckConstraint(
                condition=~Q(top_x_mm=F("bottom_x_mm"), top_y_mm=F("bottom_y_mm")),
                name="part_has_length",
                violation_error_message="The two ends of the part lie on one point.",
            ),
        ]

    def __str__(self) -> str:
        return str(self.get_kind_display())


class Ballast(models.Model):
    """Metal let into a part to true it, in one piece at one point."""

    company_path: ClassVar[str] = "drawing__guise__character__show__company"

    class Metal(models.TextChoices):
        BRASS = "brass", "brass"
        STEEL = "steel", "steel"
        BISMUTH = "bismuth", "bismuth"
        TUNGSTEN = "tungsten", "tungsten"
        LEAD = "lead", "lead"

    drawing = models.ForeignKey(Drawing, on_delete=models.CASCADE, related_name="ballast")
    part = models.CharField(max_length=10, choices=PartKind, default=PartKind.TORSO)
    words = models.CharField("where", max_length=80, blank=True)
    x_mm = mm_field("forward of the line of balance")
    y_mm = mm_field("above the floor")
    mass_g = models.DecimalField(
        max_digits=7, decimal_places=1, validators=[MinValueValidator(0), MaxValueValidator(5000)]
    )
    metal = models.CharField(max_length=8, choices=Metal, default=Metal.BRASS)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "ballast"
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_g__gt=0),
                name="ballast_above_nought",
                violation_error_message="Ballast weighs more than nought.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.mass_g} g of {self.metal}, {self.words or self.part}"
