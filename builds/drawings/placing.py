"""The picture on which string holes and joints are placed: a photo with pins, or blank craft paper.

Units are the points of the photo; on blank paper they are mm to the right of the line of balance
and down from the floor. Everything that is measured in mm lies in one group, `data-mm`, whose
matrix brings it over the photo; the pins are moved one by one and keep their size.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from builds.core.full_size.picture_scale import PictureScale
from builds.drawings.outline_values import FigureOutline
from company import drawing as d

# Lines from joint to joint, so that a posture is seen before any part is drawn.
CHAINS = (("neck", "hip"), ("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle"))
_ROOM_MM = 60.0
_GRID_MM = 50


@dataclass(frozen=True, slots=True)
class Pin:
    """A place that can be moved: its key in the form, its name, and what sort it is.

    `sort` is 'hole', 'joint' or 'mark'. A mark is in points of the photo (x right, y down), the
    others in mm of the drawing (x forward or z aside, y up). Without a place it is not set yet.
    """

    key: str
    name: str
    sort: str
    at: tuple[float, float] | None = None
    is_pair: bool = False


@dataclass(frozen=True, slots=True)
class PlacingView:
    """One view to place on: its photo, or the figure's height where there is only paper."""

    view: str
    outline: FigureOutline
    pins: tuple[Pin, ...]
    href: str = ""
    size_px: tuple[int, int] = (0, 0)
    scale: PictureScale | None = None

    @property
    def is_front(self) -> bool:
        """Front, not profile."""
        return self.view == "front"


def paper_scale(view: str) -> PictureScale:
    """On blank paper a unit is a mm; a profile faces left."""
    return PictureScale(1.0, (0.0, 0.0), (0.0, -1.0), 1 if view == "front" else -1)


def draw_placing(data: PlacingView, *, title: str) -> SafeString:
    """The picture with its pins; a script moves them, and without one it shows where they are."""
    ident = f"placing-{data.view}"
    scale = data.scale if data.href else paper_scale(data.view)
    left, top, width, height = _frame(data)
    unit = max(width, height) / 700
    inner = [
        d.tag("title", title, id=f"{ident}-title"),
        _ground(data, (left, top, width, height)),
        _measured(data, scale),
        *(_twin(pin, scale, unit) for pin in data.pins if data.is_front and pin.is_pair),
        *(_pin(pin, scale, unit) for pin in data.pins),
    ]
    return d.tag(
        "svg",
        *inner,
        css="drawing placing-picture",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"{_n(left)} {_n(top)} {_n(width)} {_n(height)}",
        id=ident,
        role="group",
        aria_labelledby=f"{ident}-title",
        data_view=data.view,
        data_paper=None if data.href else "1",
        data_height=_n(data.outline.height_mm),
        data_across=str((scale or paper_scale(data.view)).across),
    )


def to_units(scale: PictureScale) -> str:
    """The SVG matrix from mm as they are seen (x right, y down from the floor) to the units.

    >>> to_units(PictureScale(0.5, (100.0, 900.0), (0.0, -1.0), -1))
    'matrix(2 0 0 2 100 900)'
    """
    ux, uy = scale.up[0] / scale.mm_per_px, scale.up[1] / scale.mm_per_px
    parts = (-uy, ux, -ux, -uy, *scale.foot_px)
    return f"matrix({' '.join(f'{value + 0.0:.6g}' for value in parts)})"


def _frame(data: PlacingView) -> tuple[float, float, float, float]:
    if data.href and data.scale is not None:
        return _about_figure(data, data.scale)
    if data.href:
        return (0.0, 0.0, float(data.size_px[0]), float(data.size_px[1]))
    left, right = data.outline.reach(data.view)
    left, right = left + _ROOM_MM, right + _ROOM_MM
    tall = data.outline.height_mm + 2 * _ROOM_MM
    return (-left, -(data.outline.height_mm + _ROOM_MM), left + right, tall)


