"""What the plot asks of the workshop: plain numbers, by the functions that the settings name."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date

from django.conf import settings
from django.utils.module_loading import import_string

from scenes.core.joint import BuildHours
from scenes.models import Show


def build_hours(show: Show, figures: Mapping[int, int]) -> BuildHours:
    """Minutes of a figure of each guise, when so many are built, and of each costume."""
    read = import_string(settings.ASKED_OF_WORKSHOP["build_minutes"])
    figure_min, sewing_min = read(show, figures)
    return BuildHours(figure_min, sewing_min)


def last_days(show: Show, guises: Collection[int]) -> dict[int, tuple[date, str]]:
    """By guise the last day on which one figure more of it can be decided, and how it was found."""
    found: dict[int, tuple[date, str]] = import_string(settings.ASKED_OF_WORKSHOP["last_days"])(
        show, guises
    )
    return found
