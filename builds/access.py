"""Fetching a figure, a step or a guise and checking access in one call."""

from __future__ import annotations

from builds.models import Figure, Step
from company.access import row_for
from company.models import Role, User
from scenes.models import Guise


def figure_for(user: User, pk: object, role: Role) -> Figure:
    """The figure with its guise, role and show, if the person has at least `role` there."""
    queryset = Figure.objects.select_related("guise__character", "show__company")
    figure: Figure = row_for(user, queryset, pk, role)
    return figure


def step_for(user: User, pk: object, role: Role) -> Step:
    """The step with its stage and subject, if the person has at least `role` there."""
    queryset = Step.objects.select_related(
        "stage__craft",
        "stage__route",
        "show__company",
        "guise__character",
        "pattern",
        "mould__pattern",
        "pour__mould__pattern",
        "figure__guise__character",
        "costume",
    )
    step: Step = row_for(user, queryset, pk, role)
    return step


def guise_for(user: User, pk: object, role: Role) -> Guise:
    """The guise with its role and show, if the person has at least `role` there."""
    queryset = Guise.objects.select_related("character__show__company")
    guise: Guise = row_for(user, queryset, pk, role)
    return guise
