"""Who works what, as a score: a line for each person, and what is at work against what is there.

The time line is that of the tracks, so that both pictures read alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.safestring import SafeString

from company import drawing as d
from company.lettering import clip, measure
from scenes.drawings.margins import draw_head
from scenes.drawings.score import LABEL_SIZE, NAME_SIZE, SIDE, Score
from scenes.drawings.tracks import SCREEN_WIDTH, DrawnTracks
from scenes.drawings.tracks_data import Track, TrackRole, TrackScene, TracksData

ROW, BAR, HALF_BAR = 34.0, 22.0, 10.5
STEP = 9.0  # the height of one person, or of one hook where there are few
MOST_HEIGHT = 62.0
WORD_SIZE = 12.5


@dataclass(frozen=True)
class DutyBar:
    """What a person has in hand from one second of the show to another. `tint` None: no cloth."""

    starts_s: int
    ends_s: int
    word: str
    kind: str  # figure, handling or change
    title: str
    tint: int | None = None
    is_half: bool = False
    short: str = ""  # the word where there is no room for all of it


@dataclass(frozen=True)
class DutyRow:
    """One person with all that is in hand."""

    name: str
    bars: tuple[DutyBar, ...]
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class Level:
    """How much of something is in use, stretch by stretch, and how much there is (None: unsaid)."""

    name: str
    stretches: tuple[tuple[int, int, int], ...]
    there: int | None = None

    @property
    def most(self) -> int:
        """The greatest number to be drawn."""
        return max([self.there or 0, *(amount for _, _, amount in self.stretches)], default=0)


@dataclass(frozen=True)
class DutiesData:
    """The whole picture; `nobody` are things that nobody is free for, drawn on a line of their own.

    `short` are stretches in which people are missing.
    """

    scenes: tuple[TrackScene, ...]
    rows: tuple[DutyRow, ...]
    levels: tuple[Level, ...]
    nobody: DutyRow | None = None
    short: tuple[tuple[int, int], ...] = ()

    @property
    def all_rows(self) -> tuple[DutyRow, ...]:
        """Every line that is drawn."""
        return (*self.rows, *([self.nobody] if self.nobody else []))


class Clock:
    """Where a second of the show lies in a score."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.starts: list[int] = []
        at_s = 0
        for scene in score.data.scenes:
            self.starts.append(at_s)
            at_s += scene.length_s + scene.gap_s

    def x(self, at_s: int) -> float:
        """The place of a second; one in a gap lies within the gap."""
        scene = max((n for n, start in enumerate(self.starts) if start <= at_s), default=0)
        return self.score.x(scene, at_s - self.starts[scene])


def draw_duties(data: DutiesData, *, ident: str, width: float = SCREEN_WIDTH) -> DrawnTracks:
    """The four pictures for parts/tracks.html, and the same in words."""
    roles = tuple(TrackRole(row.name, (Track("", "", ()),)) for row in data.all_rows)
    levels = tuple(TrackRole(_say_level(level), ()) for level in data.levels)
    score = Score(TracksData(data.scenes, (*roles, *levels)), width)
    tops = _tops(data)
    height = tops[-1] + 8
    return DrawnTracks(
        corner=d.picture(score.names_width, score.head_height, ident=f"{ident}-corner", title=""),
        head=d.picture(
            score.width, score.head_height, *draw_head(score), ident=f"{ident}-head", title=""
        ),
        names=d.picture(
            score.names_width, height, *_draw_names(score, data, tops), ident=f"{ident}-names",
            title="",
        ),
        body=d.picture(
            score.width, height, *_draw_body(score, data, tops, height), ident=f"{ident}-body",
            title=f"Who works what: {len(data.rows)} people, minute by minute",
            desc="One line for each person, scene by scene. The same is written out in words.",
        ),
        said=tuple((row.name, row.said) for row in data.all_rows),
        is_empty=not data.scenes or not data.rows,
    )  # fmt: skip


def _say_level(level: Level) -> str:
    return f"{level.name}, of {level.there}" if level.there is not None else level.name


def _tops(data: DutiesData) -> list[float]:
    """The top of each line, then of each level, then the foot of all."""
    tops = [6.0]
    tops += [tops[0] + ROW * (n + 1) for n in range(len(data.all_rows))]
    for level in data.levels:
        tops.append(tops[-1] + 22 + _step(level) * max(level.most, 1))
    return tops


def _step(level: Level) -> float:
    return min(STEP, MOST_HEIGHT / max(level.most, 1))


