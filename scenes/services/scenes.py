"""Adding, editing, moving and removing the scenes of a show's current draft."""

from __future__ import annotations

from datetime import date
from typing import Any, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from company import clock
from company.core.names import name_key, tidy_name
from company.core.units import format_minutes
from company.models import User
from company.services.changes import claim_version, snapshot
from scenes.models import Appearance, Draft, Scene, Show
from scenes.services.drafts import writable_draft
from scenes.services.exits import Exits, settle_exits, stray_exits
from scenes.services.problems import Problems
from scenes.services.record import Record, draft_number, keep_rows, record_edit
from scenes.services.running_order import drop_scene, place_scene, step_scene
from scenes.services.shows import say_day

ORDER_COLUMNS = ("act", "position", "gap_s", "is_interval", "version")


class SceneValues(TypedDict, total=False):
    """What a person may say of a scene."""

    label: str
    title: str
    act: str
    length_s: int
    gap_s: int
    is_interval: bool
    needed_by: date | None


@transaction.atomic
def add_scene(*, show: Show, user: User | None, **values: Unpack[SceneValues]) -> Scene:
    """Put a scene at the end of the current draft, or of the next one where that is frozen."""
    draft, number = _lock_draft(show, user)
    seen = _look(draft)
    last = Scene.objects.filter(draft=draft).aggregate(last=Max("position"))["last"]
    scene = Scene(draft=draft, position=0 if last is None else last + 1)
    _take(scene, values)
    scene_problems(show=show, scene=scene).refuse()
    scene.save()
    _record(show, user, scene, f"scene {scene.label} added", {}, number, seen)
    return scene


@transaction.atomic
def edit_scene(
    *,
    show: Show,
    user: User | None,
    key: UUID,
    version: int | None = None,
    exits: Exits = "",
    **values: Unpack[SceneValues],
) -> Scene:
    """Change what is said of a scene.

    Where it becomes too short for an exit in it, `exits` says what becomes of that: 'follow' the
    scene's end, or 'keep' the minute, in the gap. Left blank, the edit is refused.
    """
    draft, number = _lock_draft(show, user)
    scene = scene_by_key(draft, key)
    seen = _look(draft, scene.key)
    claim_version(scene, version)
    before = snapshot(scene)
    length_s = values.get("length_s", scene.length_s)
    gap_s = values.get("gap_s", scene.gap_s)
    strays = stray_exits(scene=scene, length_s=length_s, gap_s=gap_s)
    _take(scene, values)
    problems = scene_problems(show=show, scene=scene, before=before)
    if strays and not exits:
        problems.add("exits", say_strays(len(strays)))
    problems.refuse()
    scene.save()
    settle_exits(strays=strays, length_s=length_s, gap_s=gap_s, exits=exits)
    _record(show, user, scene, f"scene {scene.label}", before, number, seen)
    return scene


@transaction.atomic
def move_scene(
    *,
    show: Show,
    user: User | None,
    key: UUID,
    is_up: bool | None = None,
    after: UUID | None = None,
) -> Scene:
    """Move a scene one place up or down, or behind the scene `after` (None: to the front)."""
    draft, number = _lock_draft(show, user)
    seen = _look(draft)
    scenes = list(Scene.objects.filter(draft=draft))
    by_key = {scene.key: scene for scene in scenes}
    if key not in by_key or (after is not None and after not in by_key):
        raise Scene.DoesNotExist(f"No scene {key} or {after} in {draft}.")
    stood = {scene.pk: _order_of(scene) for scene in scenes}
    if is_up is not None:
        order = step_scene(scenes, by_key[key], is_up=is_up)
    else:
        order = place_scene(scenes, by_key[key], after=by_key[after] if after else None)
    _save_order(order, stood)
    moved = by_key[key]
    _record(show, user, moved, f"scene {moved.label} moved", {}, number, seen)
    return moved


@transaction.atomic
def remove_scene(*, show: Show, user: User | None, key: UUID, version: int | None = None) -> Scene:
    """Take a scene out, with its appearances. Figures begun and accepted counts are untouched."""
    draft, number = _lock_draft(show, user)
    claim_version(scene_by_key(draft, key), version)
    scenes = list(Scene.objects.filter(draft=draft))
    scene = next(scene for scene in scenes if scene.key == key)
    seen = _look(draft, scene.key)
    before = snapshot(scene)
    stood = {row.pk: _order_of(row) for row in scenes}
    _save_order(drop_scene(scenes, scene), stood)
    Scene.objects.filter(pk=scene.pk).delete()
    _record(show, user, scene, f"scene {scene.label} taken out", before, number, seen)
    return scene


def scene_problems(*, show: Show, scene: Scene, before: dict[str, Any] | None = None) -> Problems:
    """All that is wrong with a scene as it would stand in its draft."""
    problems = Problems()
    label_key = name_key(scene.label)
    if not label_key:
        problems.add("label", "A scene needs a number or letters of its own, such as 3 or 3a.")
    twin = (
        Scene.objects.filter(draft=scene.draft_id, label_key=label_key)
        .exclude(key=scene.key)
        .first()
    )
    if label_key and twin is not None:
        problems.add("label", f"There is a scene {twin.label} already{_called(twin)}.")
    if scene.length_s <= 0:
        problems.add("length_s", "A scene lasts longer than nought minutes.")
    if scene.is_interval and scene.gap_s <= 0:
        problems.add("gap_s", "How long is the interval? Write its minutes here.")
    _check_needed_by(show, scene, before, problems)
    return problems


