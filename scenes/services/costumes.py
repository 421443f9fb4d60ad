"""Adding, editing and removing what a guise wears."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypedDict, Unpack

from django.db import transaction
from django.db.models import Max

from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import claim_version, snapshot
from scenes.models import Costume, Guise, Show
from scenes.services.guards import reasons_to_keep_costume
from scenes.services.problems import EVERYWHERE, Problems
from scenes.services.record import Record, keep_rows, record_edit, record_part

TINTS = 6


class CostumeValues(TypedDict, total=False):
    """What a person may say of a costume."""

    name: str
    tint: int
    weight_g: int | None
    sewing_min: int | None
    matters: bool


@transaction.atomic
def add_costume(
    *, show: Show, user: User | None, guise: Guise, **values: Unpack[CostumeValues]
) -> Costume:
    """One more costume of a guise; without a tint it takes the next one round."""
    costume = _make(show, guise, values)
    _record(show, user, costume, "added", {}, _keep(costume))
    return costume


def _make(show: Show, guise: Guise, values: CostumeValues) -> Costume:
    Show.objects.select_for_update().get(pk=show.pk)
    last = Costume.objects.filter(guise=guise).aggregate(last=Max("position"))["last"]
    costume = Costume(guise=guise, position=0 if last is None else last + 1)
    costume.tint = next_tint(show)
    _take(costume, values)
    costume_problems(costume=costume).refuse()
    costume.save()
    return costume


@transaction.atomic
def edit_costume(
    *,
    show: Show,
    user: User | None,
    costume: Costume,
    version: int | None = None,
    **values: Unpack[CostumeValues],
) -> Costume:
    """Change what is said of a costume. What is worn in the plot follows."""
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(costume, version)
    stands = Costume.objects.select_related("guise__character").get(pk=costume.pk)
    before = _keep(stands)
    _take(stands, values)
    costume_problems(costume=stands).refuse()
    stands.save()
    _record(show, user, stands, "", before, _keep(stands))
    return stands


@transaction.atomic
def remove_costume(
    *, show: Show, user: User | None, costume: Costume, version: int | None = None
) -> None:
    """Take a costume away, where neither plot nor bench has it."""
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(costume, version)
    problems = Problems()
    for reason in reasons_to_keep_costume(costume, show):
        problems.add(EVERYWHERE, reason)
    problems.refuse()
    _record(show, user, costume, "taken away", _keep(costume), {})
    costume.delete()


def make_costumes(
    *, show: Show, user: User | None, guise: Guise, names: Sequence[str]
) -> list[Costume]:
    """Costumes by name, those of one spelling once. Inside a transaction."""
    by_key = {name_key(name): tidy_name(name) for name in reversed(names) if name_key(name)}
    wanted = [by_key.pop(key) for key in map(name_key, names) if key in by_key]
    made = [_make(show, guise, {"name": name}) for name in wanted]
    for costume in made:
        record_part(show=show, user=user, noun="costume", row=costume)
    return made


def costume_problems(*, costume: Costume) -> Problems:
    """All that is wrong with a costume as it would stand."""
    problems = Problems()
    key = name_key(costume.name)
    if not key:
        problems.add("name", "A costume needs a name, such as smock.")
    there = Costume.objects.filter(guise=costume.guise, name_key=key).exclude(pk=costume.pk)
    if key and there.exists():
        problems.add("name", f"{costume.guise} has a costume called {costume.name} already.")
    if not 1 <= costume.tint <= TINTS:
        problems.add("tint", f"There are {TINTS} tints.")
    return problems


def next_tint(show: Show) -> int:
    """Tints go round through the show, so that costumes side by side look different."""
    there = Costume.objects.filter(guise__character__show=show).count()
    return there % TINTS + 1


def _take(costume: Costume, values: CostumeValues) -> None:
    for name, value in values.items():
        setattr(costume, name, value)
    costume.name = tidy_name(costume.name)


def _keep(costume: Costume) -> Record:
    """The costume for the record."""
    return snapshot(costume) | {"costumes": keep_rows([costume])}


def _record(
    show: Show, user: User | None, costume: Costume, verb: str, before: Record, after: Record
) -> None:
    record_edit(
        show=show,
        user=user,
        noun="costume",
        row=costume.pk,
        said=f"{costume.name} of {costume.guise} {verb}".rstrip(),
        before=before or None,
        after=after or None,
    )
