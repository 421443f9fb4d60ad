"""Drafts of the plot: the one that may be written, and what happens when it is frozen."""

from __future__ import annotations

from django.db import transaction
from django.db.models import F, Max

from company.models import User
from company.services.changes import record_change
from scenes.models import Appearance, ChangeRule, Draft, Scene, Show


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
