"""Drafts of the plot: the one that may be written, what happens when it is frozen, going back."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Max

from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import record_change
from scenes.models import Appearance, ChangeRule, Draft, Scene, Show
from scenes.services.record import record_edit

LONGEST_NAME = 80


@transaction.atomic
def open_draft(*, show: Show, user: User | None, parent: Draft | None = None) -> Draft:
    """Open the next draft with the rows of `parent` and their keys, and make it current."""
    last = Draft.objects.filter(show=show).aggregate(last=Max("number"))["last"] or 0
    draft = Draft.objects.create(show=show, number=last + 1, parent=parent)
    if parent is not None:
        _copy_rows(parent, draft)
    Show.objects.filter(pk=show.pk).update(current_draft=draft)
    show.current_draft = draft
    record_change(
        company=show.company,
        user=user,
        noun="draft",
        row=draft.pk,
        after={"number": draft.number, "parent": parent.pk if parent else None},
    )
    return draft


@transaction.atomic
def go_back_to(*, show: Show, user: User | None, draft: Draft) -> Draft:
    """Open the next draft as a copy of an older one, keys and all. Every draft stays as it is.

    Where that one is the current draft there is nothing to do.
    """
    locked = Show.objects.select_for_update().get(pk=show.pk)
    show.current_draft = before = locked.current_draft
    if draft.show_id != show.pk:
        raise ValueError(f"draft {draft.pk} is not of show {show.pk}")
    if before is not None and before.pk == draft.pk:
        return before
    opened = open_draft(show=show, user=user, parent=draft)
    record_edit(
        show=show,
        user=user,
        noun="draft",
        row=opened.pk,
        said=f"back to {_called(draft)}",
        before={"draft": before.number if before else None},
        after={"draft": opened.number, "switch": True},
    )
    return opened


@transaction.atomic
def name_draft(*, show: Show, user: User | None, draft: Draft, name: str) -> Draft:
    """Give a draft a name, or take it away. A frozen one may be named too: its rows stay."""
    name = tidy_name(name)
    if len(name) > LONGEST_NAME:
        raise ValidationError({"name": f"At most {LONGEST_NAME} letters, not {len(name)}."})
    there = Draft.objects.filter(show=show).exclude(pk=draft.pk).exclude(name="")
    twin = next((d for d in there if name_key(d.name) == name_key(name)), None)
    if name and twin is not None:
        raise ValidationError({"name": f"Draft {twin.number} is called '{twin.name}' already."})
    before, draft.name = draft.name, name
    draft.save(update_fields=["name"])
    record_change(
        company=show.company,
        user=user,
        noun="draft",
        row=draft.pk,
        before={"name": before},
        after={"name": name},
    )
    return draft


def _called(draft: Draft) -> str:
    return f"draft {draft.number}, {draft.name}" if draft.name else f"draft {draft.number}"


def _copy_rows(parent: Draft, draft: Draft) -> None:
    scenes = list(Scene.objects.filter(draft=parent))
    for scene in scenes:
        scene.pk, scene.draft = None, draft
    Scene.objects.bulk_create(scenes)
    by_key = {scene.key: scene for scene in Scene.objects.filter(draft=draft)}
    appearances = list(Appearance.objects.filter(draft=parent).select_related("scene"))
    for appearance in appearances:
        appearance.scene = by_key[appearance.scene.key]
        appearance.pk, appearance.draft = None, draft
    Appearance.objects.bulk_create(appearances)
    rules = list(ChangeRule.objects.filter(draft=parent))
    for rule in rules:
        rule.pk, rule.draft = None, draft
    ChangeRule.objects.bulk_create(rules)


@transaction.atomic
def writable_draft(*, show: Show, user: User | None) -> Draft:
    """The draft that an edit may write: the current one, or a copy of it where it is frozen.

    Takes the draft's next revision, so that a count kept for the one before is not mistaken
    for this one's. Rows are known across drafts by their key: look them up by key in what
    this returns, never by the id that was read before.
    """
    draft = show.current_draft
    if draft is None:
        return open_draft(show=show, user=user)
    draft.refresh_from_db()
    if draft.frozen_at is not None:
        return open_draft(show=show, user=user, parent=draft)
    Draft.objects.filter(pk=draft.pk).update(revision=F("revision") + 1)
    draft.refresh_from_db()
    return draft
