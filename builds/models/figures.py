"""Figures, numbered for life; what they wear; and the patterns that guises share."""

from __future__ import annotations

import secrets
import string
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from builds.models.parts import Part
from company.rows import CompanyRows
from scenes.models import Costume, Count, Guise, Show, Track

_KEY_LETTERS = "".join(c for c in string.ascii_lowercase + string.digits if c not in "0o1li")


def make_public_key() -> str:
    """Ten letters for the printed link; random, so that one tells nothing of the next."""
    return "".join(secrets.choice(_KEY_LETTERS) for _ in range(10))


class Pattern(models.Model):
    """One head sculpt, pair of hands or body drawing. Guises that borrow share a pattern."""

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="patterns")
    made_for = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="own_patterns")
    part = models.CharField(max_length=5, choices=Part)
    name = models.CharField(max_length=160)
    code = models.CharField(max_length=16)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="pattern_code_once"),
            models.UniqueConstraint(fields=["made_for", "part"], name="pattern_of_guise_once"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def whose(self) -> str:
        """Its name without the part, where a stage has said the part already."""
        return self.name.removesuffix(f", {self.part}")


class GuisePart(models.Model):
    """Which pattern a guise has for a part."""

    company_path: ClassVar[str] = "guise__character__show__company"

    guise = models.ForeignKey(Guise, on_delete=models.CASCADE, related_name="parts")
    part = models.CharField(max_length=5, choices=Part)
    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="uses")

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["guise", "part"], name="guise_part_once"),
        ]

    def __str__(self) -> str:
        return f"{self.part} of {self.guise}"


class Figure(models.Model):
    """One physical puppet. Never renumbered, never deleted; a struck one keeps its number.

    One that a later show took up keeps its number: `home` is then the show that gave it, `mark`
    tells it from that show's own. `again` (stage key to times) and `kept` are the sum of its
    makings over, so that reading what is to be done on it reads nothing more.
    """

    company_path: ClassVar[str] = "show__company"

    class State(models.TextChoices):
        WANTED = "wanted", "wanted"
        SPARE = "spare", "spare"
        STRUCK = "struck", "struck"

    class Extent(models.TextChoices):
        WHOLE = "whole", "whole figure"
        HEAD = "head", "head"
        HEAD_HANDS = "head, hands", "head and hands"

    show = models.ForeignKey(Show, on_delete=models.PROTECT, related_name="figures")
    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="figures")
    letters = models.CharField(max_length=3)
    number = models.PositiveIntegerField()
    home = models.ForeignKey(
        Show, on_delete=models.PROTECT, null=True, blank=True, related_name="numbered_figures"
    )
    mark = models.CharField(max_length=8, blank=True)
    public_key = models.CharField(max_length=10, unique=True, default=make_public_key)
    state = models.CharField(max_length=8, choices=State, default=State.WANTED)
    extent = models.CharField(max_length=12, choices=Extent, default=Extent.WHOLE)
    again = models.JSONField(default=dict, editable=False)
    kept = models.JSONField(default=list, editable=False)
    weight = models.PositiveSmallIntegerField("how much its date matters, 1 to 9", default=1)
    needed_by = models.DateField(null=True, blank=True)
    place = models.CharField("where it lies", max_length=80, blank=True)
    note = models.TextField(blank=True)
    made_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["letters", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "letters", "number", "mark"], name="figure_number_once"
            ),
            models.CheckConstraint(
                condition=Q(weight__gte=1, weight__lte=9),
                name="figure_weight_1_to_9",
                violation_error_message="How much its date matters runs from 1 to 9.",
            ),
        ]

    def __str__(self) -> str:
        return self.tag

    @property
    def tag(self) -> str:
        """Its number for life, as it stands inside the figure: J4; from another show J4-SA."""
        return f"{self.letters}{self.number}" + (f"-{self.mark}" if self.mark else "")

    def get_absolute_url(self) -> str:
        return reverse("builds:figure_detail", args=[self.pk])


class FigureCostume(models.Model):
    """A costume that a figure wears; the built-in one is what it is first dressed in.

    One that it no longer wears is struck once something was done for it, and taken up again
    by a later draft.
    """

    company_path: ClassVar[str] = "figure__show__company"

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="costumes")
    costume = models.ForeignKey(Costume, on_delete=models.PROTECT, related_name="figure_costumes")
    is_built_in = models.BooleanField(default=False)
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-is_built_in", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["figure", "costume"], name="figure_costume_once"),
            models.UniqueConstraint(
                fields=["figure"],
                condition=Q(is_built_in=True, struck_at=None),
                name="figure_one_built_in",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.figure} in {self.costume}"


class MakeOver(models.Model):
    """A figure made over for another track: which stages it must go through again, and why.

    `again` holds the keys of the stages whose steps are done once more, `kept` the parts that
    the figure brought along from where it was.
    """

    company_path: ClassVar[str] = "figure__show__company"

    figure = models.ForeignKey(Figure, on_delete=models.CASCADE, related_name="make_overs")
    number = models.PositiveSmallIntegerField()
    at = models.DateTimeField()
    again = models.JSONField(default=list)
    kept = models.JSONField(default=list)
    from_guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="made_over_from")
    from_costume = models.ForeignKey(
        Costume, on_delete=models.PROTECT, null=True, blank=True, related_name="made_over_from"
    )
    from_show = models.ForeignKey(Show, on_delete=models.PROTECT, related_name="made_over_from")

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["figure", "number"], name="make_over_number_once"),
        ]

    def __str__(self) -> str:
        return f"{self.figure} made over, time {self.number}"


class TrackFigure(models.Model):
    """Which figure plays a track of an accepted count."""

    company_path: ClassVar[str] = "figure__show__company"

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="track_figures")
    track = models.OneToOneField(Track, on_delete=models.CASCADE, related_name="played_by")
    figure = models.ForeignKey(Figure, on_delete=models.PROTECT, related_name="tracks")

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["count", "figure"], name="track_figure_once"),
        ]

    def __str__(self) -> str:
        return f"{self.figure} plays {self.track}"
