"""Adding, editing, ordering and removing the roles of a show."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.db.models import Max

from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import claim_version, snapshot
from scenes.core.letters import propose_letters, tidy_letters
from scenes.models import Character, Costume, Guise, Kind, Pin, Rig, Show
from scenes.services.costumes import make_costumes
from scenes.services.guards import are_letters_fixed, reasons_to_keep_role
from scenes.services.problems import EVERYWHERE, Problems
from scenes.services.record import Record, keep_rows, record_edit, record_part


@transaction.atomic
def add_role(
    *,
    show: Show,
    user: User | None,
    name: str,
    letters: str = "",
    guise: str = "",
    kind: str = Kind.STRING,
    costumes: Sequence[str] = (),
) -> Guise:
    """A role with its first guise and what that wears; blank letters are proposed from the name.

    Where the role is there already, the guise is one more of it.
    """
    Show.objects.select_for_update().get(pk=show.pk)
    name, guise = tidy_name(name), tidy_name(guise)
    role_problems(show=show, name=name, letters=letters, guise=guise).refuse()
    character = Character.objects.filter(show=show, name_key=name_key(name)).first()
    is_new = character is None
    if character is None:
        character = make_role(show=show, user=user, name=name, letters=letters)
    made = make_guise(show=show, user=user, character=character, name=guise, kind=kind)
    worn = make_costumes(show=show, user=user, guise=made, names=costumes)
    record_made(show, user, made, worn, character if is_new else None)
    return made


@transaction.atomic
def edit_role(
    *, show: Show, user: User | None, character: Character, version: int | None, name: str,
    letters: str,
) -> Character:  # fmt: skip
    """Rename a role or change its letters, which are fixed once a figure of it exists."""
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(character, version)
    stands = Character.objects.get(pk=character.pk)
    before = _keep(stands)
    name = tidy_name(name)
    role_problems(show=show, name=name, letters=letters, character=stands).refuse()
    stands.name = name
    if not are_letters_fixed(stands):
        stands.letters = tidy_letters(letters)
    stands.save()
    _record(show, user, stands, "", before, _keep(stands))
    return stands


@transaction.atomic
def move_role(*, show: Show, user: User | None, character: Character, is_up: bool) -> None:
    """One place up or down in the list of roles."""
    Show.objects.select_for_update().get(pk=show.pk)
    roles = list(Character.objects.filter(show=show))
    before = {"roles": keep_rows(roles)}
    place = roles.index(character)
    roles.insert(max(0, place + (-1 if is_up else 1)), roles.pop(place))
    for position, role in enumerate(roles):
        role.position = position
    Character.objects.bulk_update(roles, ["position"])
    _record(show, user, character, "moved", before, {"roles": keep_rows(roles)})


@transaction.atomic
def remove_role(
    *, show: Show, user: User | None, character: Character, version: int | None = None
) -> None:
    """Take a role away with its guises and costumes, where neither plot nor bench has it."""
    Show.objects.select_for_update().get(pk=show.pk)
    claim_version(character, version)
    problems = Problems()
    for reason in reasons_to_keep_role(character, show):
        problems.add(EVERYWHERE, reason)
    problems.refuse()
    guises = list(Guise.objects.filter(character=character))
    before = _keep(character) | keep_guises(guises)
    _record(show, user, character, "taken away", before, {})
    character.delete()


def role_problems(
    *, show: Show, name: str, letters: str, guise: str = "", character: Character | None = None
) -> Problems:
    """All that is wrong with a role as it would stand; without `character` it is a new one."""
    problems = Problems()
    twin = _twin(show, name, character)
    if not name_key(name):
        problems.add("name", "A role needs a name.")
    elif twin is not None and character is not None:
        problems.add("name", f"There is a role called {twin.name} already.")
    elif twin is not None and (
        not name_key(guise) or twin.guises.filter(name_key=name_key(guise)).exists()
    ):
        problems.add(
            "guise",
            f"{twin.name} has this guise already: give another, such as 'at sixty'."
            if guise
            else f"{twin.name} is there already. For one more guise of the role, name the guise.",
        )
    if character is None and twin is not None:
        if letters and letters.strip().upper() != twin.letters:
            problems.add("letters", f"{twin.name} has the letters {twin.letters} already.")
    elif letters or character is not None:
        _check_letters(show, letters, character, problems)
    return problems


def make_role(*, show: Show, user: User | None, name: str, letters: str = "") -> Character:
    """The row of a role that was checked; blank letters are proposed. Inside a transaction."""
    there = Character.objects.filter(show=show)
    chosen = letters.strip() and tidy_letters(letters)
    chosen = chosen or propose_letters(name, set(there.values_list("letters", flat=True)))
    last = there.aggregate(last=Max("position"))["last"]
    character = Character.objects.create(
        show=show, name=name, letters=chosen, position=0 if last is None else last + 1
    )
    record_part(show=show, user=user, noun="character", row=character)
    return character


def make_guise(
    *, show: Show, user: User | None, character: Character, name: str, kind: str = Kind.STRING
) -> Guise:
    """The row of a guise that was checked. Inside a transaction."""
    last = Guise.objects.filter(character=character).aggregate(last=Max("position"))["last"]
    guise = Guise.objects.create(
        character=character, name=name, kind=kind, position=0 if last is None else last + 1
    )
    record_part(show=show, user=user, noun="guise", row=guise)
    return guise


def record_made(
    show: Show,
    user: User | None,
    guise: Guise,
    worn: Sequence[Costume],
    character: Character | None = None,
) -> None:
    """A guise with what it wears, and the role where that is new, as one edit to undo."""
    record_edit(
        show=show,
        user=user,
        noun="role",
        row=guise.pk,
        said=f"{guise} added",
        after={
            "roles": keep_rows([character] if character else []),
            "guises": keep_rows([guise]),
            "costumes": keep_rows(worn),
        },
    )


def keep_guises(guises: Sequence[Guise]) -> Record:
    """Guises with everything that goes with them, for the record."""
    worn = Costume.objects.filter(guise__in=guises)
    return {
        "guises": keep_rows(guises),
        "costumes": keep_rows(worn),
        "rigs": keep_rows(Rig.objects.filter(guise__in=guises)),
        "pins": keep_rows(Pin.objects.filter(guise__in=guises)),
    }


def _twin(show: Show, name: str, character: Character | None) -> Character | None:
    there = Character.objects.filter(show=show, name_key=name_key(name))
    found: Character | None = there.exclude(pk=character.pk if character else None).first()
    return found


def _check_letters(
    show: Show, letters: str, character: Character | None, problems: Problems
) -> None:
    try:
        chosen = tidy_letters(letters)
    except ValueError as error:
        problems.add("letters", f"{str(error)[0].upper()}{str(error)[1:]}.")
        return
    if character is not None and chosen != character.letters and are_letters_fixed(character):
        problems.add(
            "letters",
            f"{character.letters} stands inside figures that exist, and is fixed for life.",
        )
    there = Character.objects.filter(show=show, letters=chosen)
    twin = there.exclude(pk=character.pk if character else None).first()
    if twin is not None:
        problems.add("letters", f"{twin.name} has the letters {chosen}: choose others.")


def _keep(character: Character) -> Record:
    return snapshot(character) | {"roles": keep_rows([character])}


def _record(
    show: Show, user: User | None, character: Character, verb: str, before: Record, after: Record
) -> None:
    record_edit(
        show=show,
        user=user,
        noun="character",
        row=character.pk,
        said=f"{character} {verb}".rstrip(),
        before=before or None,
        after=after or None,
    )
