"""The full-size drawing of a guise: pictures, string holes and joints.

Profile coordinates in millimetres: x forward of the line of balance, y up from the floor, z to one
side from the middle. A row of a pair (arms, legs, their joints and holes) stands for both sides.
"""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from company.models import Company
from company.rows import CompanyRows, KeyField
from scenes.models import Guise


class PartKind(models.TextChoices):
    """The pieces of a figure. The torso is one with the pelvis; a limb's row stands for two."""

    TORSO = "torso", "torso with pelvis"
    HEAD = "head", "head"
    UPPER_ARM = "upper arm", "upper arm"
    FORE_ARM = "fore arm", "fore arm"
    HAND = "hand", "hand"
    THIGH = "thigh", "thigh"
    SHANK = "shank", "lower leg"
    FOOT = "foot", "foot"

    @property
    def is_pair(self) -> bool:
        """Whether a figure has two of it."""
        return self not in (PartKind.TORSO, PartKind.HEAD)


class JointKind(models.TextChoices):
    """Where two parts meet, named by the trade."""

    NECK = "neck", "neck"
    SHOULDER = "shoulder", "shoulder"
    ELBOW = "elbow", "elbow"
    WRIST = "wrist", "wrist"
    HIP = "hip", "hip"
    KNEE = "knee", "knee"
    ANKLE = "ankle", "ankle"


