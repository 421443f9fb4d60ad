"""The form of a part's outline: points on the drawing, one a line, typed or clicked."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from builds.forms.tenths import read_tenths
from builds.models import DrawingPart

FEWEST_POINTS, MOST_POINTS = 3, 200
_BETWEEN = re.compile(r"[\s;|]+")


def read_points(text: str) -> list[list[float]]:
    """Points as they are typed: two numbers a line, comma or point.

    Raises ValueError with every sentence.

    >>> read_points("12,5 340\\n-3; 290")
    [[12.5, 340.0], [-3.0, 290.0]]
    """
    points: list[list[float]] = []
    faults = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        parts = [part for part in _BETWEEN.split(line.strip()) if part]
        try:
            if len(parts) != 2:
                raise ValueError("write two numbers, as 12 340")
            points.append([float(read_tenths(part)) for part in parts])
        except ValueError as wrong:
            faults.append(f"Line {number}: {wrong}.")
    if len(points) > MOST_POINTS:
        faults.append(f"At most {MOST_POINTS} points, not {len(points)}.")
    if faults:
        raise ValueError("\n".join(faults[:8]))
    return points


def write_points(points: Any) -> str:
    """Points as they stand in the field.

    >>> write_points([[12.5, 340.0], [-3, 290]])
    '12.5 340\\n-3 290'
    """
    return "\n".join(f"{float(x):g} {float(y):g}" for x, y in points or ())


class PointsField(forms.CharField):
    """An outline as lines of two numbers."""

    def __init__(self, **more: Any) -> None:
        widget = forms.Textarea(attrs={"rows": 8, "cols": 16, "autocomplete": "off"})
        super().__init__(widget=widget, max_length=6000, **more)

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        try:
            return read_points(text)
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong).splitlines()) from wrong

    def run_validators(self, value: Any) -> None:
        """The text was looked at when it was read."""


class OutlineForm(forms.Form):
    """The outline of one part, in profile and, where it is drawn, from the front."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    outline = PointsField(
        label="In profile: forward and up, mm",
        help_text="One point a line, all the way round; the last joins the first.",
        error_messages={"required": "Click or write at least three points round the part."},
    )
    front_outline = PointsField(
        label="From the front: from the middle and up, mm",
        required=False,
        help_text="Blank takes its width. Of a pair, one side.",
    )

    def __init__(self, *args: Any, part: DrawingPart, **more: Any) -> None:
        more.setdefault("auto_id", "outline-%s")
        more["initial"] = {
            "version": part.drawing.version,
            "outline": write_points(part.outline),
            "front_outline": write_points(part.front_outline),
        }
        super().__init__(*args, **more)

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        for name in ("outline", "front_outline"):
            points = said.get(name)
            if name not in self.errors and points and len(points) < FEWEST_POINTS:
                self.add_error(name, f"At least {FEWEST_POINTS} points, not {len(points)}.")
        return said
