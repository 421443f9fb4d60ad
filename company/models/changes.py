"""The record of changes: one row for each thing a person did, with what was before and after."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from company.models.tenants import Company, User
from company.rows import CompanyRows


class Change(models.Model):
    """Written by every service in its own transaction; never changed afterwards.

    `where` and `said` are filled where the change can be undone: in what, and what it was.
    """

    company_path: ClassVar[str] = "company"

    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="changes")
    user = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True)
    at = models.DateTimeField()
    noun = models.CharField(max_length=40)
    row = models.CharField(max_length=40)
    where = models.CharField(max_length=40, blank=True, help_text="For instance: show 12.")
    said = models.CharField(max_length=200, blank=True, help_text="What was done, in words.")
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    objects = CompanyRows.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["company", "noun", "row"], name="change_of_row"),
            models.Index(fields=["company", "where", "user"], name="change_to_undo"),
        ]

    def __str__(self) -> str:
        return f"{self.noun} {self.row} at {self.at:%Y-%m-%d %H:%M}"
