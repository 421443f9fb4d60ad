"""On which figure's sheet each step stands: shared work stands once, with the right figure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from builds.models import Casting, Figure, GuisePart, Pattern, Step
from scenes.models import Show


def find_owners(show: Show, steps: Iterable[Step], figures: list[Figure]) -> dict[int, int]:
    """The figure's id by step id; `figures` are those that are built, in order of their numbers.

    A figure's own step stands with it. A guise's step stands with the lowest number of the guise;
    a pour's with the lowest of the figures that get its castings, one in case another fails and the
    making of a further mould with the pattern's; the step of a shared head, pair
    of hands or body with the lowest of the guise that it was made for, or, where none of that
    guise is built, of the first guise that borrows it. Three queries.
    """
    of_guise: dict[int, int] = {}
    for figure in figures:
        of_guise.setdefault(figure.guise_id, figure.pk)
    order = {figure.pk: place for place, figure in enumerate(figures)}
    of_pour: dict[int, list[int]] = defaultdict(list)
    castings = Casting.objects.filter(figure__show=show).values_list("pour_id", "figure_id")
    for pour, cast_for in castings:
        if cast_for in order:
            of_pour[pour].append(cast_for)
    of_pattern = _of_patterns(show, of_guise)
    owners: dict[int, int] = {}
    for step in steps:
        owner = step.figure_id
        if step.pour_id is not None:
            owner = min(of_pour[step.pour_id], key=order.__getitem__, default=None)
            if owner is None and step.pour is not None:
                owner = of_pattern.get(step.pour.mould.pattern_id)
        elif step.mould is not None:
            owner = of_pattern.get(step.mould.pattern_id)
        elif step.pattern_id is not None:
            owner = of_pattern.get(step.pattern_id)
        elif step.guise_id is not None:
            owner = of_guise.get(step.guise_id)
        if owner is not None:
            owners[step.pk] = owner
    return owners


def _of_patterns(show: Show, of_guise: dict[int, int]) -> dict[int, int]:
    found: dict[int, int] = {}
    for pattern, guise in Pattern.objects.filter(show=show).values_list("pk", "made_for_id"):
        if guise in of_guise:
            found[pattern] = of_guise[guise]
    uses = GuisePart.objects.filter(guise__character__show=show).order_by("guise_id")
    for pattern, guise in uses.values_list("pattern_id", "guise_id"):
        if guise in of_guise:
            found.setdefault(pattern, of_guise[guise])
    return found
