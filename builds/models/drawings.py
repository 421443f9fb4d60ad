"""The full-size drawing of a guise: pictures, string holes, joints, parts and ballast.

Profile coordinates in millimetres: x forward of the line of balance, y up from the floor, z to one
side from the middle. A row of a pair (arms, legs, their joints and holes) stands for both sides.
"""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
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


def _mm(label: str = "", **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(label or None, max_digits=6, decimal_places=1, **more)  # type: ignore[arg-type]


class Drawing(models.Model):
    """One version of the body drawing of a guise. The newest is current; older ones are kept.

    A guise that borrows another's body and has no drawing of its own goes by the lender's.
    """

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="drawings")
    number = models.PositiveIntegerField()
    is_current = models.BooleanField(default=True)
    height_mm = _mm("floor to crown")
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
    lift_mm = _mm("hung higher than drawn by", default=0)
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
    mark_a_x_px = _mm(null=True, blank=True)
    mark_a_y_px = _mm(null=True, blank=True)
    mark_b_x_px = _mm(null=True, blank=True)
    mark_b_y_px = _mm(null=True, blank=True)
    marks_mm = _mm("how far apart the marks are", null=True, blank=True)
    floor_y_px = _mm(null=True, blank=True)
    axis_x_px = _mm(null=True, blank=True)
    axis_top_x_px = _mm(null=True, blank=True)
    axis_top_y_px = _mm(null=True, blank=True)
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
    x_mm = _mm("forward of the line of balance")
    y_mm = _mm("above the floor")
    z_mm = _mm("from the middle", default=0)

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
    x_mm = _mm("forward of the line of balance")
    y_mm = _mm("above the floor")
    z_mm = _mm("from the middle", default=0)
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
    top_x_mm = _mm("upper end, forward")
    top_y_mm = _mm("upper end, above the floor")
    bottom_x_mm = _mm("lower end, forward")
    bottom_y_mm = _mm("lower end, above the floor")
    width_mm = _mm("width, upper end or widest")
    depth_mm = _mm("depth, upper end or deepest")
    width_low_mm = _mm("width, lower end", null=True, blank=True)
    depth_low_mm = _mm("depth, lower end", null=True, blank=True)
    outline = models.JSONField(null=True, blank=True)
    front_outline = models.JSONField(null=True, blank=True)
    fullness_pct = models.PositiveSmallIntegerField(default=80)
    made_of = models.CharField(max_length=8, choices=MadeOf, default=MadeOf.WOOD)
    material = models.CharField(max_length=30, default="lime")
    density_kg_m3 = models.PositiveIntegerField("own density", null=True, blank=True)
    wall_mm = _mm("wall, blank for solid", null=True, blank=True)
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
    x_mm = _mm("forward of the line of balance")
    y_mm = _mm("above the floor")
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
