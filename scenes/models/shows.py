"""A production: its dates, its people and its stage."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from company.models import Company
from company.rows import CompanyRows, KeyField


class Show(models.Model):
    """One production with an opening date that does not move."""

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="shows")
    title = models.CharField(max_length=120)
    title_key = KeyField(of="title")
    opening = models.DateField(null=True, blank=True)
    first_day = models.DateField(null=True, blank=True)
    needed_by = models.DateField(
        null=True, blank=True, help_text="First rehearsal that wants the figures."
    )
    performers = models.PositiveSmallIntegerField(null=True, blank=True)
    dressers = models.PositiveSmallIntegerField(null=True, blank=True)
    dressers_who_work = models.PositiveSmallIntegerField(
        default=0, help_text="Dressers who may also work figures."
    )
    performances = models.PositiveSmallIntegerField(null=True, blank=True)
    rail_hooks = models.PositiveSmallIntegerField(null=True, blank=True)
    bridge_mm = models.PositiveIntegerField(null=True, blank=True)
    crossing_s = models.PositiveIntegerField(default=0)
    reset_s = models.PositiveIntegerField(default=30)
    current_draft = models.ForeignKey(
        "scenes.Draft", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["opening", "title_key"]
        constraints = [
            models.UniqueConstraint(
                fields=["company", "title_key"],
                name="show_title_once",
                violation_error_message="There is a show of this title already.",
            ),
            models.CheckConstraint(
                condition=Q(first_day=None) | Q(opening=None) | Q(first_day__lt=F("opening")),
                name="show_first_day_before_opening",
                violation_error_message="The first day must come before the opening.",
            ),
            models.CheckConstraint(
                condition=Q(dressers_who_work=0) | Q(dressers_who_work__lte=F("dressers")),
                name="show_working_dressers_are_dressers",
                violation_error_message="More dressers work figures than there are dressers.",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("builds:today", args=[self.pk])


class Walk(models.Model):
    """How long a figure is carried from one named place to another; the way back is its own.

    Places are known by their names, as the entries of the plot spell them. Between places
    without a row the show's crossing time counts.
    """

    company_path: ClassVar[str] = "show__company"

    show = models.ForeignKey(Show, on_delete=models.CASCADE, related_name="walks")
    from_place = models.CharField("from", max_length=40)
    from_key = KeyField(of="from_place")
    to_place = models.CharField("to", max_length=40)
    to_key = KeyField(of="to_place")
    walk_s = models.PositiveIntegerField("time it takes")
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "from_key", "to_key"],
                name="walk_once",
                violation_error_message="This way is there already.",
            ),
            models.CheckConstraint(
                condition=~Q(from_key=F("to_key")),
                name="walk_two_places",
                violation_error_message="A way leads from one place to another.",
            ),
        ]

    def __str__(self) -> str:
        return f"from {self.from_place} to {self.to_place}"
