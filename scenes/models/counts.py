"""A count that was kept: which figures the draft needs and what each of them plays."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from company.models import User
from company.rows import CompanyRows
from scenes.models.plot import Draft
from scenes.models.roles import Guise


class Count(models.Model):
    """The count of one revision of a draft. Once accepted it is never changed, only followed."""

    company_path: ClassVar[str] = "draft__show__company"

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="counts")
    revision = models.PositiveIntegerField()
    figures = models.PositiveIntegerField()
    with_people = models.PositiveIntegerField(
        null=True, blank=True, help_text="Figures with the people there are."
    )
    proved = models.BooleanField(default=True, help_text="Of the count with people.")
    gap = models.FloatField(default=0, help_text="Of the count with people.")
    made_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True)

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "revision"], name="count_revision_once"),
        ]

    def __str__(self) -> str:
        return f"{self.figures} figures for {self.draft}"


class Track(models.Model):
    """The run of appearances that one figure plays."""

    company_path: ClassVar[str] = "count__draft__show__company"

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="tracks")
    guise = models.ForeignKey(Guise, on_delete=models.PROTECT, related_name="tracks")
    position = models.PositiveIntegerField()

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["count", "position"], name="track_position_once"),
        ]

    def __str__(self) -> str:
        return f"{self.guise}, track {self.position}"


class TrackStop(models.Model):
    """One copy of one appearance on a track."""

    company_path: ClassVar[str] = "count__draft__show__company"

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="stops")
    track = models.ForeignKey(Track, on_delete=models.CASCADE, related_name="stops")
    appearance_key = models.UUIDField()
    copy = models.PositiveSmallIntegerField(default=1)
    order = models.PositiveIntegerField()

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(
                fields=["count", "appearance_key", "copy"], name="track_stop_played_once"
            ),
            models.UniqueConstraint(fields=["track", "order"], name="track_stop_order_once"),
        ]

    def __str__(self) -> str:
        return f"stop {self.order} of {self.track}"


class PeopleCount(models.Model):
    """The count with the people there are, kept because finding it may take seconds.

    `question` is the digest of all it depends on: another plot, crew or hours is another question.
    """

    company_path: ClassVar[str] = "draft__show__company"

    draft = models.ForeignKey(Draft, on_delete=models.CASCADE, related_name="people_counts")
    question = models.CharField(max_length=64)
    figures = models.PositiveIntegerField()
    proved = models.BooleanField()
    gap = models.FloatField()
    found = models.JSONField()
    made_at = models.DateTimeField()

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["draft", "question"], name="people_count_once"),
        ]

    def __str__(self) -> str:
        return f"{self.figures} figures with people for {self.draft}"
