"""The score's margins: scenes along the top, roles and figures down the side."""

from __future__ import annotations

from django.utils.safestring import SafeString

from company import drawing as d
from company.core.units import format_minutes
from company.lettering import measure
from scenes.drawings.score import (
    LABEL_SIZE,
    LONE_ROW,
    NAME_SIZE,
    TITLE_SIZE,
    RoleRow,
    Score,
    TrackRow,
)
from scenes.drawings.tracks_data import Track, TrackRole, TrackScene, count_figures_word


def draw_head(score: Score) -> list[str]:
    parts: list[str] = []
    foot = score.head_height
    act = ""
    for at, scene in enumerate(score.data.scenes):
        x, width = score.lefts[at] + 5, score.widths[at] - 8
        if scene.act and scene.act != act:
            act = scene.act
            parts.append(d.clipped_words(x, 16, act, _act_room(score, at), 12.5, css="soft"))
        parts.append(d.clipped_words(x, foot - 26, scene.label, width, 16, bold=True))
        parts.append(d.clipped_words(x, foot - 9, scene.title, width, TITLE_SIZE, css="soft"))
        parts.append(d.line(x - 5, foot - 40, x - 5, foot, "scene-line"))
        if scene.is_interval and score.gaps[at]:
            parts.extend(_draw_interval_head(score, at, scene))
    return parts


def _act_room(score: Score, at: int) -> float:
    """An act's name may run on until the next act begins."""
    scenes = score.data.scenes
    for later in range(at + 1, len(scenes)):
        if scenes[later].act != scenes[at].act:
            return score.lefts[later] - score.lefts[at] - 10
    return score.width - score.lefts[at] - 10


def _draw_interval_head(score: Score, at: int, scene: TrackScene) -> list[str]:
    left = score.lefts[at] + score.widths[at]
    middle = left + score.gaps[at] / 2
    foot = score.head_height
    return [
        d.rect(left, foot - 40, score.gaps[at], 40, "pause"),
        d.words(middle, foot - 23, "interval", size=13, anchor="middle", css="pause-word"),
        d.words(
            middle,
            foot - 8,
            f"{format_minutes(scene.gap_s)} min",
            size=12.5,
            anchor="middle",
            css="pause-word",
        ),
    ]


def draw_names(score: Score) -> list[str]:
    parts: list[str] = []
    for number, (role, row) in enumerate(zip(score.data.roles, score.roles, strict=True)):
        tracks = [track for track in score.tracks if track.role == number]
        parts.extend(_draw_role(score, role, row, tracks))
        parts.append(d.line(0, row.foot, score.names_width, row.foot, "role-line"))
    if score.data.people:
        room = score.names_width - 16
        y = score.rows_foot + (19 if score.data.crew else 26)
        parts.append(d.clipped_words(10, y, "people at work", room, 13, css="soft"))
        if score.data.crew:
            there = f"of {score.data.crew}"
            parts.append(d.clipped_words(10, y + 17, there, room, 13, css="soft"))
    return parts


def _draw_role(score: Score, role: TrackRole, row: RoleRow, tracks: list[TrackRow]) -> list[str]:
    room = score.names_width - 18
    if row.is_lone:
        if not tracks:
            middle = row.top + 4 + LONE_ROW / 2
            return [
                d.clipped_words(10, middle - 2, role.name, room, NAME_SIZE, bold=True),
                d.words(10, middle + 15, "none needed", size=LABEL_SIZE, css="soft"),
            ]
        y = tracks[0].y
        return [
            d.clipped_words(10, y - 2, role.name, room, NAME_SIZE, bold=True),
            _draw_label(role.tracks[0], 20, y + 15, room - 10),
        ]
    figures = count_figures_word(len(tracks))
    parts: list[str] = []
    taken = measure(role.name, NAME_SIZE, bold=True)
    if taken + 10 + measure(figures, LABEL_SIZE) <= room:
        parts.append(d.words(20 + taken, row.top + 22, figures, size=LABEL_SIZE, css="soft"))
    parts.append(d.clipped_words(10, row.top + 22, role.name, room, NAME_SIZE, bold=True))
    parts.extend(
        _draw_label(role.tracks[place.track], 20, place.y + 4, room - 10) for place in tracks
    )
    return parts


def _draw_label(track: Track, x: float, y: float, room: float) -> SafeString:
    number = track.number or "new"
    start = x + measure(number, LABEL_SIZE, bold=True) + 6
    drawn = d.group(
        d.words(x, y, number, size=LABEL_SIZE, bold=True, css="" if track.number else "kept"),
        d.clipped_words(start, y, track.guise, room - (start - x), LABEL_SIZE, css="soft"),
    )
    return d.tag("a", drawn, href=track.url) if track.url else drawn