def _draw_names(score: Score, data: DutiesData, tops: list[float]) -> Iterator[SafeString]:
    room = score.names_width - 18
    for row, top in zip(data.all_rows, tops, strict=False):
        is_short = row is data.nobody
        yield d.clipped_words(
            10, top + 22, row.name, room, NAME_SIZE, bold=True, css="short" if is_short else ""
        )
        yield d.line(0, top + ROW, score.names_width, top + ROW, "role-line")
    for level, top in zip(data.levels, tops[len(data.all_rows) :], strict=False):
        yield d.clipped_words(10, top + 24, _say_level(level), room, LABEL_SIZE, css="soft")


def _draw_body(
    score: Score, data: DutiesData, tops: list[float], height: float
) -> Iterator[SafeString]:
    clock = Clock(score)
    for at, scene in enumerate(data.scenes):
        if scene.is_interval and score.gaps[at]:
            left = score.lefts[at] + score.widths[at]
            yield d.rect(left, 0, score.gaps[at], height, "pause")
    for starts_s, ends_s in data.short:
        left, right = clock.x(starts_s), clock.x(ends_s)
        yield d.rect(left, 0, max(right - left, 1.5), height, "missing")
    yield d.path("".join(f"M{d.num(x)} 0V{d.num(height)}" for x in score.lefts), "scene-line")
    for row, top in zip(data.all_rows, tops, strict=False):
        yield d.line(0, top + ROW, score.width, top + ROW, "role-line")
        yield from _draw_row(clock, row, top)
    for level, top in zip(data.levels, tops[len(data.all_rows) :], strict=False):
        yield from _draw_level(clock, level, top + 14)


def _draw_row(clock: Clock, row: DutyRow, top: float) -> Iterator[SafeString]:
    """Bars of a person; two figures held with one hand each share the line, one above the other."""
    lanes: list[int] = [-(10**9), -(10**9)]
    for bar in sorted(row.bars, key=lambda bar: (bar.starts_s, -bar.ends_s)):
        left = clock.x(bar.starts_s)
        right = max(clock.x(bar.ends_s), left + 2.5)
        y, height = top + (ROW - BAR) / 2, BAR
        if bar.is_half:
            lane = 0 if lanes[0] <= bar.starts_s else 1
            lanes[lane] = bar.ends_s
            y, height = y + lane * (BAR - HALF_BAR), HALF_BAR
        yield _draw_bar(bar, left + 1, right - 1, y, height)


def _draw_bar(bar: DutyBar, left: float, right: float, y: float, height: float) -> SafeString:
    width = max(right - left, 2)
    css = {"change": "label label-change", "handling": "duty-handling"}.get(
        bar.kind, f"cloth-piece cloth-{bar.tint}" if bar.tint else "cloth-piece undecided"
    )
    size = WORD_SIZE if height > HALF_BAR else 10.5
    whole = bar.word if measure(bar.word, size) <= width - 5 else bar.short or bar.word
    shown = clip(whole, size, width - 5)
    parts = [d.rect(left, y, width, height, css)]
    if len(shown) > 1 or shown == whole:
        foot = y + height / 2 + size * 0.34
        parts.append(d.words(left + width / 2, foot, shown, size=size, anchor="middle"))
    return d.group(*parts, title=bar.title)


def _draw_level(clock: Clock, level: Level, top: float) -> Iterator[SafeString]:
    """A stepped outline above its foot; what goes beyond what is there is drawn as missing."""
    step = _step(level)
    foot = top + step * max(level.most, 1)
    for starts_s, ends_s, amount in level.stretches:
        left, right = clock.x(starts_s), clock.x(ends_s)
        if not amount or right <= left:
            continue
        width = max(right - left, 1)
        within = amount if level.there is None else min(amount, level.there)
        parts = [d.rect(left, foot - within * step, width, within * step, "level")]
        if amount > within:
            beyond = (amount - within) * step
            parts.append(d.rect(left, foot - amount * step, width, beyond, "level-short"))
        yield d.group(*parts, title=f"{level.name}: {amount}")
    yield d.line(SIDE, foot, clock.score.width - SIDE, foot, "hair")
    if level.there is not None:
        y = foot - level.there * step
        yield d.path(f"M{d.num(SIDE)} {d.num(y)}H{d.num(clock.score.width - SIDE)}", "limit")
        text = f"{level.there} there"
        start = clock.score.width - SIDE - measure(text, 11.5)
        yield d.words(start, y - 3, text, size=11.5, css="soft")
