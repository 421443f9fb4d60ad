"""The trick builds of a guise, and whether one of them also plays plain."""

from __future__ import annotations

from django.db import transaction

from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import claim_version
from scenes.models import Appearance, Guise, Rig, Show
from scenes.services.cells import lock_plot
from scenes.services.drafts import writable_draft
from scenes.services.problems import Problems
from scenes.services.record import Record, draft_number, keep_rows, record_rows

LONGEST_NAME = 40
MOST_RIGS = 20


@transaction.atomic
def set_rig(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    name: str,
    plays_plain: bool,
    breaks_away: bool = False,
    part_min: int = 0,
    version: int | None = None,
) -> Rig:
    """Name a trick build of the guise, or say anew whether it plays plain too, and whether a part
    of it breaks at each performance that is then made anew in `part_min`.

    Raises ValidationError with all that is wrong, StaleEdit where somebody was quicker.
    """
    lock_plot(show)
    name = tidy_name(name)
    number = draft_number(show)
    rig = Rig.objects.filter(guise=guise, name_key=name_key(name)).first()
    said = (plays_plain, breaks_away, part_min if breaks_away else 0)
    if rig is not None and (rig.plays_plain, rig.breaks_away, rig.part_min) == said:
        return rig
    rig_problems(guise, name, rig).refuse()
    before = keep_rows([rig] if rig else [])
    if rig is None:
        rig = Rig.objects.create(guise=guise, name=name, plays_plain=plays_plain)
    else:
        claim_version(rig, version)
    rig.plays_plain, rig.breaks_away, rig.part_min = said
    rig.save()
    writable_draft(show=show, user=user)
    said = f"the trick build {rig} of {guise}"
    _record(show, user, number, guise, said, before, keep_rows([rig]))
    return rig


@transaction.atomic
def remove_rig(*, show: Show, user: User | None, guise: Guise, pk: int) -> None:
    """Forget a trick build that the plot does not use; one that is gone already is no matter."""
    lock_plot(show)
    rig = Rig.objects.filter(guise=guise, pk=pk).first()
    if rig is None:
        return
    problems = Problems()
    used = Appearance.objects.filter(draft=show.current_draft_id, guise=guise).exclude(rig="")
    labels = [
        label
        for written, label in used.values_list("rig", "scene__label")
        if name_key(written) == rig.name_key
    ]
    if labels:
        scenes = ", ".join(dict.fromkeys(labels))
        problems.add("name", f"The plot has it in scene {scenes}. Take it out of there first.")
    problems.refuse()
    number = draft_number(show)
    before = keep_rows([rig])
    rig.delete()
    writable_draft(show=show, user=user)
    said = f"the trick build {rig} of {guise} taken out"
    _record(show, user, number, guise, said, before, [])


def rig_problems(guise: Guise, name: str, there: Rig | None) -> Problems:
    """All that is wrong with a trick build as it would stand."""
    problems = Problems()
    if not name:
        problems.add("name", "Name the trick build: flying, fight.")
    elif name_key(name) == "plain":
        problems.add("name", "Plain is no trick build: leave it out.")
    elif ";" in name:
        problems.add("name", "No semicolon in the name, please.")
    elif len(name) > LONGEST_NAME:
        problems.add("name", f"At most {LONGEST_NAME} letters.")
    if there is None and guise.rigs.count() >= MOST_RIGS:
        problems.add("name", f"A guise has at most {MOST_RIGS} trick builds.")
    return problems


def _record(
    show: Show,
    user: User | None,
    number: int | None,
    guise: Guise,
    said: str,
    before: list[Record],
    after: list[Record],
) -> None:
    record_rows(
        show=show,
        user=user,
        noun="trick build",
        row=guise.pk,
        said=said,
        kind="rigs",
        number=number,
        before=before,
        after=after,
    )