def _about_figure(data: PlacingView, scale: PictureScale) -> tuple[float, float, float, float]:
    """The part of a photo that has the figure on it, once its scale says where that is."""
    left, right = (side + _ROOM_MM for side in data.outline.reach(data.view))
    tall = data.outline.height_mm
    sign = scale.across
    corners = [
        scale.to_px(sign * x, y) for x in (-left, right) for y in (-_ROOM_MM, tall + _ROOM_MM)
    ]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _ground(data: PlacingView, frame: tuple[float, float, float, float]) -> SafeString:
    left, top, width, height = frame
    if data.href:
        wide, tall = data.size_px
        return d.tag("image", href=data.href, width=str(wide), height=str(tall))
    lines = []
    for at in range(int(left // _GRID_MM + 1) * _GRID_MM, int(left + width), _GRID_MM):
        lines.append(f"M{at} {_n(top)}V{_n(top + height)}")
    for at in range(int(top // _GRID_MM + 1) * _GRID_MM, int(top + height), _GRID_MM):
        lines.append(f"M{_n(left)} {at}H{_n(left + width)}")
    return d.group(
        d.tag("rect", css="kraft-paper", x=_n(left), y=_n(top), width=_n(width), height=_n(height)),
        d.path("".join(lines), "placing-grid"),
    )


def _measured(data: PlacingView, scale: PictureScale | None) -> SafeString:
    """Outlines, line of balance and floor, in mm as they are seen."""
    across = 1 if data.is_front else (-1 if data.outline.faces_left else 1)
    shapes = []
    for part in data.outline.parts:
        points = part.front if data.is_front else part.profile
        for sign in (1, -1) if data.is_front and part.is_pair else (1,):
            places = "L".join(f"{_n(sign * across * x)} {_n(-y)}" for x, y in points)
            shapes.append(f"M{places}Z")
    tall = data.outline.height_mm
    wide = tall * 0.4
    return d.group(
        d.path("".join(shapes), "placing-outline"),
        d.path("", "placing-bones", data_bones=data.view),
        d.path(f"M{_n(-wide)} 0H{_n(wide)}M0 {_n(-tall)}m-8 0h16", "placing-floor"),
        d.path(f"M0 {_n(-tall - 30)}V14", "placing-plumb"),
        data_mm=data.view,
        transform=to_units(scale) if scale else None,
        display=None if scale else "none",
    )


def _pin(pin: Pin, scale: PictureScale | None, unit: float) -> SafeString:
    at = place_of(pin, scale)
    ring = d.tag("circle", css="pin-ring", r="7")
    cross = d.path("M-13 0H-3M3 0H13M0 -13V-3M0 3V13", "pin-cross")
    grip = d.tag("circle", css="pin-grip", r="20")
    # Names of joints stand on one side and those of holes on the other: they are often near.
    side = {"x": "-13", "text_anchor": "end"} if pin.sort == "hole" else {"x": "13"}
    name = d.tag("text", pin.name, css="pin-name", y="-6", font_size="13", **side)
    return d.group(
        grip,
        *([] if pin.sort == "mark" else [ring]),
        cross,
        name,
        css=f"pin pin-{pin.sort}",
        data_pin=pin.key,
        data_name=pin.name,
        data_sort=pin.sort,
        transform=_moved(at, unit),
        display=None if at else "none",
    )


def _twin(pin: Pin, scale: PictureScale | None, unit: float) -> SafeString:
    """The other side of a pair in the front view: it follows and is not moved by itself."""
    other = Pin(pin.key, pin.name, pin.sort, pin.at and (-pin.at[0], pin.at[1]))
    at = place_of(other, scale)
    return d.group(
        d.tag("circle", css="pin-ring", r="7"),
        css=f"pin-twin pin-{pin.sort}",
        data_twin=pin.key,
        transform=_moved(at, unit),
        display=None if at else "none",
    )


def place_of(pin: Pin, scale: PictureScale | None) -> tuple[float, float] | None:
    """Where a pin stands in the units of the picture; None where it cannot be told."""
    if pin.at is None or pin.sort == "mark":
        return pin.at
    return scale.to_px(*pin.at) if scale else None


def _moved(at: tuple[float, float] | None, unit: float) -> str | None:
    return f"translate({_n(at[0])} {_n(at[1])}) scale({unit:.4g})" if at else None


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"
