"""From a drawing and its form to the two pictures that one places on."""

from __future__ import annotations

from collections.abc import Callable

from builds.drawings.placing import Pin, PlacingView
from builds.forms.drawing import PlacingForm
from builds.loading.outlines import load_outline, scale_of
from builds.models import Drawing, DrawingPicture
from builds.models.drawings import JointKind, Side

_MARKS = (
    ("mark_a", "first mark", "mark_a_x_px", "mark_a_y_px"),
    ("mark_b", "second mark", "mark_b_x_px", "mark_b_y_px"),
    ("foot", "floor", "axis_x_px", "floor_y_px"),
    ("top", "line, higher up", "axis_top_x_px", "axis_top_y_px"),
)


def placing_views(
    drawing: Drawing,
    form: PlacingForm,
    address: Callable[[DrawingPicture], str],
    *,
    with_marks: bool,
) -> list[PlacingView]:
    """Profile and front, each over its photo or on blank paper, with every pin of the form.

    Marks of the scale are for those who set them.
    """
    outline = load_outline(drawing)
    pictures = {picture.view: picture for picture in drawing.pictures.all()}
    views = []
    for view in (DrawingPicture.View.PROFILE, DrawingPicture.View.FRONT):
        picture = pictures.get(view.value)
        pins = [*_points(form, is_front=view == DrawingPicture.View.FRONT)]
        if picture is None:
            views.append(PlacingView(view.value, outline, tuple(pins)))
            continue
        pins += [_mark(picture, *mark) for mark in _MARKS if with_marks]
        views.append(
            PlacingView(
                view=view.value,
                outline=outline,
                pins=tuple(pins),
                href=address(picture),
                size_px=(picture.width_px, picture.height_px),
                scale=scale_of(picture),
            )
        )
    return views


def _points(form: PlacingForm, *, is_front: bool) -> list[Pin]:
    """Joints and holes, the placed ones where they stand."""
    pins = []
    for kind in JointKind:
        joint = form.joints.get(kind.value)
        at = None
        if joint is not None:
            at = (float(joint.z_mm if is_front else joint.x_mm), float(joint.y_mm))
        is_pair = kind != JointKind.NECK
        pins.append(Pin(f"joint-{kind}", str(kind.label), "joint", at, is_pair))
    for row in form.rows_of_holes():
        hole = row["hole"]
        at = None
        if hole is not None:
            across = float(hole.z_mm) if is_front else float(hole.x_mm)
            if is_front and hole.side == Side.RIGHT:
                across = -across
            at = (across, float(hole.y_mm))
        name = f"{row['name'] or 'new'} hole"
        is_pair = str(row["side"].value() or Side.PAIR) == Side.PAIR
        pins.append(Pin(row["key"], name, "hole", at, is_pair))
    return pins


def _mark(picture: DrawingPicture, key: str, name: str, x: str, y: str) -> Pin:
    across, down = getattr(picture, x), getattr(picture, y)
    at = None if across is None or down is None else (float(across), float(down))
    return Pin(f"{picture.view}-{key}", name, "mark", at)
