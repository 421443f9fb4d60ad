"""Undoing and redoing a person's own edits of a show, as long as nobody else was at the same rows.

An undo is an edit like any other: it is checked, opens the next draft where the current one is
frozen, and writes its row in the record of changes, which says what it undoes. A redo undoes an
undo. Where the edit had opened a draft of its own, and nothing else stands in that, it goes too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from company.models import Change, User
from scenes.models import Appearance, ChangeRule, Count, Draft, Scene, Show
from scenes.queries.undo import Step, read_undo
from scenes.services.cells import lock_plot
from scenes.services.drafts import writable_draft
from scenes.services.record import (
    Record,
    Touch,
    draft_number,
    keep_rows,
    read_touches,
    record_edit,
    says_same,
)
from scenes.services.restoring import Restorer
from scenes.services.undo_words import say_conflict, say_in_the_way, say_kind, say_others


class UndoRefused(Exception):
    """The edit cannot be turned back. `sentences` say which row stands in the way, and whose."""

    def __init__(self, said: str, sentences: Sequence[str]) -> None:
        super().__init__(" ".join(sentences))
        self.said = said
        self.sentences = list(sentences)


@dataclass(frozen=True)
class Undone:
    """What was turned back: in words, the rows it touched, and whether the draft is another."""

    said: str
    touches: tuple[Touch, ...]
    is_other_draft: bool

    @property
    def guise_ids(self) -> set[int] | None:
        """The guises whose entries changed, where nothing else did; else None."""
        if self.is_other_draft or any(t.kind != "appearances" for t in self.touches):
            return None
        return {side["guise_id"] for t in self.touches for side in (t.before, t.after) if side}


@transaction.atomic
def undo_edit(*, show: Show, user: User, wanted: int | None = None) -> Undone | None:
    """Turn back the person's last edit; None where there is none (or `wanted` was undone already).

    `wanted` is the edit that the pressed button spoke of. Raises UndoRefused, having changed
    nothing.
    """
    lock_plot(show)
    return _turn_back(show, user, read_undo(show, user).undo, wanted)


@transaction.atomic
def redo_edit(*, show: Show, user: User, wanted: int | None = None) -> Undone | None:
    """Make the edit again that was undone last; None where there is none."""
    lock_plot(show)
    return _turn_back(show, user, read_undo(show, user).redo, wanted)


def _turn_back(show: Show, user: User, step: Step | None, wanted: int | None) -> Undone | None:
    if step is None or wanted not in (None, step.id):
        return None
    change = Change.objects.get(pk=step.id)
    before, after = change.before or {}, change.after or {}
    number, draft = draft_number(show), show.current_draft
    touches = list(read_touches(before, after))
    _refuse(show, change, touches)
    try:
        with transaction.atomic():
            stood = Restorer(show, touches).now() | _order_in(draft, before)
            if "switch" in after:
                _switch(show, before["draft"])
            elif "draft" in before:
                draft = writable_draft(show=show, user=user)
                Restorer(show, touches).write(draft)
                _set_order(draft, before, after)
                _drop_draft(show, before, after)
            else:
                Restorer(show, touches).write(draft)
    except IntegrityError as twin:
        raise UndoRefused(
            step.said, ["Its name or number is used by another one since: rename that first."]
        ) from twin
    draft = show.current_draft
    stands = Restorer(show, touches).now() | _order_in(draft, before)
    is_switch = {"switch": True} if "switch" in after else {}
    was_in = {"draft": number} if "draft" in before else {}
    is_in = {"draft": draft_number(show)} if was_in else {}
    record_edit(
        show=show,
        user=user,
        noun=change.noun,
        row=change.row,
        said=change.said,
        before=stood | was_in | is_switch,
        after=stands | is_in | is_switch,
        undoes=change,
    )
    show.refresh_from_db(fields=["crossing_s", "reset_s", "version"])
    return Undone(change.said, tuple(touches), number != draft_number(show) and bool(is_switch))


def _refuse(show: Show, change: Change, touches: Sequence[Touch]) -> None:
    """Raise UndoRefused with everything that stands in the way."""
    restorer = Restorer(show, touches)
    before, after = change.before or {}, change.after or {}
    sentences: list[str] = []
    if "switch" in after:
        sentences += say_others(show, change)
        if draft_number(show) != after["draft"] and not sentences:
            sentences.append(say_conflict(show, change, "drafts", ""))
    moved = restorer.moved()
    sentences += [say_conflict(show, change, t.kind, t.ident, t) for t in moved]
    sentences += [
        say_conflict(show, change, kind, ident)
        for kind, ident in dict.fromkeys((kind, ident) for _, kind, ident in restorer.missing())
    ]
    if not sentences:
        sentences += [
            say_in_the_way(show, change, touch, key) for touch, key in restorer.stays_in_the_way()
        ]
        sentences += [f"{say_kind(show, t.kind, t)} {what}." for t, what in restorer.misfits()]
        sentences += restorer.kept()
        if not _is_order_as_left(show.current_draft, before, after):
            sentences.append(say_conflict(show, change, "order", ""))
    if sentences:
        raise UndoRefused(change.said, list(dict.fromkeys(sentences)))


# The running order


def _order_in(draft: Draft | None, before: Record) -> Record:
    return {"order": _keys_of(draft)} if "order" in before else {}


def _keys_of(draft: Draft | None) -> list[str]:
    return [str(key) for key in Scene.objects.filter(draft=draft).values_list("key", flat=True)]


def _is_order_as_left(draft: Draft | None, before: Record, after: Record) -> bool:
    """Whether the scenes follow each other as the edit left them, those added since left out."""
    if before.get("order") == after.get("order"):
        return True
    now = _keys_of(draft)
    left = [key for key in after["order"] if key in now]
    return [key for key in now if key in left] == left


def _set_order(draft: Draft, before: Record, after: Record) -> None:
    """The order before the edit; a scene added since stays behind the one it stands behind."""
    if before.get("order") == after.get("order"):
        return
    rows = {str(row.key): row for row in Scene.objects.filter(draft=draft)}
    order = [key for key in before["order"] if key in rows]
    last = ""
    for key in rows:
        if key not in order:
            order.insert(order.index(last) + 1 if last in order else 0, key)
        last = key
    for position, key in enumerate(order):
        rows[key].position = position
    Scene.objects.bulk_update(rows.values(), ["position"])


# The draft


def _switch(show: Show, number: int) -> None:
    show.current_draft = Draft.objects.get(show=show, number=number)
    Show.objects.filter(pk=show.pk).update(current_draft=show.current_draft)


def _drop_draft(show: Show, before: Record, after: Record) -> None:
    """Where the edit had opened the draft, and it now says what its parent does: back to that."""
    draft = show.current_draft
    assert draft is not None
    parent = draft.parent
    if before.get("draft") == after.get("draft") or draft.number != after.get("draft"):
        return
    if parent is None or parent.number != before.get("draft") or draft.name or draft.frozen_at:
        return
    is_kept = Count.objects.filter(draft=draft, accepted_at__isnull=False).exists()
    if is_kept or not _say_same(parent, draft):
        return
    _switch(show, parent.number)
    draft.delete()


def _say_same(one: Draft, other: Draft) -> bool:
    """Whether two drafts hold the same rows, in the same order."""
    if _keys_of(one) != _keys_of(other):
        return False
    for kind, model in (("scenes", Scene), ("rules", ChangeRule), ("appearances", Appearance)):
        sides = []
        for draft in (one, other):
            rows = model._default_manager.filter(draft=draft)
            if kind == "appearances":
                rows = rows.select_related("scene")
            sides.append({row["key"]: row for row in keep_rows(rows)})
        if sides[0].keys() != sides[1].keys():
            return False
        if not all(says_same(kind, sides[0][key], sides[1][key]) for key in sides[0]):
            return False
    return True
