"""The form of all that is placed on a guise's drawing: joints, string holes, marks, height."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from builds.forms.tenths import TenthsField
from builds.loading.outlines import scale_of
from builds.models import Drawing, DrawingHole, DrawingPicture
from builds.models.drawings import JointKind, PartKind, Side
from builds.services.drawing_pictures import MARKS
from builds.services.placed import (
    KEEP_MM,
    KEEP_PLACES,
    HolePlace,
    JointPlace,
    PictureMarks,
    Placing,
)
from builds.services.placing_checks import placing_problems
from scenes.forms.fields import add_problems, blank_words

BLANK_HOLES = 2
# What is offered, in the order of stringing; common practice, no source.
USUAL_HOLES = (
    ("shoulder", PartKind.TORSO, Side.PAIR),
    ("head", PartKind.HEAD, Side.PAIR),
    ("back", PartKind.TORSO, Side.MIDDLE),
    ("hand", PartKind.HAND, Side.PAIR),
    ("knee", PartKind.THIGH, Side.PAIR),
)
_MARK_WORDS = {
    "mark_a_x_px": "first mark",
    "mark_a_y_px": "first mark",
    "marks_mm": "how far the marks are apart",
    "axis_x_px": "line on the floor",
    "floor_y_px": "line on the floor",
    "axis_top_x_px": "line higher up",
    "axis_top_y_px": "line higher up",
}


class PlacingForm(forms.Form):
    """Every joint, hole and mark of a drawing in one form; a pair's row stands for both sides."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    height_mm = TenthsField(
        label="Height, floor to crown, mm",
        required=True,
        error_messages=blank_words("Say how tall the figure is"),
    )
    head_shrinkage_pct = TenthsField(
        label="The head's casting shrinks by, per cent",
        help_text="Blank goes by what the head is cast in.",
    )
    words = forms.CharField(label="Words", max_length=200, required=False)
    hangs = forms.CharField(required=False)
    rescaled = forms.ChoiceField(
        required=False,
        choices=[
            (KEEP_PLACES, "stay where they are on the picture"),
            (KEEP_MM, "keep their millimetres"),
        ],
        widget=forms.RadioSelect,
        label="Holes and joints",
    )

    def __init__(self, *args: Any, drawing: Drawing, **more: Any) -> None:
        self.drawing = drawing
        self.joints = {joint.kind: joint for joint in drawing.joints.all()}
        self.holes = sorted(drawing.holes.all(), key=lambda hole: (-hole.y_mm, hole.pk))
        self.pictures = sorted(drawing.pictures.all(), key=lambda one: one.view, reverse=True)
        more.setdefault("auto_id", "place-%s")
        more["initial"] = {**self._initial(), **more.get("initial", {})}
        super().__init__(*args, **more)
        for kind in JointKind:
            self._add_place(f"joint-{kind}", str(kind.label))
        for key in self.hole_rows:
            self._add_hole(f"hole-{key}")
        for picture in self.pictures:
            self._add_marks(picture)

    @property
    def hole_rows(self) -> dict[str, DrawingHole | None]:
        """Rows of holes: those there are, the usual ones not placed, and blank ones.

        A row keeps its key whatever else comes and goes, so that what a browser kept finds it.
        """
        rows: dict[str, DrawingHole | None] = {str(hole.pk): hole for hole in self.holes}
        rows |= {f"usual-{name}": None for name, _, _ in self._unplaced}
        return rows | {f"new-{number}": None for number in range(1, BLANK_HOLES + 1)}

    @property
    def _unplaced(self) -> list[tuple[str, str, str]]:
        there = {hole.name for hole in self.holes}
        return [usual for usual in USUAL_HOLES if usual[0] not in there]

    def placing(self) -> Placing:
        """What is asked for, from a form that is good."""
        said = self.cleaned_data
        return Placing(
            # A height left blank is said at its field; the rest is judged by the one that stands.
            height_mm=said.get("height_mm") or self.drawing.height_mm,
            head_shrinkage_pct=said.get("head_shrinkage_pct"),
            words=said.get("words", ""),
            joints=tuple(
                JointPlace(kind.value, *self._place(f"joint-{kind}")) for kind in JointKind
            ),
            holes=tuple(self._hole(key, hole) for key, hole in self.hole_rows.items()),
            marks=tuple(
                PictureMarks(
                    view=picture.view,
                    values={name: said.get(f"{picture.view}-{name}") for name in MARKS},
                    faces_left=said.get(f"{picture.view}-faces", "left") == "left",
                )
                for picture in self.pictures
            ),
            rescaled=said.get("rescaled", ""),
        )

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        found = placing_problems(drawing=self.drawing, placing=self.placing())
        # 'Do you mean to set the scale anew' is asked only when all else is right.
        if self.errors:
            found.pop("rescaled", None)
        add_problems(self, found)
        return said

    def rows_of_joints(self) -> list[dict[str, Any]]:
        """The joints with their three fields, for the page."""
        return [
            {"key": f"joint-{kind}", "name": kind.label, **self._fields(f"joint-{kind}")}
            for kind in JointKind
        ]

    def rows_of_holes(self) -> list[dict[str, Any]]:
        """The holes with their fields, for the page; blank ones last."""
        rows = []
        for row, hole in self.hole_rows.items():
            key = f"hole-{row}"
            rows.append(
                {
                    "key": key,
                    "row": row,
                    "hole": hole,
                    "name": self[f"{key}-name"].value() or "",
                    "hangs": self["hangs"].value() == row,
                    "name_field": self[f"{key}-name"],
                    "part": self[f"{key}-part"],
                    "side": self[f"{key}-side"],
                    **self._fields(key),
                }
            )
        return rows

    def rows_of_marks(self) -> list[dict[str, Any]]:
        """Each picture with the fields of its marks."""
        words = (
            ("mark_a", "first mark", "mark_a_x_px", "mark_a_y_px"),
            ("mark_b", "second mark", "mark_b_x_px", "mark_b_y_px"),
            ("foot", "line of balance on the floor", "axis_x_px", "floor_y_px"),
            ("top", "line of balance, higher up", "axis_top_x_px", "axis_top_y_px"),
        )
        return [
            {
                "picture": picture,
                "view": picture.view,
                "is_set": scale_of(picture) is not None,
                "distance": self[f"{picture.view}-marks_mm"],
                "faces": self[f"{picture.view}-faces"]
                if picture.view == DrawingPicture.View.PROFILE
                else None,
                "points": [
                    {
                        "key": f"{picture.view}-{key}",
                        "name": name
                        if picture.view == "profile"
                        else name.replace("line of balance", "middle line"),
                        "both": [self[f"{picture.view}-{x}"], self[f"{picture.view}-{y}"]],
                        "wrong": [
                            *self[f"{picture.view}-{x}"].errors,
                            *self[f"{picture.view}-{y}"].errors,
                        ],
                    }
                    for key, name, x, y in words
                ],
            }
            for picture in self.pictures
        ]

    def _fields(self, key: str) -> dict[str, Any]:
        fields = {axis: self[f"{key}-{axis}"] for axis in "xyz"}
        more = ("name", "part", "side") if key.startswith("hole") else ()
        asked = [*fields.values(), *(self[f"{key}-{name}"] for name in more)]
        return {**fields, "wrong": [str(e) for f in asked for e in f.errors]}

    def _place(self, key: str) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
        said = self.cleaned_data
        return (said.get(f"{key}-x"), said.get(f"{key}-y"), said.get(f"{key}-z"))

    def _hole(self, row: str, hole: DrawingHole | None) -> HolePlace:
        said, key = self.cleaned_data, f"hole-{row}"
        x, y, z = self._place(key)
        return HolePlace(
            key=row,
            name=" ".join(said.get(f"{key}-name", "").split()),
            part=said.get(f"{key}-part") or PartKind.TORSO.value,
            side=said.get(f"{key}-side") or Side.PAIR.value,
            hangs=said.get("hangs") == row and y is not None,
            x_mm=x,
            y_mm=y,
            z_mm=z,
            pk=hole.pk if hole else None,
        )

    def _initial(self) -> dict[str, Any]:
        first: dict[str, Any] = {
            "version": self.drawing.version,
            "height_mm": self.drawing.height_mm,
            "head_shrinkage_pct": self.drawing.head_shrinkage_pct,
            "words": self.drawing.words,
            "hangs": "" if self.holes else "usual-shoulder",
        }
        for kind, joint in self.joints.items():
            first |= _places(f"joint-{kind}", joint)
        for hole in self.holes:
            key = f"hole-{hole.pk}"
            first |= _places(key, hole)
            first |= {f"{key}-name": hole.name, f"{key}-part": hole.part, f"{key}-side": hole.side}
            if hole.hangs:
                first["hangs"] = str(hole.pk)
        for name, part, side in self._unplaced:
            key = f"hole-usual-{name}"
            first |= {f"{key}-name": name, f"{key}-part": part, f"{key}-side": side}
        for picture in self.pictures:
            first |= {f"{picture.view}-{name}": getattr(picture, name) for name in MARKS}
            first[f"{picture.view}-faces"] = "left" if picture.faces_left else "right"
        return first

    def _add_place(self, key: str, noun: str) -> None:
        for axis, words in (("y", "height"), ("x", "forward"), ("z", "aside")):
            self.fields[f"{key}-{axis}"] = TenthsField(label=f"{noun}, {words}")

    def _add_hole(self, key: str) -> None:
        noun = f"{self.initial.get(f'{key}-name') or 'new'} hole"
        self.fields[f"{key}-name"] = forms.CharField(
            label=f"{noun}, name", max_length=40, required=False
        )
        self.fields[f"{key}-part"] = forms.ChoiceField(
            label=f"{noun}, in which part", choices=PartKind.choices, required=False
        )
        self.fields[f"{key}-side"] = forms.ChoiceField(
            label=f"{noun}, on which side", choices=Side.choices, required=False
        )
        self._add_place(key, noun)

    def _add_marks(self, picture: DrawingPicture) -> None:
        for name in MARKS:
            words = _MARK_WORDS.get(name, "second mark")
            self.fields[f"{picture.view}-{name}"] = TenthsField(label=f"{picture.view}, {words}")
        self.fields[f"{picture.view}-faces"] = forms.ChoiceField(
            label="it faces", choices=[("left", "left"), ("right", "right")], required=False
        )


def _places(key: str, row: Any) -> dict[str, Decimal]:
    return {f"{key}-x": row.x_mm, f"{key}-y": row.y_mm, f"{key}-z": row.z_mm}
