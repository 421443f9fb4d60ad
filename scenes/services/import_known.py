"""Which appearance of the draft before a line of plot.csv is: by its key, else by what it says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from company.core.names import name_key
from scenes.models import Appearance


class KnownRows:
    """Appearances of the draft before, each to be met again once: by key, else by what it says."""

    def __init__(self, appearances: Iterable[Appearance]) -> None:
        self.by_key = {row.key: row for row in appearances}
        self.left = dict(self.by_key)

    def match(self, rows: list[Appearance], keys: list[str]) -> list[Appearance | None]:
        """The old row of each new one. Keys first, then rows that say the same, then those that
        have the same guise in the same costume in the same scene."""
        found: list[Appearance | None] = [None] * len(rows)
        for n, key in enumerate(keys):
            if key:
                found[n] = self.left.pop(UUID(key), None)
        for says in (_says_all, _says_who):
            waiting: dict[tuple[Any, ...], list[Appearance]] = defaultdict(list)
            for old in self.left.values():
                waiting[says(old)].append(old)
            for n, row in enumerate(rows):
                if found[n] is None and not keys[n] and waiting[says(row)]:
                    old = waiting[says(row)].pop(0)
                    found[n] = self.left.pop(old.key)
        return found


def _says_who(row: Appearance) -> tuple[Any, ...]:
    return name_key(row.scene.label), row.guise_id, row.costume_id


def _says_all(row: Appearance) -> tuple[Any, ...]:
    times = (row.enters_s, row.leaves_s, row.from_place, row.to_place, row.copies)
    return (*_says_who(row), *times)
