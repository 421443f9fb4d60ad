"""What a guises.csv says of roles, guises and costumes, written to their rows.

A blank cell says nothing. Letters that stand inside figures are fixed for life, and are no
problem as long as the file gives the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Model

from company.core.names import name_key
from scenes.core.plot_files import Problem
from scenes.core.plot_files.guises import GuiseRow
from scenes.models import Character, Costume, Guise, Rig
from scenes.services.import_names import NameBook

# Column of a line: column of the row it is written to.
OF_GUISE = {
    "kind": "kind",
    "scale": "scale",
    "height_mm": "height_mm",
    "head_mm": "head_mm",
    "words": "words",
    "colours": "colours",
    "moves": "has_working",
    "people": "people",
    "on_one": "on_one",
    "further_min": "further_min",
    "chosen_by": "chosen_by",
    "note": "note",
}
OF_COSTUME = {
    "tint": "tint",
    "sewing_min": "sewing_min",
    "weight_g": "weight_g",
    "matters": "matters",
}


def letters_wanted(rows: Iterable[GuiseRow]) -> dict[str, str]:
    """The letters that the lines give, by the key of the role's name."""
    return {name_key(row.character): row.letters for row in rows if row.letters}


def letters_problems(file: str, rows: Iterable[GuiseRow], book: NameBook) -> list[Problem]:
    """Letters that cannot be: fixed already, or another role's."""
    rows = list(rows)
    wanted = letters_wanted(rows)
    fixed = set(
        Guise.objects.filter(character__show=book.show, figures__isnull=False).values_list(
            "character__name_key", flat=True
        )
    )
    after = {key: role.letters for key, role in book.characters.items()} | wanted
    owners: dict[str, str] = {}
    for key, letters in after.items():
        if key not in wanted:
            owners[letters] = key
    problems, told = [], set()
    for row in rows:
        key = name_key(row.character)
        role = book.characters.get(key)
        if not row.letters or key in told:
            continue
        told.add(key)
        if role is not None and key in fixed and role.letters != row.letters:
            words = f"letters: {role.letters} stands inside figures of {role}, and is fixed"
            problems.append(Problem(file, row.line, words))
        elif row.letters in owners:
            other = book.characters[owners[row.letters]]
            problems.append(Problem(file, row.line, f"letters: {other} has {row.letters} already"))
    return problems


def write_guise_rows(rows: Sequence[GuiseRow], book: NameBook) -> None:
    """Write what the lines say; roles, guises and costumes were made. Inside a transaction."""
    roles: dict[int, Character] = {}
    guises: dict[int, Guise] = {}
    costumes: dict[int, Costume] = {}
    for row in rows:
        role = book.characters[name_key(row.character)]
        if row.letters and role.letters != row.letters:
            role.letters = row.letters
            roles[role.pk] = role
        guise = book.guise(row.character, row.guise)
        if _take(guise, row, OF_GUISE):
            guises[guise.pk] = guise
        costume = book.costume(guise, row.costume)
        if costume is not None and _take(costume, row, OF_COSTUME):
            costumes[costume.pk] = costume
    _write_rigs(rows, book)
    _save_letters(list(roles.values()))
    _save(Guise, guises.values(), OF_GUISE.values())
    _save(Costume, costumes.values(), OF_COSTUME.values())


def _write_rigs(rows: Iterable[GuiseRow], book: NameBook) -> None:
    """Trick builds that the lines name, made or told anew whether they play plain."""
    there = {
        (rig.guise_id, rig.name_key): rig
        for rig in Rig.objects.filter(guise__character__show=book.show)
    }
    made: dict[tuple[int, str], Rig] = {}
    told: dict[int, Rig] = {}
    for row in rows:
        guise = book.guise(row.character, row.guise)
        breaks = {name_key(name): part_min for name, part_min in row.break_away}
        said = [(name, False) for name in row.rigs] + [(name, True) for name in row.plain_rigs]
        for name, plays_plain in said:
            at = (guise.pk, name_key(name))
            rig = there.get(at) or made.setdefault(at, Rig(guise=guise, name=name))
            does_break = at[1] in breaks
            # A line without the column says nothing of breaking: what was said before stays.
            part_min = breaks.get(at[1], rig.part_min)
            would_be = (plays_plain, does_break or rig.breaks_away, part_min)
            if (rig.plays_plain, rig.breaks_away, rig.part_min) != would_be:
                rig.plays_plain, rig.breaks_away, rig.part_min = would_be
                if rig.pk:
                    told[rig.pk] = rig
    Rig.objects.bulk_create(made.values())
    _save(Rig, told.values(), ["plays_plain", "breaks_away", "part_min"])


def _take(target: Model, row: GuiseRow, columns: dict[str, str]) -> bool:
    """Whether the line said anything new of the row, which then holds it."""
    is_new = False
    for said, column in columns.items():
        value = getattr(row, said)
        if value in (None, "") or getattr(target, column) == value:
            continue
        setattr(target, column, value)
        is_new = True
    return is_new


def _save(model: type[Model], rows: Iterable[Any], columns: Iterable[str]) -> None:
    changed = list(rows)
    for row in changed:
        row.version += 1
    model._default_manager.bulk_update(changed, [*columns, "version"])


def _save_letters(roles: list[Character]) -> None:
    """Letters are unique at every moment: two roles that exchange theirs go by way of digits."""
    wanted = [role.letters for role in roles]
    for number, role in enumerate(roles):
        role.letters = str(number)
    Character.objects.bulk_update(roles, ["letters"])
    for role, letters in zip(roles, wanted, strict=True):
        role.letters = letters
    _save(Character, roles, ["letters"])
