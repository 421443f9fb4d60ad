"""Controls and their holes, strings by name, venues, and who looked at a bridge's rail and edge."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from company.models import Company
from company.rows import CompanyRows, KeyField
from scenes.models import Guise, Show


def _mm(label: str, **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(label, max_digits=6, decimal_places=1, **more)  # type: ignore[arg-type]


class Control(models.Model):
    """The control of a guise's figures, as it is held, and the line it is strung with."""

    company_path: ClassVar[str] = "guise__character__show__company"

    class Form(models.TextChoices):
        UPRIGHT = "upright", "upright"
        LEVEL = "level", "horizontal"
        PADDLE = "paddle", "paddle"

    guise = models.OneToOneField(Guise, on_delete=models.PROTECT, related_name="control")
    form = models.CharField(max_length=8, choices=Form, default=Form.UPRIGHT)
    tilt_deg = models.DecimalField(
        "held tilted, front down by", max_digits=4, decimal_places=1, default=0
    )
    weight_g = models.PositiveIntegerField("weighs", default=250)
    line = models.CharField("which line", max_length=80, blank=True)
    strength_n = models.DecimalField(
        "breaks at, newton", max_digits=6, decimal_places=1, default=133
    )
    knot_factor_pct = models.PositiveSmallIntegerField("a knot leaves, per cent", default=45)
    safety = models.DecimalField("safety factor", max_digits=4, decimal_places=1, default=5)
    knot_mm = models.PositiveSmallIntegerField("for the knot at the figure", default=60)
    spare_mm = models.PositiveSmallIntegerField("to spare at the control", default=300)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(knot_factor_pct__gte=1, knot_factor_pct__lte=100),
                name="control_knot_factor_to_100",
                violation_error_message="A knot leaves from 1 to 100 per cent of the line.",
            ),
            models.CheckConstraint(
                condition=Q(safety__gte=1),
                name="control_safety_1_up",
                violation_error_message="The safety factor is 1 or more.",
            ),
            models.CheckConstraint(
                condition=Q(strength_n__gt=0),
                name="control_strength_above_nought",
                violation_error_message="The line breaks at more than nought.",
            ),
        ]

    def __str__(self) -> str:
        return f"control of {self.guise}"


class ControlString(models.Model):
    """A hole of the control and the hole of the figure, by name, that its string goes to.

    Millimetres from where the hand holds it: x forward, y up, z to the side (both sides where the
    figure's hole is a pair).
    """

    company_path: ClassVar[str] = "control__guise__character__show__company"

    control = models.ForeignKey(Control, on_delete=models.CASCADE, related_name="strings")
    name = models.CharField("hole of the control", max_length=40)
    name_key = KeyField()
    to_hole = models.CharField("goes to the figure's hole", max_length=40)
    to_key = KeyField(of="to_hole")
    x_mm = _mm("forward of the grip", default=0)
    y_mm = _mm("above the grip", default=0)
    z_mm = _mm("from the middle", default=0)
    is_taut = models.BooleanField("taut at rest", default=False)
    position = models.PositiveSmallIntegerField(default=0)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["control", "name_key"],
                name="control_hole_once",
                violation_error_message="The control has a hole of this name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Reach(models.Model):
    """How high above the bridge's floor a performer's hand holds the control.

    Known by name: whoever performs need not be a maker, nor sign in.
    """

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="reaches")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    reach_mm = models.PositiveIntegerField()

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "reaches"
        ordering = ["name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                name="reach_name_once",
                violation_error_message="How high this performer reaches is said already.",
            ),
            models.CheckConstraint(
                condition=Q(reach_mm__gt=0),
                name="reach_above_nought",
                violation_error_message="The hand is held above the bridge's floor.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Venue(models.Model):
    """Where a company plays, and the bridge that stands there."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="venues")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    bridge_mm = models.PositiveIntegerField("height of the bridge", null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                condition=Q(struck_at=None),
                name="venue_name_once",
                violation_error_message="There is a venue of this name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class BridgeCheck(models.Model):
    """What was said of rail and edge when a bridge got its height: a show's own, or a venue's."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="bridge_checks")
    show = models.ForeignKey(
        Show, on_delete=models.CASCADE, null=True, blank=True, related_name="bridge_checks"
    )
    venue = models.ForeignKey(
        Venue, on_delete=models.CASCADE, null=True, blank=True, related_name="bridge_checks"
    )
    bridge_mm = models.PositiveIntegerField()
    rail_mm = models.PositiveIntegerField("top of the guard rail above its floor")
    has_edge_board = models.BooleanField(default=False)
    looked_at_by = models.CharField(max_length=80, blank=True)
    at = models.DateTimeField()

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(show__isnull=False, venue=None) | Q(show=None, venue__isnull=False),
                name="bridge_check_of_one",
            )
        ]

    def __str__(self) -> str:
        return f"bridge of {self.show or self.venue} at {self.bridge_mm} mm"
