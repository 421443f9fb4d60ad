"""Where things stand in the score: scenes across, to scale where they can be, tracks down."""

from __future__ import annotations

from dataclasses import dataclass

from company.lettering import measure
from scenes.drawings.tracks_data import (
    TrackRole,
    TrackScene,
    TracksData,
    count_figures_word,
    name_track,
)

TITLE_SIZE = 12.5
LEAST_SCENE = 50.0
MOST_FOR_TITLE = 96.0
LEAST_PX_MIN = 5.0
MOST_PX_MIN = 200.0
HEAD_ROW = 24.0
TRACK_ROW = 30.0
LONE_ROW = 42.0
ROLE_PAD = 8.0
NAME_SIZE = 15.0
LABEL_SIZE = 13.0
SIDE = 10.0


@dataclass(frozen=True)
class TrackRow:
    """One track's place: the line of its thread."""

    role: int
    track: int
    y: float


@dataclass(frozen=True)
class RoleRow:
    """One role's place: its top and foot; a lone track shares its line with the name."""

    top: float
    foot: float
    is_lone: bool


class Score:
    """Places for one picture `width` wide (more where the scenes need it to be read)."""

    def __init__(self, data: TracksData, width: float, *, printed: bool = False) -> None:
        self.printed = printed
        self.data = data
        self.names_width = _names_width(data.roles)
        self.head_height = 66.0 if any(scene.act for scene in data.scenes) else 50.0
        room = width - self.names_width - 2 * SIDE
        px_min = _fit(data.scenes, room)
        self.widths = [_scene_width(scene, px_min) for scene in data.scenes]
        self.gaps = [_gap_width(scene, px_min) for scene in data.scenes]
        if self.gaps:
            self.gaps[-1] = 0
        if printed and sum(self.widths) + sum(self.gaps) < room:
            self._stretch(room)
        self.lefts: list[float] = []
        x = SIDE
        for scene_width, gap in zip(self.widths, self.gaps, strict=True):
            self.lefts.append(x)
            x += scene_width + gap
        self.width = max(x + SIDE, 60.0)
        self.roles: list[RoleRow] = []
        self.tracks: list[TrackRow] = []
        y = 0.0
        for number, role in enumerate(data.roles):
            y = self._place_role(number, role, y)
        self.rows_foot = y
        self.height = y + (50.0 if data.people else 6.0)

    def _stretch(self, room: float) -> None:
        grow = (room - sum(self.gaps)) / max(sum(self.widths), 1)
        self.widths = [width * grow for width in self.widths]

    def _place_role(self, number: int, role: TrackRole, y: float) -> float:
        lone = len(role.tracks) <= 1
        top = y
        y += ROLE_PAD / 2
        if lone:
            for track in range(len(role.tracks)):
                self.tracks.append(TrackRow(number, track, y + LONE_ROW / 2))
            y += LONE_ROW
        else:
            y += HEAD_ROW
            for track in range(len(role.tracks)):
                self.tracks.append(TrackRow(number, track, y + TRACK_ROW / 2))
                y += TRACK_ROW
        y += ROLE_PAD / 2
        self.roles.append(RoleRow(top, y, lone))
        return y

    def x(self, scene: int, at_s: int) -> float:
        """The place of a moment counted from a scene's start; it may lie in the gap around it."""
        left, width, length_s = self.lefts[scene], self.widths[scene], max(self._length(scene), 1)
        if at_s < 0:
            gap_s = self.data.scenes[scene - 1].gap_s if scene else 0
            gap = self.gaps[scene - 1] if scene else SIDE
            return left - gap * min(-at_s / gap_s, 1) if gap_s else left - min(gap, 4)
        if at_s > length_s:
            gap_s = self.data.scenes[scene].gap_s
            share = min((at_s - length_s) / gap_s, 1) if gap_s else 0
            return left + width + self.gaps[scene] * share
        return left + width * at_s / length_s

    def _length(self, scene: int) -> int:
        return self.data.scenes[scene].length_s


def _names_width(roles: tuple[TrackRole, ...]) -> float:
    widest = 96.0
    for role in roles:
        name = measure(role.name, NAME_SIZE, bold=True)
        if len(role.tracks) > 1:
            name += 10 + measure(count_figures_word(len(role.tracks)), LABEL_SIZE)
        widest = max(widest, name + 20)
        for track in role.tracks:
            widest = max(widest, measure(name_track(track), LABEL_SIZE, bold=True) + 30)
    return min(widest, 172.0)


def _scene_width(scene: TrackScene, px_min: float) -> float:
    title = measure(scene.title, TITLE_SIZE) + 12
    label = measure(scene.label, 16, bold=True) + 12
    least = max(LEAST_SCENE, min(title, MOST_FOR_TITLE), min(label, MOST_FOR_TITLE))
    return max(least, scene.length_s / 60 * px_min)


def _gap_width(scene: TrackScene, px_min: float) -> float:
    if not scene.gap_s and not scene.is_interval:
        return 0
    drawn = scene.gap_s / 60 * px_min
    if scene.is_interval:
        return min(max(drawn, 84.0), 150.0)
    return min(max(drawn, 6.0), 60.0)


def _fit(scenes: tuple[TrackScene, ...], room: float) -> float:
    """Pixels a minute so that all scenes just fill the room, if they can."""
    low, high = LEAST_PX_MIN, MOST_PX_MIN
    for _ in range(24):
        middle = (low + high) / 2
        total = sum(_scene_width(s, middle) + _gap_width(s, middle) for s in scenes)
        low, high = (middle, high) if total < room else (low, middle)
    return low
