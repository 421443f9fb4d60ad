"""The lead's pins on the count: one figure, two figures, one more. They outlive drafts."""

from __future__ import annotations

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from company.models import User
from company.rows import CompanyRows
from scenes.models.roles import Guise


class Pin(models.Model):
    """What the lead wants of the count, whatever is counted.

    Appearances are known by key and copy, as in every draft. `said` is how they were called when
    the pin was set, so that it can be told when they are gone.
    """

    company_path: ClassVar[str] = "guise__character__show__company"

    class Kind(models.TextChoices):
        SAME = "same", "must be one figure"
        APART = "apart", "must not be one figure"
        MORE = "more", "build one more"

    key = models.UUIDField(default=uuid.uuid4, editable=False, unique=True)
    guise = models.ForeignKey(Guise, on_delete=models.CASCADE, related_name="pins")
    kind = models.CharField(max_length=5, choices=Kind)
    first_key = models.UUIDField(null=True, blank=True)
    first_copy = models.PositiveSmallIntegerField(default=1)
    second_key = models.UUIDField(null=True, blank=True)
    second_copy = models.PositiveSmallIntegerField(default=1)
    said = models.CharField(max_length=240, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="more", first_key=None, second_key=None)
                | Q(kind__in=["same", "apart"], first_key__isnull=False, second_key__isnull=False),
                name="pin_names_two_appearances",
            ),
            models.CheckConstraint(
                condition=Q(kind="more")
                | ~Q(first_key=F("second_key"))
                | ~Q(first_copy=F("second_copy")),
                name="pin_two_different",
                violation_error_message="A pin is about two appearances.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.guise}: {self.get_kind_display()}"
