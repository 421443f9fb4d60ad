"""A field that reads a day and a time on the company's clock."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError


class InstantField(forms.DateTimeField):
    """A day and a time on the company's clock; an instant in UTC inside. Blank may mean now."""

    def __init__(self, *, zone: str, **more: Any) -> None:
        self.zone = ZoneInfo(zone)
        super().__init__(
            widget=forms.DateTimeInput(
                format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local", "step": "60"}
            ),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
            error_messages={"invalid": "Write day and time as 2027-05-11 09:30."},
            **more,
        )

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        for form in self.input_formats:
            try:
                naive = datetime.strptime(str(value).strip(), form)  # noqa: DTZ007
            except ValueError:
                continue
            if not 1990 <= naive.year <= 2100:
                raise ValidationError(f"{naive.year} is out of reach: days run from 1990 to 2100.")
            return naive.replace(tzinfo=self.zone).astimezone(UTC)
        raise ValidationError(self.error_messages["invalid"], code="invalid")

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, datetime):
            return value.astimezone(self.zone).strftime("%Y-%m-%dT%H:%M")
        return value
