"""Draws the tracks: four pictures for the screen, so that names and scenes stay in view, or sheets.

Every word is measured and cut to its room; what is cut shows whole when pointed at, and
`DrawnTracks.said` holds everything in words.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from company import drawing as d
from scenes.drawings.margins import draw_head, draw_names
from scenes.drawings.score import Score
from scenes.drawings.threads import draw_body
from scenes.drawings.tracks_data import TrackRole, TracksData, count_figures_word, describe_track

SCREEN_WIDTH = 1360.0
SHEET_WIDTH = 1500.0
SHEET_HEIGHT = 1000.0


@dataclass(frozen=True)
class DrawnTracks:
    """The four pictures for parts/tracks.html, and the same in words: (role, sentences)."""

    corner: SafeString
    head: SafeString
    names: SafeString
    body: SafeString
    said: tuple[tuple[str, tuple[str, ...]], ...]
    is_empty: bool


def draw_tracks(data: TracksData, *, ident: str, width: float = SCREEN_WIDTH) -> DrawnTracks:
    """The score for a screen; it scrolls in its frame where `width` is too little."""
    score = Score(data, width)
    has_links = any(track.url for role in data.roles for track in role.tracks)
    figures = len(score.tracks)
    return DrawnTracks(
        corner=d.picture(score.names_width, score.head_height, ident=f"{ident}-corner", title=""),
        head=d.picture(
            score.width, score.head_height, *draw_head(score), ident=f"{ident}-head", title=""
        ),
        names=d.picture(
            score.names_width,
            score.height,
            *draw_names(score),
            ident=f"{ident}-names",
            title="Roles and figures" if has_links else "",
            role="group",
        ),
        body=d.picture(
            score.width,
            score.height,
            *draw_body(score),
            ident=f"{ident}-body",
            title=f"The plot as a score: {count_figures_word(figures)}",
            desc="One thread for each figure, scene by scene. The same is written out in words.",
        ),
        said=tuple(
            (role.name, tuple(describe_track(track, data.scenes) for track in role.tracks))
            for role in data.roles
        ),
        is_empty=not data.scenes or not data.roles,
    )


def print_tracks(
    data: TracksData, *, ident: str, width: float = SHEET_WIDTH, height: float = SHEET_HEIGHT
) -> list[SafeString]:
    """The score on sheets of paper, black and white safe; names and scenes stand on each."""
    sheets = []
    for roles in _split_roles(data, width, height):
        for first, last in _split_scenes(data, width):
            score = Score(data.part(first, last, roles), width, printed=True)
            sheets.append(_draw_sheet(score, f"{ident}-{len(sheets) + 1}", (first, last)))
    return sheets


def _draw_sheet(score: Score, ident: str, scenes: tuple[int, int]) -> SafeString:
    left, top = score.names_width, score.head_height
    return d.picture(
        left + score.width,
        top + score.height,
        d.group(*draw_head(score), transform=f"translate({d.num(left)} 0)"),
        d.group(*draw_names(score), transform=f"translate(0 {d.num(top)})"),
        d.group(*draw_body(score), transform=f"translate({d.num(left)} {d.num(top)})"),
        ident=ident,
        title=f"Costume plot, scenes in places {scenes[0] + 1} to {scenes[1]}",
        css="drawing-tracks",
        printed=True,
    )


def _split_roles(data: TracksData, width: float, height: float) -> list[tuple[TrackRole, ...]]:
    score = Score(data, width)
    room = height - score.head_height - 50
    sheets: list[list[TrackRole]] = [[]]
    used = 0.0
    for role, row in zip(data.roles, score.roles, strict=True):
        if sheets[-1] and used + row.foot - row.top > room:
            sheets.append([])
            used = 0.0
        sheets[-1].append(role)
        used += row.foot - row.top
    return [tuple(sheet) for sheet in sheets]


def _split_scenes(data: TracksData, width: float) -> list[tuple[int, int]]:
    score = Score(data, width)
    room = width - score.names_width - 20
    parts, first, used = [], 0, 0.0
    for at, scene in enumerate(score.widths):
        if at > first and used + scene > room:
            parts.append((first, at))
            first, used = at, 0.0
        used += scene + score.gaps[at]
    return [*parts, (first, len(data.scenes))]
