"""What a person can undo and redo in a show: their own edits, newest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from company.models import Change, User
from scenes.models import Show

MOST_STEPS = 1000


class Step(NamedTuple):
    """An edit on record. `undoes` is the id of the one that it turned back, if it did."""

    id: int
    undoes: int | None
    said: str


@dataclass(frozen=True)
class UndoState:
    """The edits that come next in both directions; None where there is none."""

    undo: Step | None = None
    redo: Step | None = None


def where_of(show: Show) -> str:
    """How the record says that a change belongs to a show."""
    return f"show {show.pk}"


def read_undo(show: Show, user: User | None) -> UndoState:
    """The person's next undo and redo in the show: one read."""
    rows = Change.objects.filter(
        company=show.company_id, where=where_of(show), user=user, said__gt=""
    )
    newest = rows.order_by("-pk").values_list("pk", "undoes", "said")[:MOST_STEPS]
    return find_undo(Step(*row) for row in newest)


def find_undo(newest_first: Iterable[Step]) -> UndoState:
    """The next steps, from a person's edits, newest first.

    An edit that undid an undo stands for the first edit again. Edits that were undone are passed
    over; a new edit ends what could be redone.

    >>> find_undo([Step(3, 2, "b"), Step(2, None, "b"), Step(1, None, "a")])
    UndoState(undo=Step(id=1, undoes=None, said='a'), redo=Step(id=3, undoes=2, said='b'))
    """
    steps = {step.id: step for step in newest_first}
    turned: set[int] = set()
    undo = redo = None
    is_redo_open = True
    for step in steps.values():
        if step.undoes is None:
            is_redo_open = False
        else:
            turned.add(step.undoes)
        if step.id in turned:
            continue
        if _is_forward(step, steps):
            undo = undo or step
        elif is_redo_open:
            redo = redo or step
        if undo is not None and (redo is not None or not is_redo_open):
            break
    return UndoState(undo, redo)


def _is_forward(step: Step, steps: dict[int, Step]) -> bool:
    """Whether an even number of undos lies behind it; what is older than was read is no undo."""
    is_forward = True
    at: Step | None = step
    while at is not None and at.undoes is not None:
        is_forward = not is_forward
        at = steps.get(at.undoes)
    return is_forward
