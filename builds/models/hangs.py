"""What was weighed and hung: weighed parts, trial hangs, and how a costume sits on its figure."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from builds.models.drawings import Drawing, PartKind
from builds.models.figures import Figure
from company.rows import CompanyRows
from scenes.models import Costume


class Weighing(models.Model):
    """A part of one figure on the scale: one piece, bare, with what is fixed in it.

    The balance point is where it lies in the drawing, found by balancing or hanging the piece.
    A newer weighing of the part wins; a mistake is struck.
    """

    company_path: ClassVar[str] = "figure__show__company"

    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="weighings")
    part = models.CharField(max_length=10, choices=PartKind)
    mass_g = models.DecimalField("weighs", max_digits=7, decimal_places=1)
    centre_x_mm = models.DecimalField(
        "balances at, forward", max_digits=6, decimal_places=1, null=True, blank=True
    )
    centre_y_mm = models.DecimalField(
        "balances at, above the floor", max_digits=6, decimal_places=1, null=True, blank=True
    )
    note = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_g__gt=0),
                name="weighing_above_nought",
                violation_error_message="A part weighs more than nought.",
            ),
            models.CheckConstraint(
                condition=Q(centre_x_mm=None, centre_y_mm=None)
                | Q(centre_x_mm__isnull=False, centre_y_mm__isnull=False),
                name="weighing_centre_whole",
                violation_error_message="A balance point has both numbers.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part} of {self.figure}: {self.mass_g} g"


class TrialHang(models.Model):
    """A measured lean of one figure: degrees forward of the drawing, by plumb line.

    `hung` keeps holes, joints, ballast and cloth as they were then, because the drawing goes on.
    """

    company_path: ClassVar[str] = "figure__show__company"

    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="trial_hangs")
    drawing = models.ForeignKey(Drawing, on_delete=models.PROTECT, related_name="trial_hangs")
    costume = models.ForeignKey(
        Costume, on_delete=models.PROTECT, null=True, blank=True, related_name="trial_hangs"
    )
    lean_deg = models.DecimalField("leans forward by", max_digits=4, decimal_places=1)
    within_deg = models.DecimalField("good to", max_digits=3, decimal_places=1, default=1)
    head_share_pct = models.PositiveSmallIntegerField(default=50)
    hung = models.JSONField(default=dict)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(lean_deg__gte=-90, lean_deg__lte=90),
                name="trial_lean_within_90",
                violation_error_message="A lean runs from 90 degrees back to 90 forward.",
            ),
            models.CheckConstraint(
                condition=Q(within_deg__gt=0),
                name="trial_within_above_nought",
                violation_error_message="No lean is measured more exactly than nought.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure} leant {self.lean_deg} degrees"


class CostumeFit(models.Model):
    """How the weight of a costume sits: its shares on the body, and whether it holds the hips."""

    company_path: ClassVar[str] = "costume__guise__character__show__company"

    costume = models.OneToOneField(Costume, on_delete=models.CASCADE, related_name="fit")
    torso_pct = models.PositiveSmallIntegerField("on the torso", default=60)
    head_pct = models.PositiveSmallIntegerField("on the head", default=5)
    arms_pct = models.PositiveSmallIntegerField("on both arms", default=15)
    legs_pct = models.PositiveSmallIntegerField("on both legs", default=20)
    forward_mm = models.DecimalField(
        "its weight on the torso lies forward by", max_digits=5, decimal_places=1, default=0
    )
    holds_hips = models.BooleanField("so stiff that it holds the hips as drawn", default=False)
    holds_shoulders = models.BooleanField("holds the shoulders as drawn", default=False)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    torso_pct=100 - F("head_pct") - F("arms_pct") - F("legs_pct"),
                ),
                name="costume_fit_makes_100",
                violation_error_message="The shares make 100 per cent.",
            )
        ]

    def __str__(self) -> str:
        return f"fit of {self.costume}"