def next_label(scenes: list[Scene]) -> str:
    """The label that a person would most likely write next: '11' after '10', '3b' after '3a'."""
    label = scenes[-1].label if scenes else "0"
    stem = label.rstrip("0123456789")
    if stem != label:
        proposed = f"{stem}{int(label[len(stem) :][-9:]) + 1}"
    elif label[-1:] in "abcdefghijklmnopqrstuvwxy":
        proposed = label[:-1] + chr(ord(label[-1]) + 1)
    else:
        return ""
    return "" if name_key(proposed) in {scene.label_key for scene in scenes} else proposed


def scene_by_key(draft: Draft, key: UUID) -> Scene:
    """The scene of the draft. Raises Scene.DoesNotExist."""
    return Scene.objects.get(draft=draft, key=key)


def say_strays(count: int) -> str:
    """What a scene made too short does to the exits in it."""
    what = "one entrance or exit" if count == 1 else f"{count} entrances or exits"
    return f"The scene would end before {what} in it: choose what becomes of that."


def _check_needed_by(
    show: Show, scene: Scene, before: dict[str, Any] | None, problems: Problems
) -> None:
    day = scene.needed_by
    if day is None or (before and before["needed_by"] == day.isoformat()):
        return
    if show.opening and day > show.opening:
        problems.add(
            "needed_by",
            f"{say_day(day)} is after the opening on {say_day(show.opening)}.",
        )
    if show.first_day and day < show.first_day:
        problems.add(
            "needed_by", f"{say_day(day)} is before the first day, {say_day(show.first_day)}."
        )
    elif day < clock.today(show.company):
        problems.add(
            "needed_by", f"{say_day(day)} is past: give a day from today on, or leave it blank."
        )


def _called(scene: Scene) -> str:
    return f", '{scene.title}'" if scene.title else f", of {format_minutes(scene.length_s)} minutes"


def _take(scene: Scene, values: SceneValues) -> None:
    for name, value in values.items():
        setattr(scene, name, value)
    scene.label, scene.title = tidy_name(scene.label), tidy_name(scene.title)
    scene.act, scene.label_key = tidy_name(scene.act), name_key(scene.label)


def _order_of(scene: Scene) -> tuple[str, int, int, bool]:
    return scene.act, scene.position, scene.gap_s, scene.is_interval


def _save_order(order: list[Scene], stood: dict[int, tuple[str, int, int, bool]]) -> None:
    """Write what changed. A gap that shrank stays long enough for the exits that lie in it."""
    moved = []
    for scene in order:
        if _order_of(scene) == stood[scene.pk]:
            continue
        if scene.gap_s < stood[scene.pk][2]:
            scene.gap_s = max(scene.gap_s, _overhang_s(scene))
        if (scene.act, *_order_of(scene)[2:]) != (stood[scene.pk][0], *stood[scene.pk][2:]):
            scene.version += 1
        moved.append(scene)
    Scene.objects.bulk_update(moved, ORDER_COLUMNS)


def _overhang_s(scene: Scene) -> int:
    last = Appearance.objects.filter(scene=scene).aggregate(last=Max("leaves_s"))["last"]
    return max(0, (last or 0) - scene.length_s)


def _lock_draft(show: Show, user: User | None) -> tuple[Draft, int | None]:
    """The draft to write, held, and the number of the one that was current before the edit."""
    locked = Show.objects.select_for_update().get(pk=show.pk)
    show.current_draft = locked.current_draft
    number = draft_number(show)
    return writable_draft(show=show, user=user), number


def _look(draft: Draft, of_scene: UUID | None = None) -> Record:
    """What an edit of the scenes may touch: all of them, their order, the entries in one."""
    scenes = list(Scene.objects.filter(draft=draft))
    seen: Record = {"scenes": keep_rows(scenes), "order": [str(row.key) for row in scenes]}
    if of_scene is not None:
        entries = Appearance.objects.filter(draft=draft, scene__key=of_scene)
        seen["appearances"] = keep_rows(entries.select_related("scene"))
    return seen


def _record(
    show: Show,
    user: User | None,
    scene: Scene,
    said: str,
    before: Record,
    number: int | None,
    seen: Record,
) -> None:
    """What stands in the scene itself, and of everything seen what is other than before."""
    draft = show.current_draft
    assert draft is not None
    stands = Scene.objects.filter(draft=draft, key=scene.key).first()
    lists = seen.keys() - {"order"}
    now = _look(draft, scene.key if "appearances" in lists else None)
    for name in lists:
        same = [row for row in seen[name] if row in now[name]]
        seen[name] = [row for row in seen[name] if row not in same]
        now[name] = [row for row in now[name] if row not in same]
    after = {} if stands is None else snapshot(stands)
    record_edit(
        show=show,
        user=user,
        noun="scene",
        row=scene.key,
        said=said,
        before=before | seen | {"draft": number},
        after=after | now | {"draft": draft.number},
    )
