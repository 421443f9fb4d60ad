"""Fields that read what a maker writes about a show: stage minutes, lengths, weights, numbers."""

from __future__ import annotations

from typing import Any

from django import forms

from company.core.measures import format_length, format_mass, parse_length, parse_mass
from company.core.units import format_minutes, parse_minutes
from company.forms.fields import DayField, HoursField, ReadField, as_sentence
from company.models import Company

__all__ = [
    "DayField",
    "HoursField",
    "LengthField",
    "MassField",
    "MeasureField",
    "StageMinutesField",
    "WholeNumberField",
    "add_problems",
    "blank_words",
]


class StageMinutesField(ReadField):
    """Stage minutes as '4', '4.5' or '4:30'; whole seconds inside."""

    def __init__(self, *, may_be_negative: bool = False, **more: Any) -> None:
        self.may_be_negative = may_be_negative
        super().__init__(**more)

    def read(self, text: str) -> int:
        return parse_minutes(text, may_be_negative=self.may_be_negative)

    def write(self, value: int) -> str:
        return format_minutes(value)


class MeasureField(ReadField):
    """A length or weight in the units of the company, which the form sets with `use_units`."""

    is_metric = True

    def use_units(self, company: Company) -> None:
        self.is_metric = company.units == Company.Units.METRIC


class LengthField(MeasureField):
    """A length as '600', '60 cm' or '23 5/8 in'; whole millimetres inside."""

    def read(self, text: str) -> int:
        return parse_length(text, is_metric=self.is_metric)

    def write(self, value: int) -> str:
        return format_length(value, is_metric=self.is_metric)


class MassField(MeasureField):
    """A weight as '180', '1.2 kg' or '6 oz'; whole grams inside."""

    def read(self, text: str) -> int:
        return parse_mass(text, is_metric=self.is_metric)

    def write(self, value: int) -> str:
        return format_mass(value, is_metric=self.is_metric)


class WholeNumberField(forms.IntegerField):
    """A whole number between two bounds, with one sentence for everything else."""

    def __init__(self, *, least: int, most: int, noun: str, **more: Any) -> None:
        words = f"A whole number of {noun}, from {least} to {most}."
        super().__init__(
            min_value=least,
            max_value=most,
            error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), words),
            **more,
        )


def blank_words(words: str) -> dict[str, str]:
    """The message for a field left blank, in words of its own."""
    return {"required": as_sentence(words)}


def add_problems(form: forms.Form, problems: dict[str, list[str]]) -> None:
    """Problems found by a service, at the fields they belong to; a field wrong already is left."""
    for field, sentences in problems.items():
        if field in form.errors and field in form.fields:
            continue
        for sentence in sentences:
            form.add_error(field if field in form.fields else None, sentence)
