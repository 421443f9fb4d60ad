"""Forms of scenes: one scene, and what becomes of the exits in one made shorter."""

from __future__ import annotations

from typing import Any

from django import forms

from scenes.forms.fields import DayField, StageMinutesField, add_problems, blank_words
from scenes.models import Scene, Show
from scenes.queries.scenes import RunningOrder
from scenes.services.exits import StrayExit, stray_exits
from scenes.services.scenes import (
    SceneValues,
    next_label,
    say_strays,
    scene_problems,
)

COLUMNS = ("label", "title", "act", "length_s", "gap_s", "is_interval", "needed_by")
EXITS = [
    ("follow", "They follow the scene: on until its new end"),
    ("keep", "They keep their minute, in the gap after the scene, at most to its end"),
]


class SceneForm(forms.Form):
    """A scene of the running order; without `scene` a new one at its end."""

    label = forms.CharField(
        label="No.",
        max_length=20,
        error_messages=blank_words("A scene needs a number or letters of its own, such as 3 or 3a"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    title = forms.CharField(
        label="Scene", max_length=120, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    length_s = StageMinutesField(
        label="Minutes",
        error_messages=blank_words("How long does it run? Write minutes as 4, 4.5 or 4:30"),
    )
    gap_s = StageMinutesField(label="Gap after", required=False)
    is_interval = forms.BooleanField(label="an interval follows", required=False)
    act = forms.CharField(
        max_length=40, required=False,
        widget=forms.TextInput(attrs={"list": "act-names", "autocomplete": "off"}),
    )  # fmt: skip
    needed_by = DayField(label="Needed by", required=False)
    exits = forms.ChoiceField(
        label="Entrances and exits", choices=EXITS, required=False, widget=forms.RadioSelect
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        show: Show,
        order: RunningOrder | None = None,
        scene: Scene | None = None,
        **more: Any,
    ) -> None:
        self.show, self.scene = show, scene
        self.strays: list[StrayExit] = []
        more.setdefault("auto_id", f"scene-{scene.key if scene else 'new'}-%s")
        more.setdefault("initial", _initial(scene, order))
        super().__init__(*args, **more)

    @property
    def asks_exits(self) -> bool:
        """Whether the scene would be too short for an exit in it."""
        return bool(self.strays)

    def clean(self) -> dict[str, Any]:
        super().clean()
        stands = self.scene or Scene(draft_id=self.show.current_draft_id)
        would_be = Scene(draft_id=stands.draft_id, key=stands.key, length_s=1)
        for name in COLUMNS:
            if name not in self.errors:
                setattr(would_be, name, self._value(name))
        before = None
        if self.scene is not None:
            day = self.scene.needed_by
            before = {"needed_by": day.isoformat() if day else None}
            self._look_for_strays(self.scene, would_be)
        add_problems(self, scene_problems(show=self.show, scene=would_be, before=before))
        return self.cleaned_data

    def values(self) -> SceneValues:
        """What the service takes; the form must be valid."""
        return {name: self._value(name) for name in COLUMNS}  # type: ignore[return-value]

    def _value(self, name: str) -> Any:
        value = self.cleaned_data.get(name)
        return 0 if name == "gap_s" and value is None else value

    def _look_for_strays(self, scene: Scene, would_be: Scene) -> None:
        if {"length_s", "gap_s"} & self.errors.keys():
            return
        self.strays = stray_exits(scene=scene, length_s=would_be.length_s, gap_s=would_be.gap_s)
        if self.strays and not self.cleaned_data.get("exits"):
            self.add_error("exits", say_strays(len(self.strays)))


def _initial(scene: Scene | None, order: RunningOrder | None) -> dict[str, Any]:
    if scene is not None:
        values = {name: getattr(scene, name) for name in (*COLUMNS, "version")}
        return values | {"gap_s": scene.gap_s or None}
    scenes = [line.scene for line in order.lines] if order else []
    return {"label": next_label(scenes), "act": scenes[-1].act if scenes else ""}


class MoveForm(forms.Form):
    """Which scene goes where: `up` or `down` name the scene itself, `after` the one before it."""

    up = forms.UUIDField(required=False)
    down = forms.UUIDField(required=False)
    key = forms.UUIDField(required=False)
    after = forms.UUIDField(required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if sum(bool(data.get(name)) for name in ("up", "down", "key")) != 1:
            raise forms.ValidationError("Say which scene goes where.")
        return data

    @property
    def button(self) -> str:
        """The end of the id of the button that was pressed: it keeps the focus."""
        data = self.cleaned_data
        return "up" if data["up"] else "down" if data["down"] else "edit"

    def values(self) -> dict[str, Any]:
        """What the service takes; the form must be valid."""
        data = self.cleaned_data
        if data["key"]:
            return {"key": data["key"], "after": data["after"]}
        return {"key": data["up"] or data["down"], "is_up": bool(data["up"])}
