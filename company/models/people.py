"""Makers, their crafts and marks, and when they are at the bench."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from company.models.tenants import Company, User
from company.rows import CompanyRows, KeyField


class Craft(models.Model):
    """A kind of work: carve, sew, paint."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="crafts")
    name = models.CharField(max_length=60)
    name_key = KeyField()
    daily_cap_min = models.PositiveIntegerField(
        "at most, minutes a day", null=True, blank=True, help_text="Carving is usually 300."
    )
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                condition=Q(struck_at=None),
                name="craft_name_once",
                violation_error_message="There is a craft of this name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Maker(models.Model):
    """Somebody who works at the bench. A maker needs no sign-in of their own."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="makers")
    user = models.ForeignKey(
        User, on_delete=models.SET_NULL, null=True, blank=True, related_name="makers"
    )
    name = models.CharField(max_length=80)
    name_key = KeyField()
    is_lead = models.BooleanField("lead", default=False)
    is_saw_trained = models.BooleanField("trained on the saw", default=False)
    has_latex_allergy = models.BooleanField("latex allergy", default=False)
    is_under_18 = models.BooleanField("under 18", default=False)
    crafts = models.ManyToManyField(Craft, blank=True, related_name="makers")
    from_date = models.DateField("here from", null=True, blank=True)
    to_date = models.DateField("here until", null=True, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-is_lead", "name_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "name_key"],
                condition=Q(struck_at=None),
                name="maker_name_once",
                violation_error_message="There is a maker of this name already.",
            ),
            models.UniqueConstraint(
                fields=["company", "user"],
                condition=Q(struck_at=None, user__isnull=False),
                name="maker_user_once",
                violation_error_message="This person is a maker here already.",
            ),
            models.CheckConstraint(
                condition=Q(from_date=None) | Q(to_date=None) | Q(from_date__lte=F("to_date")),
                name="maker_here_from_before_until",
                violation_error_message="'Here from' comes after 'here until'.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Hours(models.Model):
    """One stretch of a weekday on which a maker comes, from a date on until the next pattern."""

    company_path: ClassVar[str] = "maker__company"

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="hours")
    weekday = models.PositiveSmallIntegerField(help_text="0 is Monday.")
    start_min = models.PositiveSmallIntegerField()
    end_min = models.PositiveSmallIntegerField()
    from_date = models.DateField(null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "hours"
        ordering = ["from_date", "weekday", "start_min"]
        constraints = [
            models.CheckConstraint(
                condition=Q(weekday__gte=0, weekday__lte=6), name="hours_weekday_0_to_6"
            ),
            models.CheckConstraint(
                condition=Q(start_min__lt=F("end_min"), end_min__lte=1440),
                name="hours_start_before_end",
                violation_error_message="The stretch ends before it starts.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker}: day {self.weekday}, {self.start_min} to {self.end_min} min"


class OtherWork(models.Model):
    """A block of other work: writing, rehearsal, touring, set. Blank times mean the whole day."""

    company_path: ClassVar[str] = "maker__company"

    maker = models.ForeignKey(Maker, on_delete=models.CASCADE, related_name="other_work")
    first = models.DateField()
    last = models.DateField()
    start_min = models.PositiveSmallIntegerField(null=True, blank=True)
    end_min = models.PositiveSmallIntegerField(null=True, blank=True)
    word = models.CharField(max_length=80)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "other work"
        ordering = ["first", "start_min"]
        constraints = [
            models.CheckConstraint(
                condition=Q(first__lte=F("last")),
                name="other_work_first_before_last",
                violation_error_message="The last day comes before the first.",
            ),
            models.CheckConstraint(
                condition=Q(start_min=None, end_min=None)
                | Q(start_min__lt=F("end_min"), end_min__lte=1440),
                name="other_work_start_before_end",
                violation_error_message="The block ends before it starts.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.maker}: {self.word}"


class DayOff(models.Model):
    """Days on which a maker, or with no maker the whole company, does not work."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="days_off")
    maker = models.ForeignKey(
        Maker, on_delete=models.CASCADE, null=True, blank=True, related_name="days_off"
    )
    first = models.DateField()
    last = models.DateField()
    word = models.CharField(max_length=80, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "days off"
        ordering = ["first"]
        constraints = [
            models.CheckConstraint(
                condition=Q(first__lte=F("last")),
                name="day_off_first_before_last",
                violation_error_message="The last day comes before the first.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.maker or self.company}: off from {self.first}"