def mm_field(label: str = "", **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    """Millimetres, or points of a picture, to a tenth."""
    return models.DecimalField(label or None, max_digits=6, decimal_places=1, **more)  # type: ignore[arg-type]


class Drawing(models.Model):
    """One version of the body drawing of a guise. The newest is current; older ones are kept.

    A guise that borrows another's body and has no drawing of its own goes by the lender's.
    """

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="drawings")
    number = models.PositiveIntegerField()
    is_current = models.BooleanField(default=True)
    height_mm = mm_field("floor to crown")
    head_shrinkage_pct = models.DecimalField(
        "shrinkage of the head's casting, blank goes by its mould",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
    )
    head_share_pct = models.PositiveSmallIntegerField(
        "how much of the head its strings carry at rest, per cent", default=50
    )
    lift_mm = mm_field("hung higher than drawn by", default=0)
    words = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["guise", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["guise", "number"], name="drawing_number_once"),
            models.UniqueConstraint(
                fields=["guise"], condition=Q(is_current=True), name="drawing_one_current"
            ),
            models.CheckConstraint(
                condition=Q(height_mm__gt=0),
                name="drawing_height_above_nought",
                violation_error_message="The figure's height is more than nought.",
            ),
            models.CheckConstraint(
                condition=Q(head_share_pct__lte=100),
                name="drawing_head_share_to_100",
                violation_error_message="The head's strings carry from 0 to 100 per cent of it.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guise}, drawing {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("builds:hang", args=[self.guise_id])


def picture_path(picture: DrawingPicture, filename: str) -> str:
    """Where it is kept: the name is given by the service, never taken from the upload."""
    return f"drawings/{filename}"


class DrawingPicture(models.Model):
    """A photo or scan of the paper drawing, with two marks for the scale.

    The marks are picture points `marks_mm` apart on the paper at full size. The line of balance
    (profile) or the middle line (front) stands on the floor at (`axis_x_px`, `floor_y_px`); a
    second point on it, where there is one, sets a picture straight that was taken askew. Pixels
    run right and down from the top left of the stored, upright picture.
    """

    company_path: ClassVar[str] = "drawing__guise__character__show__company"

    class View(models.TextChoices):
        FRONT = "front", "front"
        PROFILE = "profile", "profile"

    drawing = models.ForeignKey(Drawing, on_delete=models.CASCADE, related_name="pictures")
    view = models.CharField(max_length=8, choices=View)
    file = models.ImageField(
        upload_to=picture_path, width_field="width_px", height_field="height_px"
    )
    width_px = models.PositiveIntegerField(editable=False)
    height_px = models.PositiveIntegerField(editable=False)
    faces_left = models.BooleanField("in profile it faces left", default=True)
    mark_a_x_px = mm_field(null=True, blank=True)
    mark_a_y_px = mm_field(null=True, blank=True)
    mark_b_x_px = mm_field(null=True, blank=True)
    mark_b_y_px = mm_field(null=True, blank=True)
    marks_mm = mm_field("how far apart the marks are", null=True, blank=True)
    floor_y_px = mm_field(null=True, blank=True)
    axis_x_px = mm_field(null=True, blank=True)
    axis_top_x_px = mm_field(null=True, blank=True)
    axis_top_y_px = mm_field(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["drawing", "view"], name="drawing_view_once"),
            models.CheckConstraint(
                condition=Q(marks_mm=None) | Q(marks_mm__gt=0),
                name="drawing_marks_apart",
                violation_error_message="The two marks are more than nought apart.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.drawing}, {self.view}"


class Side(models.TextChoices):
    """Where across the figure a point lies."""

    PAIR = "pair", "on both sides"
    MIDDLE = "middle", "in the middle"
    LEFT = "left", "left alone"
    RIGHT = "right", "right alone"


class DrawingHole(models.Model):
    """A string hole of the figure, by name. The figure hangs from the one that is `hangs`."""

    company_path: ClassVar[str] = "drawing__guise__character__show__company"

    drawing = models.ForeignKey(Drawing, on_delete=models.CASCADE, related_name="holes")
    name = models.CharField(max_length=40)
    name_key = KeyField()
    part = models.CharField("in which part", max_length=10, choices=PartKind)
    side = models.CharField(max_length=6, choices=Side, default=Side.PAIR)
    hangs = models.BooleanField("the figure hangs from it", default=False)
    x_mm = mm_field("forward of the line of balance")
    y_mm = mm_field("above the floor")
    z_mm = mm_field("from the middle", default=0)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-y_mm", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["drawing", "name_key"],
                name="hole_name_once",
                violation_error_message="There is a hole of this name already.",
            ),
            models.UniqueConstraint(
                fields=["drawing"], condition=Q(hangs=True), name="drawing_hangs_once"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class DrawingJoint(models.Model):
    """A joint. Stops are turns of the lower part from the drawn pose, forward above nought.

    None is no stop that way. A knee cut at the drawn bend has -100 to 0: back a hundred degrees,
    forward not at all. Forward is the sense that swings a hanging part forward: for a foot that
    is toe up, for a head looking up. A held joint keeps the drawn bend.
    """

    company_path: ClassVar[str] = "drawing__guise__character__show__company"

    drawing = models.ForeignKey(Drawing, on_delete=models.CASCADE, related_name="joints")
    kind = models.CharField(max_length=8, choices=JointKind)
    x_mm = mm_field("forward of the line of balance")
    y_mm = mm_field("above the floor")
    z_mm = mm_field("from the middle", default=0)
    is_held = models.BooleanField("held at the drawn bend", default=False)
    stop_back_deg = models.SmallIntegerField(
        "stops at, back", null=True, blank=True, help_text="Nought or less."
    )
    stop_forward_deg = models.SmallIntegerField(
        "stops at, forward", null=True, blank=True, help_text="Nought or more."
    )

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-y_mm", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["drawing", "kind"], name="joint_kind_once"),
            models.CheckConstraint(
                condition=Q(stop_back_deg=None) | Q(stop_back_deg__lte=0, stop_back_deg__gte=-180),
                name="joint_stop_back_allows_drawn",
                violation_error_message="The stop backward forbids the drawn pose.",
            ),
            models.CheckConstraint(
                condition=Q(stop_forward_deg=None)
                | Q(stop_forward_deg__gte=0, stop_forward_deg__lte=180),
                name="joint_stop_forward_allows_drawn",
                violation_error_message="The stop forward forbids the drawn pose.",
            ),
        ]

    def __str__(self) -> str:
        return str(self.get_kind_display())


class ProportionSheet(models.Model):
    """A company's own proportions, as shares of the height by name of the length."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="proportions")
    name = models.CharField(max_length=80)
    name_key = KeyField()
    shares = models.JSONField(default=dict)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                condition=Q(struck_at=None),
                name="proportions_name_once",
                violation_error_message="There are proportions of this name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name
