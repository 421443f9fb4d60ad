"""Moulds, their pours and the castings that came out of them."""

from __future__ import annotations

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from builds.models.figures import Figure, Pattern
from company.models import Maker, User
from company.rows import CompanyRows

USUAL_LIFE = 30  # castings of a plaster mould for slip; common practice, no source
USUAL_PERCENT = 90


class Mould(models.Model):
    """One mould of a pattern. Until it is made it stands as wanted.

    Materials are keys of the company's table of materials. Times that are not given here are
    those of the material, then those of the route.
    """

    company_path: ClassVar[str] = "pattern__show__company"

    class State(models.TextChoices):
        WANTED = "wanted", "not made yet"
        IN_USE = "in use", "in use"
        MENDED = "mended", "mended"
        RETIRED = "retired", "retired"

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="moulds")
    number = models.PositiveIntegerField(default=1)
    sculpt_material = models.CharField("sculpted in", max_length=40, blank=True)
    material = models.CharField("moulded in", max_length=40, default="plaster")
    casting_material = models.CharField("cast in", max_length=40, blank=True)
    shrinkage_permille = models.PositiveSmallIntegerField(null=True, blank=True)
    fill_ml = models.PositiveIntegerField("goes in, ml", null=True, blank=True)
    stays_ml = models.PositiveIntegerField("stays in the mould, ml", null=True, blank=True)
    parts = models.PositiveSmallIntegerField(default=2)
    cavities = models.PositiveSmallIntegerField(default=1)
    made_at = models.DateTimeField(null=True, blank=True)
    dry_min = models.PositiveIntegerField("dries, minutes", null=True, blank=True)
    first_use = models.DateTimeField(null=True, blank=True)
    rest_min = models.PositiveIntegerField("rest between pours, minutes", default=0)
    dry_every = models.PositiveSmallIntegerField("pours before a drying day", null=True, blank=True)
    dried_at = models.DateTimeField(null=True, blank=True)
    life = models.PositiveIntegerField("castings it is good for", default=USUAL_LIFE)
    yield_percent = models.PositiveSmallIntegerField(
        "castings expected good, of 100",
        default=USUAL_PERCENT,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
    )
    sure_percent = models.PositiveSmallIntegerField(
        "how sure to be of enough, of 100",
        default=USUAL_PERCENT,
        validators=[MinValueValidator(1), MaxValueValidator(99)],
    )
    state = models.CharField(max_length=8, choices=State, default=State.WANTED)
    mended_at = models.DateTimeField(null=True, blank=True)
    mended_words = models.CharField(max_length=200, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_words = models.CharField(max_length=200, blank=True)
    replaced_by = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaces"
    )
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["pattern", "number"], name="mould_number_once"),
            models.CheckConstraint(condition=Q(cavities__gte=1), name="mould_cavities_1_up"),
            models.CheckConstraint(condition=Q(parts__gte=1), name="mould_parts_1_up"),
            models.CheckConstraint(condition=Q(life__gte=1), name="mould_life_1_up"),
            models.CheckConstraint(
                condition=Q(yield_percent__gte=1, yield_percent__lte=100),
                name="mould_yield_1_to_100",
                violation_error_message="Of a hundred castings 1 to 100 come out good.",
            ),
            models.CheckConstraint(
                condition=Q(sure_percent__gte=1, sure_percent__lte=99),
                name="mould_sure_1_to_99",
                violation_error_message="How sure to be runs from 1 to 99 of a hundred.",
            ),
            models.CheckConstraint(
                condition=Q(state="wanted", made_at=None)
                | Q(state="retired")
                | Q(state__in=["in use", "mended"], made_at__isnull=False),
                name="mould_made_or_wanted",
                violation_error_message="A mould that is made has a day on which it was made.",
            ),
            models.CheckConstraint(
                condition=Q(first_use=None) | Q(made_at__isnull=False, first_use__gte=F("made_at")),
                name="mould_used_after_made",
                violation_error_message="A mould is used after it is made.",
            ),
            models.CheckConstraint(
                condition=Q(state="retired") | Q(retired_at=None, replaced_by=None),
                name="mould_retired_has_its_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pattern.name}, mould {self.number}"

    @property
    def is_made(self) -> bool:
        """Whether it stands on the shelf, dry or not."""
        return self.made_at is not None

    @property
    def is_retired(self) -> bool:
        """Whether nothing is poured in it any more."""
        return self.state == self.State.RETIRED

    def get_absolute_url(self) -> str:
        return reverse("builds:mould_detail", args=[self.pk])


class Pour(models.Model):
    """One filling of one mould, planned until it has a time. A mistake is struck and kept."""

    company_path: ClassVar[str] = "mould__pattern__show__company"

    mould = models.ForeignKey(Mould, on_delete=models.PROTECT, related_name="pours")
    number = models.PositiveIntegerField()
    poured_at = models.DateTimeField(null=True, blank=True)
    maker = models.ForeignKey(
        Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="pours"
    )
    material = models.CharField("cast in", max_length=40, blank=True)
    lot = models.CharField(max_length=40, blank=True)
    mix = models.CharField(max_length=200, blank=True)
    drain_min = models.PositiveIntegerField("poured out after, minutes", null=True, blank=True)
    open_min = models.PositiveIntegerField("opened after, minutes", null=True, blank=True)
    cure_min = models.PositiveIntegerField("hard after, minutes", null=True, blank=True)
    drained_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField("why all the same", max_length=300, blank=True)
    note = models.TextField(blank=True)
    cost = models.JSONField(null=True, blank=True, help_text="What its failures cost the plan.")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_words = models.CharField(max_length=300, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["mould", "number"], name="pour_number_once"),
            models.CheckConstraint(
                condition=Q(opened_at=None)
                | Q(poured_at__isnull=False, opened_at__gte=F("poured_at")),
                name="pour_opened_after_poured",
                violation_error_message="A mould is opened after it is poured.",
            ),
            models.CheckConstraint(
                condition=Q(drained_at=None)
                | Q(poured_at__isnull=False, drained_at__gte=F("poured_at")),
                name="pour_drained_after_poured",
                violation_error_message="A mould is drained after it is poured.",
            ),
        ]

    def __str__(self) -> str:
        return f"pour {self.number} of {self.mould}"

    @property
    def is_in_the_mould(self) -> bool:
        """Whether it was poured and not opened yet."""
        return self.poured_at is not None and self.opened_at is None and self.struck_at is None

    def get_absolute_url(self) -> str:
        return reverse("builds:pour_detail", args=[self.pk])


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
    reason = models.CharField("what is wrong with it", max_length=200, blank=True)
    judged_at = models.DateTimeField(null=True, blank=True)
    judged_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="judged_castings"
    )
    figure = models.ForeignKey(
        Figure, on_delete=models.PROTECT, null=True, blank=True, related_name="castings"
    )
    place = models.CharField("where it lies", max_length=80, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pattern", "number"]
        constraints = [
            models.UniqueConstraint(fields=["pattern", "number"], name="casting_number_once"),
            models.UniqueConstraint(
                fields=["figure", "pattern"],
                condition=Q(figure__isnull=False),
                name="casting_one_a_figure",
                violation_error_message="A figure has one casting of each part.",
            ),
            models.CheckConstraint(
                condition=Q(figure=None) | Q(place=""),
                name="casting_in_one_place",
                violation_error_message="A casting is in a figure or in a place, not in both.",
            ),
            models.CheckConstraint(
                condition=Q(result=None)
                | Q(struck_at__isnull=False)
                | Q(figure__isnull=False)
                | ~Q(place=""),
                name="casting_judged_is_somewhere",
                violation_error_message="A casting that came out is in a figure or in a place.",
            ),
            models.CheckConstraint(
                condition=~Q(result="thrown out") | Q(figure=None),
                name="casting_thrown_out_of_figures",
                violation_error_message="What is thrown out is in no figure.",
            ),
            models.CheckConstraint(
                condition=Q(struck_at=None) | Q(figure=None, place=""),
                name="casting_struck_is_nowhere",
            ),
            models.CheckConstraint(
                condition=Q(result=None) | Q(judged_at__isnull=False),
                name="casting_judged_has_its_day",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def code(self) -> str:
        """What is written inside the casting: JORY60-03."""
        return f"{self.pattern.code}-{self.number:02d}"

    def get_absolute_url(self) -> str:
        return reverse("builds:casting_detail", args=[self.pk])
