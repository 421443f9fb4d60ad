"""What the plot asks of the workshop: plain numbers, by the functions that the settings name."""

from __future__ import annotations

from collections.abc import Mapping

from django.conf import settings
from django.utils.module_loading import import_string

from scenes.core.joint import BuildHours
from scenes.models import Show


def build_hours(show: Show, figures: Mapping[int, int]) -> BuildHours:
    """Minutes of a figure of each guise, when so many are built, and of each costume."""
    read = import_string(settings.ASKED_OF_WORKSHOP["build_minutes"])
    figure_min, sewing_min = read(show, figures)
    return BuildHours(figure_min, sewing_min)
