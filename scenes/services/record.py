"""The record of changes of a show's plot, in the form that an undo can go by.

`before` and `after` hold the rows that an edit touched as lists under the names in `KINDS`, each
row whole, those that were made or taken away on one side alone. `order` is the running order as
scene keys, `draft` the number of the draft that was current; `switch` says that the draft itself
is what was changed. What else stands in them is for the reader of a history.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Model

from company.models import Change, User
from company.services.changes import record_change, snapshot
from scenes.models import (
    Appearance,
    ChangeRule,
    Character,
    Costume,
    Guise,
    Pin,
    Rig,
    Scene,
    Show,
    Walk,
)
from scenes.queries.undo import where_of

# In an order in which rows can be made; the other way round they can be taken away.
KINDS: dict[str, type[Model]] = {
    "shows": Show,
    "walks": Walk,
    "roles": Character,
    "guises": Guise,
    "rigs": Rig,
    "costumes": Costume,
    "scenes": Scene,
    "rules": ChangeRule,
    "appearances": Appearance,
    "pins": Pin,
}
OF_DRAFT = ("scenes", "rules", "appearances")  # known by key, in whatever draft is current

# Which draft a row stands in, how often it was written and its place are not what it says.
NOT_SAID = frozenset({"id", "version", "draft_id", "scene_id"})

Record = dict[str, Any]


@dataclass(frozen=True)
class Touch:
    """A row that an edit touched, as it was and as it is; None where it is not there."""

    kind: str
    ident: str
    before: Record | None
    after: Record | None


def read_touches(before: Record | None, after: Record | None) -> Iterator[Touch]:
    """The rows that differ between two sides of the record, in the order of `KINDS`."""
    for kind in KINDS:
        old = {ident_of(kind, row): row for row in _rows_in(before, kind)}
        new = {ident_of(kind, row): row for row in _rows_in(after, kind)}
        for ident in dict.fromkeys((*old, *new)):
            touch = Touch(kind, ident, old.get(ident), new.get(ident))
            if not says_same(kind, touch.before, touch.after):
                yield touch


def _rows_in(side: Record | None, kind: str) -> list[Record]:
    """The rows of a kind; the record of an import says only how many there were."""
    rows = (side or {}).get(kind)
    return rows if isinstance(rows, list) else []


def ident_of(kind: str, row: Record) -> str:
    """What a row is known by: its key across drafts, else its id."""
    return str(row["key"] if kind in OF_DRAFT else row["id"])


def says_same(kind: str, one: Record | None, other: Record | None) -> bool:
    """Whether two states of a row say the same. A scene's place is its place in the order."""
    if one is None or other is None:
        return one is other
    names = (one.keys() & other.keys()) - NOT_SAID - ({"position"} if kind == "scenes" else set())
    return all(
        one[name] == other[name] or _read(kind, name, one[name]) == _read(kind, name, other[name])
        for name in names
    )


def _read(kind: str, name: str, said: Any) -> Any:
    """A value as its column reads it: a scale of 1 and one of 1.000 are the same."""
    columns = {column.attname: column for column in KINDS[kind]._meta.concrete_fields}
    return columns[name].to_python(said) if name in columns else said


def does_something(before: Record | None, after: Record | None) -> bool:
    """Whether the two sides differ in anything that an undo could turn back."""
    old, new = before or {}, after or {}
    is_other_order = old.get("order") != new.get("order")
    return is_other_order or "switch" in new or any(read_touches(before, after))


def record_edit(
    *,
    show: Show,
    user: User | None,
    noun: str,
    row: object,
    said: str,
    before: Record | None = None,
    after: Record | None = None,
    undoes: Change | None = None,
) -> Change:
    """Write one row of the record that can be undone; `said` is what was done, for the button.

    An edit that left everything as it was is on record too, but there is nothing to undo in it.
    """
    return record_change(
        company=show.company,
        user=user,
        noun=noun,
        row=row,
        before=before,
        after=after,
        undoes=undoes,
        where=where_of(show),
        said=said if does_something(before, after) else "",
    )


def record_rows(
    *,
    show: Show,
    user: User | None,
    noun: str,
    row: object,
    said: str,
    kind: str,
    number: int | None,
    before: list[Record],
    after: list[Record],
) -> Change:
    """An edit of rows of one kind of `KINDS`; `number`: the draft that was current before it."""
    return record_edit(
        show=show,
        user=user,
        noun=noun,
        row=row,
        said=said,
        before={"draft": number, kind: before},
        after={"draft": draft_number(show), kind: after},
    )


def record_part(*, show: Show, user: User | None, noun: str, row: Model) -> None:
    """Write that a row was made as part of a larger edit, which is undone as a whole."""
    record_change(company=show.company, user=user, noun=noun, row=row.pk, after=snapshot(row))


def keep_rows(rows: Iterable[Model]) -> list[Record]:
    """Rows as the record keeps them; entries of the plot say their scene by its key."""
    kept = []
    for row in rows:
        said = snapshot(row)
        if isinstance(row, Appearance):
            said["scene_key"] = str(row.scene.key)
        kept.append(said)
    return kept


def draft_number(show: Show) -> int | None:
    """The number of the draft that is current, for the record."""
    return show.current_draft.number if show.current_draft else None
