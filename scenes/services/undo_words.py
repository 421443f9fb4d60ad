"""Why an edit cannot be undone, in a sentence: which row, what became of it, by whom."""

from __future__ import annotations

from company.models import Change
from scenes.models import Costume, Guise, Scene, Show
from scenes.queries.undo import where_of
from scenes.services.record import Record, Touch, read_touches

MOST_LATER = 2000


def say_conflict(
    show: Show, change: Change, kind: str, ident: str, touch: Touch | None = None
) -> str:
    """'The Heron in scene 3 was changed by Odile since then: it stays as it is.'"""
    what = say_kind(show, kind, touch, ident)
    later = _find_later(show, change, kind, ident)
    by = f" by {_say_who(later, change)}" if later else ""
    return f"{what} was changed{by} since then: it stays as it is."


def say_in_the_way(show: Show, change: Change, touch: Touch, key: str) -> str:
    """'Scene 11 stays: Odile has put somebody on in it since then.'"""
    later = _find_later(show, change, "appearances", key)
    who = _say_who(later, change) if later else "somebody else"
    have = "have" if who == "you" else "has"
    return f"{say_kind(show, touch.kind, touch)} stays: {who} {have} put others on in it since."


def _say_who(later: Change, change: Change) -> str:
    return "you" if later.user_id == change.user_id else str(later.user or "an import")


def say_others(show: Show, change: Change) -> list[str]:
    """What others did in the draft since: going back to another would take it out of sight."""
    later = Change.objects.filter(
        company=show.company_id, where=where_of(show), pk__gt=change.pk, said__gt=""
    )
    others = later.exclude(user=change.user_id).select_related("user").order_by("-pk")
    return [
        f"{row.user or 'An import'} has worked in this draft since: {row.said}."
        for row in others[:5]
    ]


def say_kind(show: Show, kind: str, touch: Touch | None, ident: str = "") -> str:
    """What a row is called in a sentence."""
    said: Record = (touch and (touch.after or touch.before)) or {}
    if kind == "drafts":
        return "The draft of the plot"
    if kind == "order":
        return "The running order"
    if kind == "shows":
        return "What is said of the stage"
    if kind == "walks":
        return "The way from one place to another"
    if kind == "scenes":
        return f"Scene {said.get('label') or _label_of(show, ident)}"
    if kind == "appearances":
        return f"{_guise_of(said)} in scene {_label_of(show, str(said.get('scene_key', '')))}"
    if kind == "rules":
        names = Costume.objects.in_bulk([said["from_costume_id"], said["to_costume_id"]])
        first, second = (names.get(said[f"{end}_costume_id"]) for end in ("from", "to"))
        return f"The change of {_guise_of(said)} from {first} to {second}"
    if kind == "pins":
        return f"A pin of {_guise_of(said)}"
    return str(said.get("name") or _NOUNS.get(kind, "Something it stands on"))


_NOUNS = {"roles": "The role", "guises": "The guise", "costumes": "The costume"}


def _guise_of(said: Record) -> str:
    guise = Guise.objects.select_related("character").filter(pk=said.get("guise_id")).first()
    return str(guise) if guise else "A guise that is gone"


def _label_of(show: Show, key: str) -> str:
    """The label of a scene, in this draft or the last one that had it."""
    if not key:
        return "?"
    scenes = Scene.objects.filter(draft__show=show, key=key).order_by("-draft__number")
    scene = scenes.first()
    if scene is not None:
        return str(scene.label)
    for before, after in Change.objects.filter(noun="scene", row=key).values_list(
        "before", "after"
    ):
        for side in (after, before):
            if side and side.get("label"):
                return str(side["label"])
    return "that is gone"


def _find_later(show: Show, change: Change, kind: str, ident: str) -> Change | None:
    """The newest edit after this one that touched the row."""
    rows = Change.objects.filter(
        company=show.company_id, where=where_of(show), pk__gt=change.pk
    ).select_related("user")
    for later in rows.order_by("-pk")[:MOST_LATER]:
        before, after = later.before or {}, later.after or {}
        if kind in ("drafts", "order"):
            if "switch" in after or before.get("order") != after.get("order"):
                return later
        elif "switch" in after or any(
            (t.kind, t.ident) == (kind, ident) for t in read_touches(before, after)
        ):
            return later
    return None
