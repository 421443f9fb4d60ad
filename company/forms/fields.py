"""Fields that read what a maker writes about time: days, clock times, hours of a day, hours."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst

from company.core.stretches import (
    Span,
    WrongStretches,
    format_stretches,
    parse_quarter,
    parse_stretches,
)
from company.core.units import format_clock, format_hours, parse_hours

DAY_WORDS = "This is not a day: write year, month and day as 2027-05-11."
EARLIEST, LATEST = date(1990, 1, 1), date(2100, 12, 31)


def as_sentence(words: str) -> str:
    """'times are missing' as 'Times are missing.'"""
    return capfirst(words).rstrip(".") + "."


def blank(words: str) -> dict[str, str]:
    """The message of a field left blank."""
    return {"required": words}


class DayField(forms.DateField):
    """A calendar day, picked from the browser's own calendar or typed as 2027-05-11."""

    def __init__(self, **more: Any) -> None:
        messages = {"invalid": DAY_WORDS, **more.pop("error_messages", {})}
        super().__init__(
            widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            input_formats=["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d %B %Y", "%d %b %Y"],
            error_messages=messages,
            **more,
        )

    def to_python(self, value: Any) -> date | None:
        day: date | None = super().to_python(value.strip() if isinstance(value, str) else value)
        if day is not None and not EARLIEST <= day <= LATEST:
            raise ValidationError(f"{day.year} is out of reach: days run from 1990 to 2100.")
        return day


class ReadField(forms.CharField):
    """Text that is read as a value and written back as text."""

    def __init__(self, *, length: int = 40, **more: Any) -> None:
        self.length = length
        super().__init__(**more)
        self.widget.attrs.update({"autocomplete": "off", "maxlength": str(length)})

    def read(self, text: str) -> Any:
        raise NotImplementedError

    def write(self, value: Any) -> str:
        raise NotImplementedError

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        if len(text) > self.length:
            raise ValidationError(f"At most {self.length} letters, not {len(text)}.")
        try:
            return self.read(text)
        except WrongStretches as wrong:
            raise ValidationError([as_sentence(fault) for fault in wrong.faults]) from wrong
        except ValueError as wrong:
            raise ValidationError(as_sentence(str(wrong))) from wrong

    def run_validators(self, value: Any) -> None:
        """The text was looked at when it was read."""

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else self.write(value)


class ClockField(ReadField):
    """A time of day on the quarter hour; minutes after midnight inside."""

    def __init__(self, *, may_be_midnight_end: bool = False, **more: Any) -> None:
        self.may_be_midnight_end = may_be_midnight_end
        super().__init__(length=10, **more)

    def read(self, text: str) -> int:
        return parse_quarter(text, may_be_midnight_end=self.may_be_midnight_end)

    def write(self, value: int) -> str:
        return format_clock(value)


class StretchesField(ReadField):
    """The hours of a day, '10-13, 14-17:30'; pairs of minutes after midnight inside."""

    def __init__(self, **more: Any) -> None:
        super().__init__(length=160, required=False, **more)

    def read(self, text: str) -> tuple[Span, ...]:
        return parse_stretches(text)

    def write(self, value: tuple[Span, ...]) -> str:
        return format_stretches(tuple(value))


class HoursField(ReadField):
    """Workshop time as '5', '1½ h' or '45 min'; whole minutes inside."""

    def read(self, text: str) -> int:
        return parse_hours(text)

    def write(self, value: int) -> str:
        return format_hours(value)


def add_found(
    form: forms.Form, problems: Mapping[str, list[str]], *, needs: Mapping[str, str] | None = None
) -> None:
    """Add what a service would refuse, so that everything wrong is said at once.

    A field wrong already is left, as is one that can only be judged by another (`needs`) which is.
    """
    for field, sentences in problems.items():
        judged_by = (needs or {}).get(field, "")
        if field in form.fields and field not in form.errors and judged_by not in form.errors:
            for sentence in sentences:
                form.add_error(field, sentence)


def add_problems(form: forms.Form, wrong: ValidationError) -> None:
    """What a service refused, at the fields it belongs to; a field wrong already is left."""
    if not hasattr(wrong, "error_dict"):
        for sentence in wrong.messages:
            form.add_error(None, sentence)
        return
    for field, sentences in wrong.message_dict.items():
        if field in form.errors and field in form.fields:
            continue
        for sentence in sentences:
            form.add_error(field if field in form.fields else None, sentence)
