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
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("builds:today", args=[self.pk])
