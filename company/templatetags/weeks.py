"""Filters of the weekly hours: names of weekdays, stretches in words."""

from __future__ import annotations

from collections.abc import Iterable

from django import template

from company.services.hours import DAY_NAMES
from company.week_picture import say_times

register = template.Library()


@register.filter
def weekday(number: int) -> str:
    """0 -> 'Monday'."""
    return DAY_NAMES[number]


@register.filter
def short_weekdays(numbers: Iterable[int]) -> str:
    """[0] -> 'Mon'; [0, 1, 2] -> 'Mon to Wed'; [0, 1] -> 'Mon, Tue'."""
    days = [DAY_NAMES[number][:3] for number in numbers]
    return f"{days[0]} to {days[-1]}" if len(days) > 2 else ", ".join(days)


@register.filter
def weekdays(numbers: Iterable[int]) -> str:
    """[1, 2] -> 'Tuesday and Wednesday'; [0, 1, 2, 3, 4] -> 'Monday to Friday'."""
    days = list(numbers)
    if len(days) > 2 and days == list(range(days[0], days[-1] + 1)):
        return f"{DAY_NAMES[days[0]]} to {DAY_NAMES[days[-1]]}"
    said = [DAY_NAMES[day] for day in days]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)


@register.filter
def times(spans: Iterable[tuple[int, int]]) -> str:
    """((600, 780),) -> '10:00–13:00'."""
    return say_times(tuple(spans))
