"""Jory at sixty on craft paper: his posture as plain data, drawn, photographed askew, and placed.

The photo is drawn here from the same places that the demo then puts on it, a degree out of true
and with the two ends of a rule as its marks, so that page and print show what they do with one.
"""

from __future__ import annotations

import io
import math
from decimal import Decimal

from PIL import Image, ImageDraw

from builds.core.full_size.part_outlines import PartShape, front_polygon, profile_polygon
from builds.models import Drawing
from builds.services.drawing_pictures import put_pictures
from builds.services.drawings import start_drawing
from builds.services.placed import HolePlace, JointPlace, PictureMarks, Placing
from builds.services.placing import place_drawing
from company.models import User
from scenes.models import Guise

WHOSE = ("Jory Tarrow", "at sixty")
HEIGHT_MM = 540

# Forward of the line of balance, up from the floor, from the middle.
JOINTS = {
    "neck": (20.0, 431.0, 0.0),
    "shoulder": (0.0, 416.0, 64.0),
    "elbow": (-12.0, 316.0, 76.0),
    "wrist": (28.0, 236.0, 80.0),
    "hip": (0.0, 268.0, 34.0),
    "knee": (24.0, 142.0, 36.0),
    "ankle": (0.0, 22.0, 38.0),
}
# Part, side, hangs, then the place as above.
HOLES = {
    "shoulder": ("torso", "pair", True, (0.0, 431.0, 54.0)),
    "head": ("head", "pair", False, (27.0, 498.0, 41.0)),
    "back": ("torso", "middle", False, (-46.0, 336.0, 0.0)),
    "hand": ("hand", "pair", False, (42.0, 214.0, 80.0)),
    "knee": ("thigh", "pair", False, (42.0, 150.0, 36.0)),
}
# Shape, axis from upper to lower end in profile, width, depth, and both at the lower end.
PARTS: dict[str, PartShape] = {
    "torso": PartShape("taper", (-10, 432), (-2, 258), 116, 74, 100, 62),
    "head": PartShape("ellipsoid", (30, 540), (22, 430), 82, 100),
    "upper arm": PartShape("taper", (0, 420), (-12, 314), 31, 31, 26, 26, 64, 76),
    "fore arm": PartShape("taper", (-12, 318), (28, 234), 26, 26, 20, 20, 76, 80),
    "hand": PartShape("ellipsoid", (28, 236), (48, 186), 20, 24, None, None, 80, 80),
    "thigh": PartShape("taper", (0, 270), (24, 140), 47, 47, 36, 36, 34, 36),
    "shank": PartShape("taper", (24, 144), (0, 20), 36, 36, 27, 27, 36, 38),
    "foot": PartShape("taper", (-22, 11), (58, 8), 32, 22, 36, 13, 38, 38),
}
PAIRS = ("upper arm", "fore arm", "hand", "thigh", "shank", "foot")

_PX_PER_MM = 2.4
_SHEET_MM = (640.0, 640.0)
_FLOOR_MM, _FRONT_MM, _PROFILE_MM = 588.0, 150.0, 440.0  # from the sheet's upper left corner
_RULE_MM, _RULE_AT_MM = 500.0, (590.0, 60.0)
_TURN = math.radians(0.8)
_PAPER, _PENCIL, _RED, _WALL = (216, 190, 148), (58, 47, 37), (165, 47, 39), (239, 234, 224)
_EDGE_PX = 40


def lay_demo_drawing(guise: Guise, user: User) -> Drawing:
    """Begin the drawing, lay its photo under both views, set the scale, place everything."""
    drawing = start_drawing(guise=guise, user=user, height_mm=Decimal(HEIGHT_MM))
    photo = draw_photo()
    put_pictures(
        drawing=drawing,
        user=user,
        version=None,
        upload=photo,
        size=len(photo.getbuffer()),
        views=("front", "profile"),
    )
    return place_drawing(drawing=drawing, user=user, version=None, placing=_placing())


def _placing() -> Placing:
    return Placing(
        height_mm=Decimal(HEIGHT_MM),
        words="the stoop is in the wood",
        joints=tuple(JointPlace(kind, *map(_tenth, at)) for kind, at in JOINTS.items()),
        holes=tuple(
            HolePlace(f"usual-{name}", name, part, side, hangs, *map(_tenth, at))
            for name, (part, side, hangs, at) in HOLES.items()
        ),
        marks=(
            PictureMarks("front", _marks(_FRONT_MM)),
            PictureMarks("profile", _marks(_PROFILE_MM), faces_left=True),
        ),
    )


