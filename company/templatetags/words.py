"""Filters that write days, times, quantities and counts the way a maker says them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django import template
from django.forms import BoundField, CheckboxInput
from django.utils.formats import date_format

from company.core.units import format_clock, format_hours, format_minutes, format_time

register = template.Library()

NARROW = "\u202f"  # between thousands
FIXED = "\u00a0"  # between a number and its unit: they never part at a line's end

NUMBER_WORDS = (
    "none one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905
)


@register.filter
def hours(minutes: int | None) -> str:
    """Workshop minutes as hours with quarters: 150 -> '2½ h'; number and unit stay together."""
    return "" if minutes is None else format_hours(int(minutes)).replace(" h", FIXED + "h")


@register.filter
def clock_time(minutes: int | None) -> str:
    """Minutes after midnight as a clock shows them: 600 -> '10:00'."""
    return "" if minutes is None else format_clock(int(minutes))


@register.filter
def stage_minutes(seconds: int | None) -> str:
    """Stage seconds as a maker writes minutes: 240 -> '4', 270 -> '4:30'. Blank stays blank."""
    return "" if seconds is None else format_minutes(seconds)


@register.filter
def running_time(seconds: int | None) -> str:
    """Stage seconds always with minutes and seconds: 270 -> '4:30'."""
    return "" if seconds is None else format_time(seconds)


@register.filter
def day(value: date | datetime | None) -> str:
    """'Tue 11 May'."""
    return _written(value, "D j M")


@register.filter
def short_day(value: date | datetime | None) -> str:
    """'11 May'."""
    return _written(value, "j M")


@register.filter
def long_day(value: date | datetime | None) -> str:
    """'Tuesday 11 May'."""
    return _written(value, "l j F")


@register.filter
def full_day(value: date | datetime | None) -> str:
    """'11 May 2027'."""
    return _written(value, "j F Y")


@register.filter
def day_span(first: date, last: date | None = None) -> str:
    """'11 May', '11 to 14 May' or '30 May to 2 June'; the year where it differs."""
    if last is None or first == last:
        return _written(first, "j F")
    if first.year != last.year:
        return f"{_written(first, 'j F Y')} to {_written(last, 'j F Y')}"
    if first.month != last.month:
        return f"{_written(first, 'j F')} to {_written(last, 'j F')}"
    return f"{first.day} to {_written(last, 'j F')}"


@register.filter
def in_hand(days: int | None) -> str:
    """Days to spare: 12 -> '12 days in hand', 0 -> 'none in hand', -3 -> '3 days late'."""
    if days is None:
        return ""
    if days == 0:
        return "none in hand"
    word = "day" if abs(days) == 1 else "days"
    return f"{days} {word} in hand" if days > 0 else f"{-days} {word} late"


@register.filter
def in_hand_time(minutes: int | None) -> str:
    """Minutes on the clock to spare, in days from one day on: 300 -> '5 h in hand'."""
    if minutes is None:
        return ""
    if abs(minutes) >= 1440 or not minutes:
        return in_hand(int(minutes / 1440))
    return f"{hours(abs(minutes))} {'in hand' if minutes > 0 else 'late'}"


@register.filter
def quantity(value: float | None, unit: str = "") -> str:
    """A number with thin thousands and its unit: 1995|quantity:'mm' -> '1 995 mm'."""
    if value is None:
        return ""
    whole = isinstance(value, int) or float(value).is_integer()
    text = f"{int(value):,}" if whole else f"{value:,.1f}"
    return text.replace(",", NARROW) + (FIXED + unit if unit else "")


@register.filter
def count_word(value: int) -> str:
    """Small numbers in words, as in running text: 5 -> 'five', 13 -> '13'."""
    return NUMBER_WORDS[value] if 0 <= value < len(NUMBER_WORDS) else str(value)


@register.filter
def counted(value: int, noun: str) -> str:
    """A number with its noun: 1|counted:'figure' -> '1 figure'; 'box,boxes' for odd plurals."""
    one, _, many = noun.partition(",")
    return f"{value}{FIXED}{one if value == 1 else many or one + 's'}"


@register.filter
def and_list(words: Iterable[object]) -> str:
    """'J3, J4 and J5'."""
    said = [str(word) for word in words]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)


@register.filter
def input_kind(field: BoundField) -> str:
    """'checkbox' for a lone tick box, else ''."""
    return "checkbox" if isinstance(field.field.widget, CheckboxInput) else ""


def _written(value: date | datetime | None, form: str) -> str:
    return "" if value is None else date_format(value, form)
