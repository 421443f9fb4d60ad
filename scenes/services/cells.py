"""Writing the plot: what one guise wears in one scene, and carrying it along the row.

The unit of an edit is a cell, all appearances of a guise in a scene. A cell has a stamp that
changes with anything in it; an edit that was written against another stamp is refused with both
texts. An edit that asks for what stands already does nothing, so sending one twice is harmless.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from company.core.names import name_key, tidy_name
from company.models import User
from scenes.core.plot_problems import time_problem
from scenes.loading import stamp_of, to_appearance, to_scene
from scenes.models import Appearance, Costume, Draft, Guise, Scene, Show
from scenes.models.plot import MOST_IN_A_CELL, Hold
from scenes.queries.places import USUAL_PLACES, spellings
from scenes.services.drafts import writable_draft
from scenes.services.record import Record, draft_number, keep_rows, record_edit

MOST_COPIES = 99


@dataclass(frozen=True)
class Wanted:
    """One appearance as it is to be. `key` None is a new one; `costume_id` None is undecided."""

    key: UUID | None = None
    costume_id: int | None = None
    rig: str = ""
    enters_s: int | None = None
    leaves_s: int | None = None
    from_place: str = ""
    to_place: str = ""
    hold: str = Hold.TWO_HANDS
    copies: int = 1


COLUMNS = tuple(f.name for f in fields(Wanted) if f.name != "key")


class CellMoved(Exception):
    """Somebody else changed the cell since it was read. `stands` is what is in it now."""

    def __init__(self, stands: list[Appearance]) -> None:
        super().__init__("Somebody else changed this meanwhile.")
        self.stands = stands


@dataclass(frozen=True)
class CellEdit:
    """What an edit did: in which draft, and how many appearances stand there and went."""

    draft: Draft
    put: int = 0
    taken: int = 0
    left_alone: tuple[str, ...] = ()

    @property
    def did_something(self) -> bool:
        """Whether anything is other than before."""
        return bool(self.put or self.taken)


def as_wanted(appearance: Appearance) -> Wanted:
    """An appearance as it stands, ready to be asked for with a difference."""
    return Wanted(appearance.key, **{name: getattr(appearance, name) for name in COLUMNS})


def find_problems(wanted: Wanted, scene: Scene, costume_ids: Iterable[int]) -> dict[str, str]:
    """Everything wrong with one appearance in its scene, by field."""
    problems = {}
    if wanted.costume_id is not None and wanted.costume_id not in set(costume_ids):
        problems["costume"] = "This costume belongs to another guise."
    if not 1 <= wanted.copies <= MOST_COPIES:
        problems["copies"] = f"From 1 to {MOST_COPIES} copies, not {wanted.copies}."
    if wanted.hold not in Hold.values:
        problems["hold"] = "Held with two hands, one hand, hung in view or set down."
    for name in ("rig", "from_place", "to_place"):
        if len(getattr(wanted, name)) > 40:
            problems[name] = "At most 40 letters."
    entry = Appearance(**{n: getattr(wanted, n) for n in COLUMNS}, scene=scene, guise_id=0)
    if what := time_problem(to_scene(scene), to_appearance(entry)):
        problems["leaves"] = f"It {what}."
    return problems


@transaction.atomic
def set_cell(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    scene_key: UUID,
    wanted: Sequence[Wanted],
    stamp: str | None = None,
) -> CellEdit:
    """Make the guise's appearances in the scene exactly `wanted`.

    `stamp` is the stamp the cell had when it was read, None where nobody read it. Raises
    CellMoved where it has another one now, ValidationError with everything that is wrong; nothing
    is saved then. A frozen draft opens the next one.
    """
    lock_plot(show)
    scene, stands = read_cell(show, guise, scene_key)
    wanted = _spell_places(show, [_tidy(one) for one in wanted])
    if _without_keys(wanted) == _without_keys(as_wanted(a) for a in stands):
        return CellEdit(_draft_of(show))
    if stamp is not None and stamp != stamp_of(stands):
        raise CellMoved(stands)
    _refuse_problems(scene, guise, wanted, stands)
    number = draft_number(show)
    draft = writable_draft(show=show, user=user)
    scene, stands = read_cell(show, guise, scene_key)
    before = {"draft": number, "appearances": keep_rows(stands)}
    written = _write_cell(draft, scene, guise, wanted, stands)
    said = f"{guise} in scene {scene.label}"
    _record_edit(show, user, guise, said, before, written)
    return CellEdit(draft, put=len(written), taken=max(0, len(stands) - len(written)))


@transaction.atomic
def pick_costume(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    scene_key: UUID,
    costume_id: int | None,
    stamp: str | None = None,
) -> CellEdit:
    """Put the guise into this costume in the scene: a new appearance, or the one that is there.

    Raises ValidationError where the scene holds several, because it is not said which.
    """
    lock_plot(show)
    _, stands = read_cell(show, guise, scene_key)
    if len(stands) > 1:
        raise ValidationError("Several appearances stand here: open the panel and say which.")
    one = replace(as_wanted(stands[0]) if stands else Wanted(), costume_id=costume_id)
    return set_cell(
        show=show, user=user, guise=guise, scene_key=scene_key, wanted=[one], stamp=stamp
    )


@transaction.atomic
def copy_along(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    scene_key: UUID,
    until_key: UUID,
) -> CellEdit:
    """Carry what the guise does in one scene along the row, up to and with another scene.

    Only empty cells are filled; what stands in the others is left alone. Minutes are not carried:
    they follow each scene.
    """
    lock_plot(show)
    draft = _draft_of(show)
    scenes = list(Scene.objects.filter(draft=draft))
    source, target = (_position(scenes, key) for key in (scene_key, until_key))
    low, high = sorted((source, target))
    span = [scene for n, scene in enumerate(scenes) if low <= n <= high and n != source]
    row: dict[UUID, list[Appearance]] = {scene.key: [] for scene in scenes}
    for appearance in Appearance.objects.filter(draft=draft, guise=guise).select_related("scene"):
        row[appearance.scene.key].append(appearance)
    if not row[scene_key]:
        raise ValidationError("There is nothing in this scene to carry along.")
    to_fill = [scene for scene in span if not row[scene.key]]
    alone = tuple(scene.label for scene in span if row[scene.key])
    if not to_fill:
        return CellEdit(draft, left_alone=alone)
    carried = [
        replace(as_wanted(a), key=None, enters_s=None, leaves_s=None) for a in row[scene_key]
    ]
    before = {"draft": draft.number, "appearances": []}
    draft = writable_draft(show=show, user=user)
    by_key = {scene.key: scene for scene in Scene.objects.filter(draft=draft)}
    written = [
        appearance
        for scene in to_fill
        for appearance in _write_cell(draft, by_key[scene.key], guise, carried, [])
    ]
    said = f"{guise} carried along the row, {_say_span(to_fill)}"
    _record_edit(show, user, guise, said, before, written)
    return CellEdit(draft, put=len(written), left_alone=alone)


def lock_plot(show: Show) -> None:
    """One edit of a show's plot at a time; `show` then knows the draft that is current now."""
    locked = Show.objects.select_for_update().get(pk=show.pk)
    if locked.current_draft_id != show.current_draft_id:
        show.current_draft = locked.current_draft
    show.crossing_s, show.reset_s, show.version = locked.crossing_s, locked.reset_s, locked.version


