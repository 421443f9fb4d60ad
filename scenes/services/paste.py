"""Pasting a block from a spreadsheet into the plot: looked at first, then put in as one edit."""

from __future__ import annotations

from collections.abc import Hashable
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from company.core.names import name_key
from company.models import User
from scenes.core.paste import NewCostume, PasteLine, PastePlan
from scenes.models import Appearance, Costume, Draft, Scene, Show
from scenes.queries.paste import LookedAt, Place, look_at_block
from scenes.services.cells import COLUMNS, lock_plot
from scenes.services.costumes import make_costumes
from scenes.services.drafts import writable_draft
from scenes.services.record import draft_number, keep_rows, record_edit


class PlotMoved(Exception):
    """The plot is another one than the block was looked at against."""


@transaction.atomic
def paste_block(
    *, show: Show, user: User | None, text: str, at: Place | None = None, stamp: str | None = None
) -> LookedAt:
    """Do what `look_at_block` said, as one edit; what is not understood is left out.

    Raises PlotMoved where the plot is no longer what `stamp` says, ValidationError where there is
    nothing to do.
    """
    lock_plot(show)
    looked = look_at_block(show, text, at)
    if stamp is not None and stamp != looked.stamp:
        raise PlotMoved
    if not looked.does_something:
        raise ValidationError("There is nothing in this block that would change the plot.")
    number = draft_number(show)
    draft = writable_draft(show=show, user=user)
    made = _make_costumes(show, user, looked)
    before, after = _write(draft, looked.plan, made)
    record_edit(
        show=show,
        user=user,
        noun="paste",
        row=draft.pk,
        said=f"a block pasted: {say_plan(looked.plan)}",
        before={"draft": number, "appearances": before},
        after={
            "draft": draft.number,
            "appearances": after,
            "costumes": keep_rows(made.values()),
        },
    )
    return looked


def _make_costumes(
    show: Show, user: User | None, looked: LookedAt
) -> dict[tuple[Hashable, str], Costume]:
    """The costumes that the block names and nobody has yet, by guise and key of the name."""
    wanted: dict[int, list[str]] = {}
    for line in looked.plan.lines:
        new = line.after.costume if line.after else None
        if isinstance(new, NewCostume):
            wanted.setdefault(int(str(new.guise)), []).append(new.name)
    guises = {guise.pk: guise for guise in looked.rows.guises}
    return {
        (pk, name_key(costume.name)): costume
        for pk, names in wanted.items()
        for costume in make_costumes(show=show, user=user, guise=guises[pk], names=names)
    }


def _write(
    draft: Draft, plan: PastePlan, made: dict[tuple[Hashable, str], Costume]
) -> tuple[list[dict[str, object]], list[dict[str, object]]]:
    """Write every line that is not left alone; what stood and what stands, for the record."""
    lines = [line for line in plan.lines if line.fate != "left alone"]
    scenes = {scene.key: scene for scene in Scene.objects.filter(draft=draft)}
    keys = [line.before.key for line in lines if line.before is not None]
    found = Appearance.objects.filter(draft=draft, key__in=keys).select_related("scene")
    there = {row.key: row for row in found}
    before = keep_rows(there.values())
    gone = [there[line.before.key].pk for line in lines if line.before and not line.after]
    Appearance.objects.filter(pk__in=gone).delete()
    written = [_row(draft, scenes, line, there, made) for line in lines if line.after is not None]
    changed = [row for row in written if row.pk is not None]
    Appearance.objects.bulk_update(changed, ["scene", *COLUMNS, "version"])
    Appearance.objects.bulk_create([row for row in written if row.pk is None])
    return before, keep_rows(written)


def _row(
    draft: Draft,
    scenes: dict[UUID, Scene],
    line: PasteLine,
    there: dict[UUID, Appearance],
    made: dict[tuple[Hashable, str], Costume],
) -> Appearance:
    after = line.after
    assert after is not None
    row = there[line.before.key] if line.before else Appearance(draft=draft, guise_id=after.guise)
    if line.before:
        row.version += 1
    costume = after.costume
    if isinstance(costume, NewCostume):
        costume = made[costume.guise, name_key(costume.name)].pk
    row.scene = scenes[after.scene]
    row.costume_id = costume
    for name in COLUMNS:
        if name != "costume_id":
            setattr(row, name, getattr(after, name))
    return row


def say_plan(plan: PastePlan) -> str:
    """'2 added, 1 changed': what was done, for the record and the person."""
    done = tuple(line for line in plan.lines if line.fate != "left alone")
    return PastePlan(plan.form, done).words()
