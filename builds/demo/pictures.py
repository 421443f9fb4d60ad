"""Pencil sketches for the demo, drawn here line by line: a figure in profile on craft paper."""

from __future__ import annotations

import io
import math

from PIL import Image, ImageDraw

from builds.demo.story import GuiseStory

PAPER, PENCIL, RED = (233, 217, 186), (64, 54, 44), (165, 47, 39)
WIDTH, HEIGHT = 900, 1200
SCALE = 2  # drawn larger and brought down, for soft lines
STOOP = {"at sixty": 22, "at thirty": 4, "at nine": 8}


def draw_sketch(told: GuiseStory) -> io.BytesIO:
    """A PNG of the guise in profile with its line of balance, the head's share as told."""
    image = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE), PAPER)
    pencil = _Pencil(ImageDraw.Draw(image))
    if told.kind == "rod":
        _draw_bird(pencil)
    elif told.kind == "hand":
        _draw_gull(pencil)
    else:
        _draw_person(pencil, told)
    out = io.BytesIO()
    image.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS).save(out, "PNG")
    out.seek(0)
    return out


class _Pencil:
    """Strokes on the page, in its own units from the top left."""

    def __init__(self, draw: ImageDraw.ImageDraw) -> None:
        self.draw = draw

    def stroke(
        self,
        points: list[tuple[float, float]],
        colour: tuple[int, int, int] = PENCIL,
        width: float = 3,
    ) -> None:
        """A line with a slight tremble, as a hand draws it."""
        shaken = [
            (SCALE * (x + math.sin(i * 2.3) * 0.9), SCALE * (y + math.cos(i * 1.7) * 0.9))
            for i, (x, y) in enumerate(points)
        ]
        self.draw.line(shaken, fill=colour, width=int(width * SCALE), joint="curve")

    def round(
        self, x: float, y: float, across: float, down: float, tilt: float = 0, start: float = 0
    ) -> None:
        """A closed curve about a centre."""
        turn = math.radians(tilt)
        points = []
        for n in range(49):
            angle = math.radians(start) + 2 * math.pi * n / 48
            a, b = across * math.cos(angle), down * math.sin(angle)
            points.append(
                (
                    x + a * math.cos(turn) - b * math.sin(turn),
                    y + a * math.sin(turn) + b * math.cos(turn),
                )
            )
        self.stroke(points)

    def balance(self, x: float) -> None:
        """The line of balance, dashed."""
        for y in range(60, HEIGHT - 60, 34):
            self.stroke([(x, y), (x, y + 18)], RED, 2)

    def dot(self, x: float, y: float) -> None:
        """A hole or a joint."""
        box = [SCALE * (x - 6), SCALE * (y - 6), SCALE * (x + 6), SCALE * (y + 6)]
        self.draw.ellipse(box, fill=PENCIL)


def _draw_person(pencil: _Pencil, told: GuiseStory) -> None:
    """Head, back, arm, legs and shoes; an old back stoops."""
    stoop = STOOP.get(told.guise, 2)
    tall = 1020 * told.height_mm / 600
    r = tall * told.head_mm / told.height_mm / 1.55  # half the head's height
    foot, mid = HEIGHT - 90.0, 470.0
    crown = foot - tall
    lean = math.tan(math.radians(stoop)) * tall * 0.25
    shoulder, hip, knee = crown + 2.25 * r, crown + tall * 0.55, crown + tall * 0.77
    waist = (shoulder + hip) / 2
    face, brow = mid - lean, crown + r
    pencil.balance(mid)
    pencil.round(face, brow, r * 0.82, r, -stoop)
    nose = [(-0.75, -0.15), (-1.12, 0.2), (-0.72, 0.3)]
    pencil.stroke([(face + r * x, brow + r * y) for x, y in nose])
    pencil.stroke([(face - r * 0.5, brow + r * 0.62), (face - r * 0.2, brow + r * 0.6)])
    back = [
        (mid - lean * 0.4 + r * 0.3, shoulder - r * 0.35),
        (mid + r * 0.55 + lean * 0.6, shoulder + r * 0.5),
        (mid + r * 0.6 + lean * 0.4, waist),
        (mid + r * 0.4, hip),
    ]
    chest = [
        (mid - lean * 0.8 - r * 0.2, shoulder - r * 0.3),
        (mid - r * 0.6 - lean * 0.3, shoulder + r * 0.7),
        (mid - r * 0.45, hip - r * 0.2),
        (mid - r * 0.35, hip),
    ]
    pencil.stroke(back)
    pencil.stroke(chest)
    pencil.stroke([back[-1], chest[-1]])
    for thigh, bend, ankle in ((-0.3, -0.5, -0.18), (0.35, 0.1, 0.22)):
        leg = [(mid + r * thigh, hip), (mid + r * bend, knee), (mid + r * ankle, foot - 30)]
        pencil.stroke(leg)
    shoe = [(-0.5, 0), (0.3, 0), (0.2, -32), (-0.2, -30), (-0.5, 0)]
    pencil.stroke([(mid + r * x, foot + y) for x, y in shoe])
    arm = [(mid, shoulder), (mid + r * 0.25, waist), (mid - r * 0.45, hip + r * 0.2)]
    pencil.stroke(arm, width=4)
    pencil.round(mid - r * 0.52, hip + r * 0.38, r * 0.16, r * 0.24, 20)
    for y in (shoulder - r * 0.12, shoulder + r * 0.1, hip, foot - 34):
        pencil.dot(mid, y)
    pencil.dot(mid - r * 0.3, knee)
    pencil.stroke([(250, foot + 4), (690, foot + 4)], width=2)


def _draw_bird(pencil: _Pencil) -> None:
    """The heron: long neck, bill, body, two thin legs, the central rod."""
    pencil.balance(450)
    pencil.round(470, 640, 190, 105, -18)
    pencil.stroke([(330, 600), (300, 500), (370, 410), (360, 320), (320, 270)], width=4)
    pencil.stroke([(375, 560), (350, 500), (410, 420), (400, 310), (350, 250)], width=4)
    pencil.round(330, 250, 52, 38, 10)
    pencil.stroke([(285, 240), (150, 262), (286, 268)])
    pencil.stroke([(370, 232), (470, 210)])
    pencil.dot(322, 244)
    pencil.stroke([(420, 735), (430, 900), (405, 1090)])
    pencil.stroke([(500, 735), (505, 900), (520, 1090)])
    for x in (405, 520):
        pencil.stroke([(x - 50, 1105), (x, 1090), (x + 40, 1105)])
    pencil.stroke([(450, 640), (450, 1150)], RED, 2)
    pencil.stroke([(600, 590), (700, 650), (640, 640)])


def _draw_gull(pencil: _Pencil) -> None:
    """A gull on a hand: head, bill, spread wings, the glove's hem."""
    pencil.round(450, 360, 120, 105)
    pencil.stroke([(340, 350), (210, 380), (345, 405)])
    pencil.dot(405, 330)
    pencil.stroke([(380, 450), (330, 640), (320, 940)])
    pencil.stroke([(525, 450), (580, 640), (590, 940)])
    pencil.stroke([(320, 940), (590, 940)])
    pencil.stroke([(345, 560), (190, 640), (110, 780), (250, 740), (335, 760)])
    pencil.stroke([(570, 560), (720, 640), (800, 780), (660, 740), (588, 760)])
    pencil.stroke([(330, 1000), (580, 1000)], width=2)
