"""Taking an edit that saves a figure, by the same ways as a person's own edit of the plot."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from django.core.cache import cache
from django.db import transaction

from builds.queries.plans import latest_change
from builds.services.as_taken import ReadyDay, ready_as_taken
from company.models import User
from scenes.core.plot_edits import Edit
from scenes.models import Appearance, Costume, Guise, Show
from scenes.services.cells import as_wanted, read_cell, set_cell
from scenes.services.plot import add_rule

KEEP_S = 3600


class SavingGone(Exception):
    """The plot was changed, and the edit is not there to be made any more."""


@transaction.atomic
def take_saving(*, show: Show, user: User | None, edit: Edit) -> None:
    """Make the edit in the current draft; undone like any other edit of the plot.

    Raises SavingGone where the plot has moved on, ValidationError where it refuses the edit.
    """
    guise = Guise.objects.select_related("character").filter(pk=edit.guise).first()
    if guise is None or guise.character.show_id != show.pk:
        raise SavingGone
    if edit.rule is not None:
        costumes = Costume.objects.filter(guise=guise)
        add_rule(
            show=show,
            user=user,
            guise=guise,
            from_costume=costumes.get(pk=edit.rule.from_costume),
            to_costume=costumes.get(pk=edit.rule.to_costume),
            change_s=edit.rule.change_s,
            people=edit.rule.people,
        )
        return
    row = Appearance.objects.filter(
        draft=show.current_draft_id, key=edit.key, guise=guise
    ).select_related("scene")
    found = row.first()
    if found is None:
        raise SavingGone
    _, stands = read_cell(show, guise, found.scene.key)
    wanted = []
    for appearance in stands:
        one = as_wanted(appearance)
        if appearance.key != edit.key:
            wanted.append(one)
        elif edit.kind != "cut":
            wanted.append(replace(one, **_changed(edit)))  # type: ignore[arg-type]
    set_cell(show=show, user=user, guise=guise, scene_key=found.scene.key, wanted=wanted)


def _changed(edit: Edit) -> dict[str, object]:
    return {
        "place": {"from_place": edit.place},
        "enter_later": {"enters_s": edit.at_s},
        "leave_earlier": {"leaves_s": edit.at_s},
        "costume": {"costume_id": edit.costume},
    }[edit.kind]


# The new ready date


@dataclass(frozen=True, slots=True)
class ReadyDates:
    """When all is ready with the draft taken to the bench, as it stands and with an edit made."""

    now: date | None
    then: date | None
    why: str = ""

    @property
    def days_gained(self) -> int | None:
        """Days by which all is ready sooner; negative for later."""
        if self.now is None or self.then is None:
            return None
        return (self.now - self.then).days


def ready_dates(show: Show, edit: Edit) -> ReadyDates:
    """Plan the draft as it stands, and a copy of it with the edit made, with the same effort.

    The copy is made, taken to the bench and read inside a transaction that is turned back:
    nothing of it stays. The plan of the draft as it stands is kept for the next question.
    """
    now = _ready_now(show)
    then = ready_as_taken(show, lambda copy: take_saving(show=copy, user=None, edit=edit))
    return ReadyDates(now.day, then.day, now.why or then.why)


def _ready_now(show: Show) -> ReadyDay:
    draft = show.current_draft
    assert draft is not None
    newest = latest_change(show.company)
    key = f"ready-with-draft:{show.pk}:{draft.pk}:{draft.revision}:{newest}"
    found: ReadyDay | None = cache.get(key)
    if found is None:
        found = ready_as_taken(show)
        cache.set(key, found, KEEP_S)
    return found
