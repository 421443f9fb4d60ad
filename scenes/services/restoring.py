"""Putting rows back to what the record says they were, or saying why that cannot be.

Rows of the plot are looked up by key in the draft that is current, all others by id. What was
taken away comes back under its old id, so that whatever spoke of it finds it again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import Model

from scenes.core.plot_problems import time_problem
from scenes.loading import to_appearance, to_scene
from scenes.models import Appearance, Draft, Scene, Show
from scenes.services.guards import (
    reasons_to_keep_costume,
    reasons_to_keep_guise,
    reasons_to_keep_role,
)
from scenes.services.record import KINDS, OF_DRAFT, Record, Touch, keep_rows, says_same


class Restorer:
    """The rows that an edit touched, as they stand now in the show's current draft."""

    def __init__(self, show: Show, touches: Sequence[Touch]) -> None:
        self.show = show
        self.touches = touches
        self.stands = {kind: self._read(kind) for kind in KINDS}

    def _read(self, kind: str) -> dict[str, Model]:
        idents = [touch.ident for touch in self.touches if touch.kind == kind]
        if not idents:
            return {}
        rows: Any = KINDS[kind]._default_manager
        if kind in OF_DRAFT:
            found = rows.filter(draft=self.show.current_draft_id, key__in=idents)
        else:
            found = rows.filter(pk__in=idents)
        if kind == "appearances":
            found = found.select_related("scene", "guise__character")
        return {str(row.key if kind in OF_DRAFT else row.pk): row for row in found}

    def moved(self) -> list[Touch]:
        """Rows that no longer say what the edit left in them: somebody was at them since."""
        return [touch for touch in self.touches if not self._is_as_left(touch)]

    def _is_as_left(self, touch: Touch) -> bool:
        row = self.stands[touch.kind].get(touch.ident)
        if row is None or touch.after is None:
            return row is None and touch.after is None
        return says_same(touch.kind, keep_rows([row])[0], touch.after)

    def missing(self) -> list[tuple[Touch, str, str]]:
        """Rows that cannot come back, with kind and ident of what they would stand on."""
        coming = {(t.kind, t.ident) for t in self.touches if t.before is not None}
        wanted = {pair for t in self.touches for pair in _stands_on(t) if pair not in coming}
        there = {
            (kind, str(ident))
            for kind in {kind for kind, _ in wanted}
            for ident in self._idents_there(kind, {i for k, i in wanted if k == kind})
        }
        return [
            (touch, *pair)
            for touch in self.touches
            for pair in _stands_on(touch)
            if pair not in coming and pair not in there
        ]

    def _idents_there(self, kind: str, idents: set[str]) -> Iterable[object]:
        if kind == "scenes":
            scenes = Scene.objects.filter(draft=self.show.current_draft_id, key__in=idents)
            return scenes.values_list("key", flat=True)
        return KINDS[kind]._default_manager.filter(pk__in=idents).values_list("pk", flat=True)

    def stays_in_the_way(self) -> list[tuple[Touch, str]]:
        """Scenes that would go although somebody has put others on in them, with one of those."""
        going = [t for t in self.touches if t.kind == "scenes" and t.before is None]
        leaving = {t.ident for t in self.touches if t.kind == "appearances" and t.before is None}
        found = []
        for touch in going:
            scene = self.stands["scenes"].get(touch.ident)
            keys = Appearance.objects.filter(scene=scene).values_list("key", flat=True)
            others = {str(key) for key in keys} - leaving if scene is not None else set()
            if others:
                found.append((touch, min(others)))
        return found

    def misfits(self) -> list[tuple[Touch, str]]:
        """Entries that no longer fit the scene that they would come back to."""
        scenes = {
            str(scene.key): scene
            for scene in Scene.objects.filter(draft=self.show.current_draft_id)
        }
        coming = {t.ident: t.before for t in self.touches if t.kind == "scenes" and t.before}
        found = []
        for touch in self.touches:
            if touch.kind != "appearances" or touch.before is None:
                continue
            said = touch.before
            scene = _filled(scenes.get(said["scene_key"]) or Scene(), coming.get(said["scene_key"]))
            entry = _filled(Appearance(), {**said, "scene_id": None})
            entry.scene = scene
            if what := time_problem(to_scene(scene), to_appearance(entry)):
                found.append((touch, what))
        return found

    def kept(self) -> list[str]:
        """Why roles, guises or costumes that were made cannot be taken away again.

        What an edit of the plot made on the way is not asked for: it stays where it is in use.
        """
        if any(touch.kind in OF_DRAFT for touch in self.touches):
            return []
        going = {
            kind: [self.stands[kind][t.ident] for t in self._of(kind) if t.before is None]
            for kind in ("roles", "guises", "costumes")
        }
        reasons: list[str] = []
        for role in going["roles"]:
            reasons += reasons_to_keep_role(role, self.show)  # type: ignore[arg-type]
        for guise in going["guises"] if not going["roles"] else ():
            reasons += reasons_to_keep_guise(guise, self.show)  # type: ignore[arg-type]
        for costume in going["costumes"] if not going["guises"] else ():
            reasons += reasons_to_keep_costume(costume, self.show)  # type: ignore[arg-type]
        return reasons

    # Writing

    def write(self, draft: Draft | None) -> None:
        """Put every row back. The rows must have been looked up in `draft`."""
        for kind in ("pins", *reversed(OF_DRAFT)):
            self._take_away(kind)
        scenes: dict[str, Scene] = {}
        for kind in KINDS:
            if kind == "appearances":
                scenes = {str(row.key): row for row in Scene.objects.filter(draft=draft)}
            for touch in self._of(kind):
                if touch.before is not None:
                    self._put_back(draft, touch, touch.before, scenes)
        for kind in reversed(KINDS):  # last, when nobody wears it any more
            if kind not in ("pins", *OF_DRAFT):
                self._take_away(kind)

    def now(self) -> Record:
        """What the touched rows say by now, for the record."""
        rows = {kind: keep_rows(self._read(kind).values()) for kind in KINDS}
        for touch in self._of("shows"):  # of a show no more than the edit was about
            said = touch.before or {}
            rows["shows"] = [{name: row[name] for name in said} for row in rows["shows"]]
        return {kind: found for kind, found in rows.items() if found}

    def _of(self, kind: str) -> Iterable[Touch]:
        return (touch for touch in self.touches if touch.kind == kind)

    def _take_away(self, kind: str) -> None:
        for touch in self._of(kind):
            row = self.stands[kind].get(touch.ident)
            if touch.before is None and row is not None and not self._is_in_use(kind, row):
                row.delete()

    def _is_in_use(self, kind: str, row: Any) -> bool:
        """Whether plot or bench has a costume or guise by now, which then stays."""
        if kind == "costumes":
            return bool(reasons_to_keep_costume(row, self.show))
        return kind == "guises" and bool(reasons_to_keep_guise(row, self.show))

    def _put_back(
        self, draft: Draft | None, touch: Touch, said: Record, scenes: dict[str, Scene]
    ) -> None:
        there: Any = self.stands[touch.kind].get(touch.ident)
        rows = KINDS[touch.kind]
        row = _filled(there or rows(), said)
        if there is not None:
            row.version += 1
        elif hasattr(row, "version"):  # another one than it ever had, for those who look by it
            row.version = max(_version(said), _version(touch.after)) + 1
        if touch.kind in OF_DRAFT:
            row.draft = draft
            if there is None and rows._default_manager.filter(pk=said["id"]).exists():
                row.pk = None
        if touch.kind == "appearances":
            row.scene = scenes[said["scene_key"]]
        row.save(force_insert=there is None and row.pk is not None)


def _version(said: Record | None) -> int:
    return int((said or {}).get("version") or 0)


def _stands_on(touch: Touch) -> Iterable[tuple[str, str]]:
    """Kind and ident of what a row needs to be there when it comes back."""
    said = touch.before
    if said is None:
        return
    if touch.kind == "appearances":
        yield "scenes", said["scene_key"]
    if touch.kind in ("appearances", "rules", "costumes", "rigs", "pins"):
        yield "guises", str(said["guise_id"])
    if touch.kind == "guises":
        yield "roles", str(said["character_id"])
    for name in ("costume_id", "from_costume_id", "to_costume_id"):
        if said.get(name) is not None:
            yield "costumes", str(said[name])


def _filled(row: Any, said: Record | None) -> Any:
    """The row with the columns that the record has, each as its field reads it."""
    if said is None:
        return row
    for column in row._meta.concrete_fields:
        if column.attname in said and column.attname not in ("draft_id", "version"):
            if column.attname == "scene_id" or (column.primary_key and row.pk is not None):
                continue
            setattr(row, column.attname, column.to_python(said[column.attname]))
    return row
