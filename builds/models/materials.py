"""A company's own materials and pairs, its stock, and the amounts typed for each mould."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from builds.core.casting.pairs import Verdict
from builds.models.moulds import Mould, Pour
from company.models import Company, User
from company.rows import CompanyRows, KeyField

OWN = "own:"


class MaterialKind(models.TextChoices):
    """What a material is used for."""

    SCULPT = "sculpt", "to sculpt in"
    MOULD = "mould", "to mould in"
    CAST = "cast", "to cast in"


class MeasuredBy(models.TextChoices):
    """How a material is bought and measured out."""

    WEIGHT = "weight", "weight"
    VOLUME = "volume", "volume"


class OwnMaterial(models.Model):
    """A material by the maker's own data sheet; what it leaves blank is as the one it is like."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="own_materials")
    kind = models.CharField(max_length=6, choices=MaterialKind)
    name = models.CharField(max_length=60)
    name_key = KeyField()
    like = models.CharField("is like", max_length=40, blank=True)
    density_kg_m3 = models.PositiveIntegerField("density, g per litre", null=True, blank=True)
    shrinkage_permille = models.SmallIntegerField(
        "shrinks, thousandths of a length", null=True, blank=True
    )
    second_per_100 = models.DecimalField(
        "parts of the second to 100 of the first",
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
    )
    mix_by = models.CharField("parts by", max_length=6, choices=MeasuredBy, blank=True)
    measured_by = models.CharField(max_length=6, choices=MeasuredBy, blank=True)
    pot_min = models.PositiveIntegerField("pot life, minutes", null=True, blank=True)
    drain_min = models.PositiveIntegerField("poured out after, minutes", null=True, blank=True)
    open_min = models.PositiveIntegerField("opened after, minutes", null=True, blank=True)
    ready_min = models.PositiveIntegerField("hard or dry after, minutes", null=True, blank=True)
    stays_percent = models.PositiveSmallIntegerField(
        "stays in the mould, of 100", null=True, blank=True
    )
    life = models.PositiveIntegerField("castings it is good for", null=True, blank=True)
    care = models.CharField("cautions", max_length=400, blank=True)
    gloves = models.CharField(max_length=80, blank=True)
    has_latex = models.BooleanField("closed to people with a latex allergy", default=False)
    is_adults_only = models.BooleanField("closed to people under 18", default=False)
    source = models.CharField("from which data sheet", max_length=120, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["kind", "name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "kind", "name_key"],
                condition=Q(struck_at=None),
                name="own_material_name_once",
                violation_error_message="There is a material of this name already.",
            ),
            models.CheckConstraint(
                condition=Q(density_kg_m3=None)
                | Q(density_kg_m3__gte=10, density_kg_m3__lte=25000),
                name="own_material_density_in_reach",
                violation_error_message="A density runs from 10 to 25 000 g per litre.",
            ),
            models.CheckConstraint(
                condition=Q(shrinkage_permille=None)
                | Q(shrinkage_permille__gt=-500, shrinkage_permille__lt=500),
                name="own_material_shrinkage_in_reach",
                violation_error_message="A shrinkage lies below half of the length.",
            ),
            models.CheckConstraint(
                condition=Q(stays_percent=None) | Q(stays_percent__gte=1, stays_percent__lte=100),
                name="own_material_stays_1_to_100",
                violation_error_message="Of a hundred parts 1 to 100 stay in the mould.",
            ),
            models.CheckConstraint(
                condition=Q(second_per_100=None) | Q(second_per_100__gt=0),
                name="own_material_mix_above_nought",
                violation_error_message="The second part of a mix is more than nought.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """How moulds, pours and pairs name it."""
        return f"{OWN}{self.pk}"


class OwnPair(models.Model):
    """What a company found out about a pair of materials. It goes before the published word."""

    company_path: ClassVar[str] = "company"

    class Table(models.TextChoices):
        SCULPT = "sculpt", "a sculpt in a mould material"
        CAST = "cast", "a mould with a casting material"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="own_pairs")
    table = models.CharField(max_length=6, choices=Table)
    first = models.CharField(max_length=40)
    second = models.CharField(max_length=40)
    verdict = models.CharField(max_length=14, choices=[(v.value, v.value) for v in Verdict])
    reason = models.CharField(max_length=200)
    way = models.CharField("way round", max_length=200, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["table", "first", "second"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "table", "first", "second"],
                condition=Q(struck_at=None),
                name="own_pair_once",
                violation_error_message="This pair is written down already: change that line.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} and {self.second}: {self.verdict}"


class Lot(models.Model):
    """A bucket, bag or bottle on the shelf: its lot, what is left, when it was opened."""

    company_path: ClassVar[str] = "company"

    class Unit(models.TextChoices):
        G = "g", "by weight"
        ML = "ml", "by volume"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="lots")
    kind = models.CharField(max_length=6, choices=MaterialKind)
    material = models.CharField(max_length=40)
    code = models.CharField("lot", max_length=40)
    unit = models.CharField(max_length=2, choices=Unit)
    left = models.PositiveIntegerField("left, g or ml")
    counted_at = models.DateTimeField("when what is left was written down", null=True, blank=True)
    opened_on = models.DateField("opened on", null=True, blank=True)
    best_before = models.DateField("best before", null=True, blank=True)
    place = models.CharField("where it stands", max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["kind", "material", "best_before", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "kind", "material", "code"],
                condition=Q(struck_at=None),
                name="lot_once",
                violation_error_message="This lot stands on the shelf already.",
            ),
        ]

    def __str__(self) -> str:
        return f"lot {self.code}"


class Taking(models.Model):
    """What one pour took from a lot. Struck where it was given back; nothing is deleted."""

    company_path: ClassVar[str] = "lot__company"

    pour = models.ForeignKey(Pour, on_delete=models.PROTECT, related_name="takings")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="takings")
    amount = models.PositiveIntegerField("taken, g or ml as the lot is measured")
    short = models.PositiveIntegerField("asked for and not there, g or ml", default=0)
    at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["pour", "lot"],
                condition=Q(struck_at=None),
                name="taking_once_a_pour",
                violation_error_message="This pour has taken from the lot already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pour} from {self.lot}"


class MouldAmounts(models.Model):
    """What was typed to work out the amounts of one mould, kept for the next time."""

    company_path: ClassVar[str] = "mould__pattern__show__company"

    class Way(models.TextChoices):
        KNOWN = "known", "I know its volume"
        WATER = "water", "by the water it displaces"
        WEIGHT = "weight", "by its weight and density"
        SIZE = "size", "from its size"

    mould = models.OneToOneField(Mould, on_delete=models.CASCADE, related_name="amounts")
    way = models.CharField(max_length=6, choices=Way, default=Way.SIZE)
    known_ml = models.PositiveIntegerField("volume, ml", null=True, blank=True)
    before_ml = models.PositiveIntegerField("water before, ml", null=True, blank=True)
    after_ml = models.PositiveIntegerField("water with it under, ml", null=True, blank=True)
    mass_g = models.PositiveIntegerField("weight, g", null=True, blank=True)
    density_kg_m3 = models.PositiveIntegerField("density, g per litre", null=True, blank=True)
    length_mm = models.PositiveIntegerField("length, mm", null=True, blank=True)
    width_mm = models.PositiveIntegerField("width, mm", null=True, blank=True)
    height_mm = models.PositiveIntegerField("height, mm", null=True, blank=True)
    box_length_mm = models.PositiveIntegerField("box length, mm", null=True, blank=True)
    box_width_mm = models.PositiveIntegerField("box width, mm", null=True, blank=True)
    box_height_mm = models.PositiveIntegerField("box height, mm", null=True, blank=True)
    second_per_100 = models.DecimalField(
        "parts of water or of the second to 100",
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
    )
    waste_percent = models.PositiveSmallIntegerField("waste, of 100", default=10)
    stays_percent = models.PositiveSmallIntegerField(
        "stays in the mould, of 100", null=True, blank=True
    )
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, related_name="+")
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "mould amounts"
        constraints = [
            models.CheckConstraint(
                condition=Q(before_ml=None) | Q(after_ml=None) | Q(before_ml__lt=F("after_ml")),
                name="amounts_water_rises",
                violation_error_message="With the part under it the water stands higher.",
            ),
            models.CheckConstraint(
                condition=Q(waste_percent__lte=100),
                name="amounts_waste_0_to_100",
                violation_error_message="The waste runs from 0 to 100 of a hundred.",
            ),
        ]

    def __str__(self) -> str:
        return f"amounts of {self.mould}"
