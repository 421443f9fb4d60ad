"""Fetching a figure, a step or a guise and checking access in one call."""

from __future__ import annotations

from builds.models import Casting, Figure, Mould, Pour, Step
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


def mould_for(user: User, pk: object, role: Role) -> Mould:
    """The mould with its pattern and show, if the person has at least `role` there."""
    queryset = Mould.objects.select_related(
        "pattern__show__company", "pattern__made_for__character", "replaced_by__pattern"
    )
    mould: Mould = row_for(user, queryset, pk, role)
    return mould


def pour_for(user: User, pk: object, role: Role) -> Pour:
    """The pour with its mould, if the person has at least `role` there."""
    queryset = Pour.objects.select_related(
        "mould__pattern__show__company", "mould__pattern__made_for__character", "maker"
    )
    pour: Pour = row_for(user, queryset, pk, role)
    return pour


def casting_for(user: User, pk: object, role: Role) -> Casting:
    """The casting with its pour and figure, if the person has at least `role` there."""
    queryset = Casting.objects.select_related(
        "pattern__show__company", "pour__mould__pattern__show__company", "pour__maker",
        "figure__guise__character", "judged_by",
    )  # fmt: skip
    casting: Casting = row_for(user, queryset, pk, role)
    return casting
