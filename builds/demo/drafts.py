"""The demo's drafts: what they are called, and an edit that the lead thought better of."""

from __future__ import annotations

from company.models import User
from scenes.models import Draft, Show
from scenes.services.drafts import name_draft
from scenes.services.paste import paste_block
from scenes.services.undo import undo_edit

NAMES = ("As first read through", "With a second heron")
THOUGHT_BETTER_OF = "\t2\t4\nGulls\tplain\tplain x2\n"


def name_demo_drafts(show: Show, lead: User) -> None:
    """Names for the drafts there are, and a pasted block that was undone: it can be made again."""
    for draft, name in zip(Draft.objects.filter(show=show).order_by("number"), NAMES, strict=False):
        name_draft(show=show, user=lead, draft=draft, name=name)
    show.refresh_from_db()
    paste_block(show=show, user=lead, text=THOUGHT_BETTER_OF)
    undo_edit(show=show, user=lead)