def _marks(line_mm: float) -> dict[str, Decimal | None]:
    """The ends of the rule, and the line of a view, as points of the photo."""
    x, y = _RULE_AT_MM
    places = {
        ("mark_a_x_px", "mark_a_y_px"): (x, y),
        ("mark_b_x_px", "mark_b_y_px"): (x, y + _RULE_MM),
        ("axis_x_px", "floor_y_px"): (line_mm, _FLOOR_MM),
        ("axis_top_x_px", "axis_top_y_px"): (line_mm, _FLOOR_MM - HEIGHT_MM),
    }
    marks: dict[str, Decimal | None] = {"marks_mm": Decimal(int(_RULE_MM))}
    for (across, down), at in places.items():
        px = _seen(*at)
        marks |= {across: _tenth(px[0]), down: _tenth(px[1])}
    return marks


def draw_photo() -> io.BytesIO:
    """A JPEG of the sheet on a pale wall, as somebody's telephone saw it."""
    width, height = (int(side * _PX_PER_MM) + 2 * _EDGE_PX for side in _SHEET_MM)
    image = Image.new("RGB", (width, height), _WALL)
    pencil = _Pencil(ImageDraw.Draw(image))
    right, low = _SHEET_MM
    pencil.fill([(0, 0), (right, 0), (right, low), (0, low)], _PAPER)
    pencil.line([(30, _FLOOR_MM), (right - 70, _FLOOR_MM)], 2)
    for y in range(40, int(_FLOOR_MM) + 12, 16):
        pencil.line([(_PROFILE_MM, y), (_PROFILE_MM, y + 9)], 3, _RED)
        pencil.line([(_FRONT_MM, y), (_FRONT_MM, y + 5)], 1)
    for kind, part in PARTS.items():
        pencil.shape([(_PROFILE_MM - x, _FLOOR_MM - y) for x, y in profile_polygon(part)])
        for sign in (1, -1) if kind in PAIRS else (1,):
            front = front_polygon(part)
            pencil.shape([(_FRONT_MM + sign * z, _FLOOR_MM - y) for z, y in front])
    pencil.face()
    for at in [*JOINTS.values(), *(place for *_, place in HOLES.values())]:
        pencil.dot(_PROFILE_MM - at[0], _FLOOR_MM - at[1])
        for z in {at[2], -at[2]}:
            pencil.dot(_FRONT_MM + z, _FLOOR_MM - at[1])
    pencil.rule()
    out = io.BytesIO()
    image.save(out, "JPEG", quality=86)
    out.seek(0)
    return out


class _Pencil:
    """Strokes in mm of the sheet, put where the turned photo shows them."""

    def __init__(self, draw: ImageDraw.ImageDraw) -> None:
        self.draw = draw

    def line(
        self,
        places: list[tuple[float, float]],
        width: int,
        colour: tuple[int, int, int] = _PENCIL,
    ) -> None:
        self.draw.line([_seen(*at) for at in places], colour, width)

    def fill(self, places: list[tuple[float, float]], colour: tuple[int, int, int]) -> None:
        self.draw.polygon([_seen(*at) for at in places], colour)

    def shape(self, places: list[tuple[float, float]]) -> None:
        """A closed outline with a slight tremble, as a hand draws it."""
        shaken = [
            (x + 0.5 * math.sin(n * 2.3), y + 0.5 * math.cos(n * 1.7))
            for n, (x, y) in enumerate(places)
        ]
        self.line([*shaken, shaken[0]], 4)

    def dot(self, x: float, y: float) -> None:
        px, py = _seen(x, y)
        self.draw.ellipse([px - 5, py - 5, px + 5, py + 5], _PENCIL)

    def face(self) -> None:
        """A nose and a brow say which way he looks."""
        x, y = _PROFILE_MM - 26, _FLOOR_MM - 488
        self.line([(x - 47, y - 8), (x - 62, y + 10), (x - 46, y + 14)], 4)
        self.line([(x - 40, y - 16), (x - 24, y - 20)], 3)

    def rule(self) -> None:
        """The rule on the sheet whose ends are the marks."""
        x, y = _RULE_AT_MM
        self.line([(x, y), (x, y + _RULE_MM)], 3)
        for at in range(0, int(_RULE_MM) + 1, 50):
            self.line([(x - (10 if at % 100 == 0 else 6), y + at), (x, y + at)], 2)


def _seen(x_mm: float, y_mm: float) -> tuple[float, float]:
    """Where the photo shows a place of the sheet."""
    x, y = (x_mm - _SHEET_MM[0] / 2), (y_mm - _SHEET_MM[1] / 2)
    return (
        (x * math.cos(_TURN) - y * math.sin(_TURN) + _SHEET_MM[0] / 2) * _PX_PER_MM + _EDGE_PX,
        (x * math.sin(_TURN) + y * math.cos(_TURN) + _SHEET_MM[1] / 2) * _PX_PER_MM + _EDGE_PX,
    )


def _tenth(value: float) -> Decimal:
    return Decimal(str(value)).quantize(Decimal("0.1"), "ROUND_HALF_UP")