def read_cell(show: Show, guise: Guise, scene_key: UUID) -> tuple[Scene, list[Appearance]]:
    """The scene and the guise's appearances in it, in the draft that is current now."""
    scene = Scene.objects.filter(draft=show.current_draft_id, key=scene_key).first()
    if scene is None:
        raise ValidationError("This scene is no longer in the plot. Load the page anew.")
    stands = list(Appearance.objects.filter(scene=scene, guise=guise))
    for appearance in stands:
        appearance.scene = scene
    return scene, stands


def _draft_of(show: Show) -> Draft:
    if show.current_draft is None:
        raise ValidationError("This show has no scenes yet.")
    return show.current_draft


def _position(scenes: list[Scene], key: UUID) -> int:
    for position, scene in enumerate(scenes):
        if scene.key == key:
            return position
    raise ValidationError("This scene is no longer in the plot. Load the page anew.")


def _tidy(wanted: Wanted) -> Wanted:
    return replace(
        wanted,
        rig=tidy_name(wanted.rig),
        from_place=tidy_name(wanted.from_place),
        to_place=tidy_name(wanted.to_place),
    )


def _spell_places(show: Show, wanted: Sequence[Wanted]) -> list[Wanted]:
    """Places in the spelling in which the show knows them."""
    if not any({one.from_place, one.to_place} - {"", *USUAL_PLACES} for one in wanted):
        return list(wanted)
    known = spellings(show)
    return [
        replace(
            one,
            from_place=known.get(name_key(one.from_place), one.from_place),
            to_place=known.get(name_key(one.to_place), one.to_place),
        )
        for one in wanted
    ]


def _without_keys(wanted: Iterable[Wanted]) -> list[str]:
    return sorted(repr(replace(one, key=None)) for one in wanted)


def _refuse_problems(
    scene: Scene, guise: Guise, wanted: Sequence[Wanted], stands: Sequence[Appearance]
) -> None:
    costume_ids = set(Costume.objects.filter(guise=guise).values_list("pk", flat=True))
    problems = [p for one in wanted for p in find_problems(one, scene, costume_ids).values()]
    if len(wanted) > MOST_IN_A_CELL:
        problems.append(f"At most {MOST_IN_A_CELL} appearances of a guise in one scene.")
    if {one.key for one in wanted} - {a.key for a in stands} - {None}:
        problems.append("One of these appearances is no longer in the scene.")
    if problems:
        raise ValidationError(problems)


def _write_cell(
    draft: Draft,
    scene: Scene,
    guise: Guise,
    wanted: Sequence[Wanted],
    stands: Sequence[Appearance],
) -> list[Appearance]:
    """Write what differs and nothing else; rows that stay keep their key."""
    by_key = {a.key: a for a in stands}
    kept = {one.key for one in wanted}
    gone = [a.pk for a in stands if a.key not in kept]
    if gone:
        Appearance.objects.filter(pk__in=gone).delete()
    written = []
    for one in wanted:
        values = {name: getattr(one, name) for name in COLUMNS}
        row = by_key.get(one.key) if one.key else None
        if row is None:
            row = Appearance.objects.create(draft=draft, scene=scene, guise=guise, **values)
        elif as_wanted(row) != one:
            for name, value in values.items():
                setattr(row, name, value)
            row.version += 1
            row.save(update_fields=[*COLUMNS, "version"])
        written.append(row)
    return written


def _say_span(scenes: Sequence[Scene]) -> str:
    first, last = scenes[0].label, scenes[-1].label
    return f"scene {first}" if len(scenes) == 1 else f"scenes {first} to {last}"


def _record_edit(
    show: Show,
    user: User | None,
    guise: Guise,
    said: str,
    before: Record,
    written: Sequence[Appearance],
) -> None:
    record_edit(
        show=show,
        user=user,
        noun="plot",
        row=guise.pk,
        said=said,
        before=before,
        after={"draft": draft_number(show), "appearances": keep_rows(written)},
    )
