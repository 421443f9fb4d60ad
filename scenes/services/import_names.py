"""Roles, guises and costumes that plot files name: those that are there, and those to be made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from company.core.names import name_key
from scenes.core.letters import propose_letters
from scenes.core.plot_files import CharacterNames
from scenes.models import Character, Costume, Guise, Show
from scenes.services.costumes import TINTS

MOST_ROLES = 500
MOST_COSTUMES = 5_000


class NameBook:
    """Finds rows of a show by the names in files; what is missing is made all at once.

    Names match within their parent, trimmed, in one Unicode form, without regard to case.
    """

    def __init__(self, show: Show) -> None:
        self.show = show
        self.made: dict[str, int] = {}
        self.characters = {row.name_key: row for row in Character.objects.filter(show=show)}
        self.guises = {
            (row.character_id, row.name_key): row
            for row in Guise.objects.filter(character__show=show)
        }
        self.costumes = {
            (row.guise_id, row.name_key): row
            for row in Costume.objects.filter(guise__character__show=show)
        }

    def guise(self, character: str, guise: str) -> Guise:
        """The guise; `make` was called with it."""
        return self.guises[self.characters[name_key(character)].pk, name_key(guise)]

    def costume(self, guise: Guise, name: str) -> Costume | None:
        """The costume of the guise; None where the name is blank, which is undecided."""
        return self.costumes[guise.pk, name_key(name)] if name else None

    def make(
        self, names: Sequence[CharacterNames], letters: Mapping[str, str] | None = None
    ) -> None:
        """Make what is missing of `names`, in their order, inside a transaction.

        A role may come more than once. `letters` are those that are given, by the key of a name;
        the others are proposed.
        """
        self._make_characters(names, letters or {})
        self._make_guises(names)
        self._make_costumes(names)

    def _make_characters(self, names: Sequence[CharacterNames], given: Mapping[str, str]) -> None:
        taken = {row.letters for row in self.characters.values()} | set(given.values())
        position = max((row.position for row in self.characters.values()), default=-1)
        rows = []
        for n, named in enumerate(self._missing_characters(names), start=1):
            letters = given.get(name_key(named.name)) or propose_letters(named.name, taken)
            taken.add(letters)
            rows.append(
                Character(show=self.show, name=named.name, letters=letters, position=position + n)
            )
        for row in Character.objects.bulk_create(rows):
            self.characters[name_key(row.name)] = row
        self.made["role"] = len(rows)

    def _missing_characters(self, names: Sequence[CharacterNames]) -> list[CharacterNames]:
        missing = {name_key(named.name): named for named in reversed(names)}
        return [
            named
            for named in names
            if missing.get(name_key(named.name)) is named
            and name_key(named.name) not in self.characters
        ]

    def _make_guises(self, names: Sequence[CharacterNames]) -> None:
        positions: dict[int, int] = {}
        for row in self.guises.values():
            positions[row.character_id] = max(positions.get(row.character_id, -1), row.position)
        rows: dict[tuple[int, str], Guise] = {}
        for named in names:
            character = self.characters[name_key(named.name)]
            for guise in named.guises:
                key = (character.pk, name_key(guise.name))
                if key in self.guises or key in rows:
                    continue
                place = positions[character.pk] = positions.get(character.pk, -1) + 1
                rows[key] = Guise(character=character, name=guise.name, position=place)
        for row in Guise.objects.bulk_create(rows.values()):
            self.guises[row.character_id, name_key(row.name)] = row
        self.made["guise"] = len(rows)

    def _make_costumes(self, names: Sequence[CharacterNames]) -> None:
        positions: dict[int, int] = {}
        for row in self.costumes.values():
            positions[row.guise_id] = max(positions.get(row.guise_id, -1), row.position)
        rows: dict[tuple[int, str], Costume] = {}
        for named in names:
            for guise_names in named.guises:
                guise = self.guise(named.name, guise_names.name)
                for name in guise_names.costumes:
                    key = (guise.pk, name_key(name))
                    if key in self.costumes or key in rows:
                        continue
                    place = positions[guise.pk] = positions.get(guise.pk, -1) + 1
                    tint = (len(self.costumes) + len(rows)) % TINTS + 1
                    rows[key] = Costume(guise=guise, name=name, tint=tint, position=place)
        for row in Costume.objects.bulk_create(rows.values()):
            self.costumes[row.guise_id, name_key(row.name)] = row
        self.made["costume"] = len(rows)


def too_many(names: Sequence[CharacterNames]) -> str:
    """What is wrong with the number of names, or ''. No show is as large as that."""
    costumes = sum(len(guise.costumes) for named in names for guise in named.guises)
    if len(names) > MOST_ROLES:
        return f"names {len(names)} roles; a show has at most {MOST_ROLES}"
    if costumes > MOST_COSTUMES:
        return f"names {costumes} costumes; a show has at most {MOST_COSTUMES}"
    return ""
