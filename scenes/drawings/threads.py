"""The score itself: a thread for each figure, swatches of cloth, changes, people at work."""

from __future__ import annotations

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst

from company import drawing as d
from company.core.units import format_minutes
from company.drawing import Knot
from company.lettering import clip, measure
from scenes.drawings.score import Score
from scenes.drawings.tracks_data import Track, TrackStop, describe_change, describe_stop

CLOTH = 21.0
WORD_SIZE = 12.5
TAIL = 11.0
_FEW = {1: "one", 2: "two", 3: "three"}


def draw_body(score: Score) -> list[str]:
    parts: list[str] = []
    guides = "".join(f"M{d.num(x)} 0V{d.num(score.rows_foot)}" for x in score.lefts)
    for at, scene in enumerate(score.data.scenes):
        if scene.is_interval and score.gaps[at]:
            left = score.lefts[at] + score.widths[at]
            parts.append(d.rect(left, 0, score.gaps[at], score.rows_foot, "pause"))
    if guides:
        parts.append(d.path(guides, "scene-line"))
    parts.extend(d.line(0, row.foot, score.width, row.foot, "role-line") for row in score.roles)
    for place in score.tracks:
        track = score.data.roles[place.role].tracks[place.track]
        parts.extend(_draw_track(score, track, place.y))
    if score.data.people:
        parts.extend(_draw_people(score))
    return parts


def _draw_track(score: Score, track: Track, y: float) -> list[str]:
    """The thread, then what hangs on it: swatches, changes, crossings."""
    if not track.stops:
        passes = track.comes_on and track.goes_on
        return [d.line(1, y, score.width - 1, y, "thread-line")] if passes else []
    places = _cloth_places(score, track)
    start = 1.0 if track.comes_on else max(places[0][0] - TAIL, 1)
    end = score.width - 1 if track.goes_on else min(places[-1][1] + TAIL, score.width - 1)
    parts: list[str] = [d.line(start, y, end, y, "thread-line")]
    ends = [left for left, _ in places[1:]] + [score.width]
    for at, (stop, (left, right)) in enumerate(zip(track.stops, places, strict=True)):
        follows = track.stops[at + 1] if at + 1 < len(track.stops) else None
        free = ends[at] - right if follows is None or not _has_mark(follows) else 0
        parts.append(_draw_cloth(score, stop, left, right, y, free))
    for (_, right), (left, _), stop in zip(places, places[1:], track.stops[1:], strict=False):
        if _has_mark(stop):
            parts.append(_draw_mark(stop, right, left, y))
    return parts


def _has_mark(stop: TrackStop) -> bool:
    return stop.change_s is not None or bool(stop.crossing)


def _cloth_places(score: Score, track: Track) -> list[tuple[float, float]]:
    """Left and right of each swatch: never nothing, and never into the next one."""
    lefts = [score.x(stop.scene, stop.start_s) + 2 for stop in track.stops]
    rights = [score.x(stop.scene, stop.end_s) - 2 for stop in track.stops]
    limits = [left - 1 for left in lefts[1:]] + [score.width - 2]
    return [
        (left, max(min(max(right, left + 8), limit), left + 2))
        for left, right, limit in zip(lefts, rights, limits, strict=True)
    ]


def _draw_cloth(
    score: Score, stop: TrackStop, left: float, right: float, y: float, free: float
) -> SafeString:
    """A swatch with its word on it, or beside it where it is too short and there is room."""
    width = right - left
    tilt = 1.2 if (stop.scene + round(y)) % 2 else -1.2
    top = y - CLOTH / 2
    shape = (
        f"M{d.num(left)} {d.num(top)}l{d.num(width)} {d.num(-tilt)}v{d.num(CLOTH)}"
        f"l{d.num(-width)} {d.num(tilt)}z"
    )
    is_open = stop.tint is None
    css = "cloth-piece undecided" if is_open else f"cloth-piece cloth-{stop.tint}"
    word = stop.costume or "not decided"
    whole = f"{word}, {stop.marks}" if stop.marks else word
    is_marked = bool(stop.marks)
    if is_marked and measure(whole, WORD_SIZE) <= width - 7:
        word, is_marked = whole, False
    inside = clip(word, WORD_SIZE, width - 7)
    parts: list[str] = [d.path(shape, css)]
    if is_marked:  # no room for the words: a folded corner, and all of it when pointed at
        corner = f"M{d.num(right - 7)} {d.num(top - tilt)}l7 0v7z"
        parts.append(d.path(corner, "solid"))
    if len(inside) > 2 or inside == word:
        middle = left + width / 2
        if score.printed:  # hatching would cross the letters
            wide = measure(inside, WORD_SIZE) + 4
            parts.append(d.rect(middle - wide / 2, y - 7, wide, 15, "paper"))
        parts.append(d.words(middle, y + 4, inside, size=WORD_SIZE, anchor="middle"))
    else:
        beside = clip(word, WORD_SIZE, free - 14)
        if len(beside) > 3:
            parts.append(_on_thread(right + 3, y, beside, "label"))
    title = describe_stop(stop, score.data.scenes[stop.scene])
    return d.group(*parts, title=capfirst(title))


def _on_thread(left: float, y: float, text: str, css: str) -> SafeString:
    width = measure(text, WORD_SIZE) + 8
    return mark_safe(
        d.rect(left, y - 9, width, 18, css)
        + d.words(left + 4, y + 4, text, size=WORD_SIZE, css="label-word")
    )


def _draw_mark(stop: TrackStop, right: float, left: float, y: float) -> SafeString:
    """A change or a crossing on the thread: in words where there is room, else a small sign."""
    change = describe_change(stop)
    said = ", ".join(part for part in (change, stop.crossing) if part)
    room, middle = left - right - 8, (left + right) / 2
    short = f"{format_minutes(stop.change_s)} min" if stop.change_s is not None else ""
    by = f"change {short}, {stop.change_by}" if short and stop.change_by else ""
    for text in (said, change, by, f"change {short}" if short else "", short):
        if text and measure(text, WORD_SIZE) + 8 <= room:
            start = middle - (measure(text, WORD_SIZE) + 8) / 2
            return d.group(_on_thread(start, y, text, "label label-change"), title=said)
    if change:
        return d.knot(Knot.HALF, middle, y, 3.4, said)
    sign = f"M{d.num(middle - 3)} {d.num(y - 5)}l6 5l-6 5"
    return d.group(d.path(sign, "crossing"), title=said)


def _draw_people(score: Score) -> list[str]:
    """For each scene as many rings as people are at work; those who are missing filled."""
    parts: list[str] = []
    y = score.rows_foot + 21
    missing = score.data.missing or (0,) * len(score.data.people)
    for at, (people, short) in enumerate(zip(score.data.people, missing, strict=True)):
        x, room = score.lefts[at] + 9, score.widths[at] - 6
        if people * 13 > room:
            parts.append(d.words(x - 4, y + 5, str(people), size=14, bold=True))
        else:
            parts.extend(
                d.circle(x + 13 * n, y, 5, "person-short" if n >= people - short else "person")
                for n in range(people)
            )
        if short:
            text = f"{_FEW.get(short, short)} too few"
            parts.append(
                d.clipped_words(x - 4, y + 22, text, room + 4, 12.5, bold=True, css="short")
            )
    return parts
