"""A guise with a drawing for tests: a stooping figure of 600 mm, its parts, its photo."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

from PIL import Image

from builds.models import Drawing, DrawingPart
from builds.queries.drawings import drawing_of
from builds.services.drawing_pictures import put_pictures
from builds.services.drawings import start_drawing
from builds.services.placed import HolePlace, JointPlace, PictureMarks, Placing
from builds.services.placing import place_drawing
from company.models import User
from scenes.models import Guise

HEIGHT_MM = 600
# Forward, up, aside.
JOINTS = {
    "neck": (18, 486, 0),
    "shoulder": (0, 462, 72),
    "elbow": (-12, 350, 84),
    "wrist": (30, 262, 88),
    "hip": (0, 300, 40),
    "knee": (28, 160, 42),
    "ankle": (0, 24, 44),
}
# Part, side, then the place; the figure hangs from the first.
HOLES = {
    "shoulder": ("torso", "pair", (0, 478, 60)),
    "head": ("head", "pair", (25, 560, 46)),
    "back": ("torso", "middle", (-52, 380, 0)),
}
# Shape, upper and lower end, width, depth, both below.
PARTS: dict[str, tuple[str, tuple[int, int], tuple[int, int], int, int, int | None, int | None]] = {
    "torso": ("taper", (-15, 490), (0, 290), 130, 80, 110, 70),
    "head": ("ellipsoid", (30, 600), (25, 480), 90, 110, None, None),
    "thigh": ("taper", (0, 302), (28, 158), 52, 52, 40, 40),
    "shank": ("taper", (28, 162), (0, 22), 40, 40, 30, 30),
    "foot": ("taper", (-25, 12), (65, 9), 36, 24, 40, 14),
}
# A photo of 800 by 1400 points: two points a mm, the line at 500 across, the floor at 1300 down.
SIZE_PX = (800, 1400)
MARKS = {
    "mark_a_x_px": 100,
    "mark_a_y_px": 100,
    "mark_b_x_px": 100,
    "mark_b_y_px": 1300,
    "marks_mm": 600,
    "axis_x_px": 500,
    "floor_y_px": 1300,
    "axis_top_x_px": None,
    "axis_top_y_px": None,
}


def tenths(value: float | None) -> Decimal | None:
    """The value as the rows keep it."""
    return None if value is None else Decimal(str(value)).quantize(Decimal("0.1"))


def begin(guise: Guise, user: User) -> Drawing:
    """A drawing with nothing on it."""
    return start_drawing(guise=guise, user=user, height_mm=Decimal(HEIGHT_MM))


def placing(**more: Any) -> Placing:
    """All of the figure in one placing."""
    holes = tuple(
        HolePlace(f"usual-{name}", name, part, side, name == "shoulder", *map(tenths, at))
        for name, (part, side, at) in HOLES.items()
    )
    joints = tuple(JointPlace(kind, *map(tenths, at)) for kind, at in JOINTS.items())
    return Placing(**{"height_mm": Decimal(HEIGHT_MM), "joints": joints, "holes": holes, **more})


def marks(view: str, **more: float | None) -> PictureMarks:
    """The marks of the photo."""
    values = {name: tenths(value) for name, value in {**MARKS, **more}.items()}
    return PictureMarks(view, values)


def photo(size: tuple[int, int] = SIZE_PX, kind: str = "PNG") -> io.BytesIO:
    """A photo of nothing in particular."""
    out = io.BytesIO()
    Image.new("RGB", size, "#d8be94").save(out, kind)
    out.seek(0)
    return out


def put_photo(drawing: Drawing, user: User, *views: str) -> None:
    """Lay a photo under the views."""
    file = photo()
    put_pictures(
        drawing=drawing,
        user=user,
        version=None,
        upload=file,
        size=len(file.getbuffer()),
        views=views or ("profile",),
    )


def add_parts(drawing: Drawing) -> None:
    """The parts of the figure as rows."""
    for kind, (shape, top, bottom, width, depth, low_width, low_depth) in PARTS.items():
        DrawingPart.objects.create(
            drawing=drawing,
            kind=kind,
            shape=shape,
            top_x_mm=top[0],
            top_y_mm=top[1],
            bottom_x_mm=bottom[0],
            bottom_y_mm=bottom[1],
            width_mm=width,
            depth_mm=depth,
            width_low_mm=low_width,
            depth_low_mm=low_depth,
        )


def lay_whole(guise: Guise, user: User, *, with_photo: bool = False) -> Drawing:
    """The figure drawn, with parts, and a photo under its profile where one is asked for."""
    drawing = begin(guise, user)
    if with_photo:
        put_photo(drawing, user, "profile")
    add_parts(drawing)
    seen = (marks("profile"),) if with_photo else ()
    place_drawing(drawing=drawing, user=user, version=None, placing=placing(marks=seen))
    return read(guise)


def read(guise: Guise) -> Drawing:
    """The guise's drawing, read anew."""
    found = drawing_of(guise)
    assert found is not None
    return found
