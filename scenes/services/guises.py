"""Adding, editing and removing the guises of a role."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import TypedDict, Unpack

from django.db import transaction

from company import clock
from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import claim_version, snapshot
from scenes.models import Character, Guise, Kind, Show
from scenes.services.costumes import make_costumes
from scenes.services.guards import reasons_to_keep_guise
from scenes.services.problems import EVERYWHERE, Problems
from scenes.services.record import keep_rows, record_edit
from scenes.services.roles import keep_guises, make_guise, record_made
from scenes.services.shows import say_day


class GuiseValues(TypedDict, total=False):
    """What a person may say of a guise. A blank name is good where a role has one guise."""

    name: str
    kind: str
    scale: Decimal
    height_mm: int | None
    head_mm: int | None
    words: str
    colours: str
    has_working: bool
    on_one: int
    further_min: int
    people: int | None
    chosen_by: date | None
    note: str


@transaction.atomic
def add_guise(
    *,
    show: Show,
    user: User | None,
    character: Character,
    name: str,
    kind: str = Kind.STRING,
    costumes: Sequence[str] = (),
) -> Guise:
    """One more guise of a role, with what it wears."""
    Show.objects.select_for_update().get(pk=show.pk)
    name = tidy_name(name)
    guise_problems(show=show, guise=Guise(character=character, name=name)).refuse()
    guise = make_guise(show=show, user=user, character=character, name=name, kind=kind)
    worn = make_costumes(show=show, user=user, guise=guise, names=costumes)
    record_made(show, user, guise, worn)
    return guise


@transaction.atomic
def edit_guise(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    version: int | None = None,
    **values: Unpack[GuiseValues],
) -> Guise:
    """Change what is said of a guise. Figures already numbered keep their numbers."""
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(guise, version)
    stands = Guise.objects.select_related("character__show__company").get(pk=guise.pk)
    before = snapshot(stands) | {"guises": keep_rows([stands])}
    for name, value in values.items():
        setattr(stands, name, value)
    stands.name = tidy_name(stands.name)
    guise_problems(show=show, guise=stands, before=before).refuse()
    stands.save()
    record_edit(
        show=show,
        user=user,
        noun="guise",
        row=stands.pk,
        said=f"what is said of {stands}",
        before=before,
        after=snapshot(stands) | {"guises": keep_rows([stands])},
    )
    return stands


@transaction.atomic
def remove_guise(
    *, show: Show, user: User | None, guise: Guise, version: int | None = None
) -> None:
    """Take a guise away with its costumes, where neither plot nor bench has it.

    A role keeps at least one guise: its last one goes with the role.
    """
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(guise, version)
    problems = Problems()
    for reason in reasons_to_keep_guise(guise, show):
        problems.add(EVERYWHERE, reason)
    if not guise.character.guises.exclude(pk=guise.pk).exists():
        problems.add(EVERYWHERE, "A role has at least one guise: remove the role instead.")
    problems.refuse()
    record_edit(
        show=show,
        user=user,
        noun="guise",
        row=guise.pk,
        said=f"{guise} taken away",
        before=snapshot(guise) | keep_guises([guise]),
    )
    guise.delete()


def guise_problems(
    *, show: Show, guise: Guise, before: dict[str, object] | None = None
) -> Problems:
    """All that is wrong with a guise as it would stand."""
    problems = Problems()
    there = Guise.objects.filter(character=guise.character, name_key=name_key(guise.name))
    if there.exclude(pk=guise.pk).exists():
        problems.add(
            "name",
            f"{guise.character} has a guise called {guise.name} already."
            if guise.name
            else f"{guise.character} has a guise without a name already: give this one a name.",
        )
    if guise.scale <= 0:
        problems.add("scale", "The scale is more than nought: 1 for life as the others are.")
    if guise.head_mm and guise.height_mm and guise.head_mm >= guise.height_mm:
        problems.add("head_mm", "The head is as large as the whole figure: check both sizes.")
    day, stood = guise.chosen_by, (before or {}).get("chosen_by")
    if day and day.isoformat() != stood:
        if day < clock.today(show.company):
            problems.add("chosen_by", f"{say_day(day)} is past: give a day from today on.")
        elif show.opening and day > show.opening:
            problems.add(
                "chosen_by", f"{say_day(day)} is after the opening on {say_day(show.opening)}."
            )
    return problems
