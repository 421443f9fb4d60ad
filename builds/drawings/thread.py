"""The thread under a show's title: from the first day to opening, with a knot for each milestone.

    ThreadData(today, first_day, opening, ready, milestones) -> draw_thread(data, ident=, width=)

Widths used: 1440 for a wide screen, 880 for a middling one, 360 for a phone, where the milestones
keep their knots and give up their words. templates/parts/thread_drawings.html shows what fits.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from django.utils.safestring import SafeString

from builds.drawings.labels import LANE, Label, draw_leaders, draw_words, place_labels
from company import drawing as d
from company.drawing import Box, Knot
from company.lettering import clip

MARGIN = 30.0
PHONE = 480  # narrower than this the milestones have no words
KNOT_R = 6.0
LONGEST_WORDS = 300.0
_FLAG = "q8 -2 12 2t11 1q-3 6 -11 6t-12 -1z"


@dataclass(frozen=True)
class Milestone:
    """A day of the show that counts: 'heads cast', with how far it is."""

    day: date
    words: str
    state: Knot = Knot.LOOSE
    is_late: bool = False


@dataclass(frozen=True)
class ThreadData:
    """What the thread shows. Any day but today may not be known yet."""

    today: date
    first_day: date | None = None
    opening: date | None = None
    ready: date | None = None
    milestones: tuple[Milestone, ...] = field(default=())

    @property
    def days_in_hand(self) -> int | None:
        """Opening minus ready, in days; negative when late."""
        return (self.opening - self.ready).days if self.opening and self.ready else None


def say_day(day: date, today: date) -> str:
    """'4 Sep', with the year where it is not this one."""
    year = "" if day.year == today.year else f" {day.year}"
    return f"{day.day} {day:%b}{year}"


def say_in_hand(days: int) -> str:
    """'12 days in hand', 'none in hand', '3 days late'."""
    if not days:
        return "none in hand"
    unit = "day" if abs(days) == 1 else "days"
    return f"{days} {unit} in hand" if days > 0 else f"{-days} {unit} late"


def describe_thread(data: ThreadData) -> str:
    """The whole thread as sentences, for those who listen."""
    said = []
    if data.first_day:
        said.append(f"First day {say_day(data.first_day, data.today)}.")
    for milestone in sorted(data.milestones, key=lambda m: m.day):
        late = ", late" if milestone.is_late else ""
        day = say_day(milestone.day, data.today)
        said.append(f"{day}: {milestone.words}, {milestone.state.value}{late}.")
    said.append(f"Today is {say_day(data.today, data.today)}.")
    if data.opening:
        said.append(f"Opening {say_day(data.opening, data.today)}.")
    return " ".join(said)


def name_thread(data: ThreadData) -> str:
    """What the thread says first."""
    if data.ready is None:
        opening = f" Opening is on {say_day(data.opening, data.today)}." if data.opening else ""
        return f"No plan yet says when all is ready to play.{opening}"
    days = data.days_in_hand
    if days is None:
        return f"All ready to play {say_day(data.ready, data.today)}; no opening is set."
    return (
        f"All ready to play {say_day(data.ready, data.today)}, {say_in_hand(days)}"
        f" before opening on {say_day(data.opening, data.today)}"  # type: ignore[arg-type]
    )


def draw_thread(
    data: ThreadData, *, ident: str, width: int = 1440, printed: bool = False
) -> SafeString:
    """The thread, as wide as asked. Words never lie over words, knots, bob or flag."""
    scale = _Scale(data, width)
    labels = _labels(data, scale, width)
    fixtures = _fixtures(data, scale)
    placed = place_labels(labels, fixtures, width)
    above = max([-p.lane for p in placed if p.lane < 0], default=0)
    below = max([p.lane for p in placed if p.lane > 0], default=0)
    top = max(26.0, 18 + above * LANE)
    height = top + 28 + max(below, 1) * LANE
    parts = [
        d.group(
            *_line(data, scale),
            *draw_leaders(placed),
            *_marks(data, scale),
            *draw_words(placed),
            transform=f"translate(0 {d.num(top)})",
        )
    ]
    return d.picture(
        width,
        height,
        *parts,
        ident=ident,
        title=name_thread(data),
        desc=describe_thread(data),
        css="drawing-thread",
        printed=printed,
    )


class _Scale:
    """Days to places: from the first day known to the last, with room at both ends."""

    def __init__(self, data: ThreadData, width: int) -> None:
        days = [data.today, *(m.day for m in data.milestones)]
        days += [day for day in (data.first_day, data.opening, data.ready) if day]
        first, last = min(days), max(days)
        if (last - first).days < 14:
            last = first + timedelta(days=14)
        self.first, self.last = first, last
        self.left = MARGIN
        self.right = width - MARGIN - 26  # room for the flag

    def x(self, day: date) -> float:
        share = (day - self.first).days / (self.last - self.first).days
        return self.left + share * (self.right - self.left)


def _line(data: ThreadData, scale: _Scale) -> list[SafeString]:
    """Solid where worked, dotted ahead; faint before the first day and after opening."""
    start = scale.x(data.first_day) if data.first_day else scale.left
    end = scale.x(data.opening) if data.opening else scale.right
    late_end = scale.x(data.ready) if data.ready else end
    today = min(max(scale.x(data.today), start), max(end, late_end))
    parts = []
    if today > start:
        parts.append(d.thread_between(start, today, 0))
    if max(end, late_end) > today:
        parts.append(d.line(today, 0, max(end, late_end), 0, "thread-line thread-ahead"))
    return parts


def _marks(data: ThreadData, scale: _Scale) -> list[SafeString]:
    parts = []
    if data.first_day:
        parts.append(d.knot(Knot.TIED, scale.x(data.first_day), 0, KNOT_R))
    for milestone in data.milestones:
        title = f"{say_day(milestone.day, data.today)}: {milestone.words}, {milestone.state.value}"
        parts.append(d.knot(milestone.state, scale.x(milestone.day), 0, KNOT_R, title))
    if data.ready:
        kind = "ready-late" if _is_late(data) else "ready-kept"
        x = scale.x(data.ready)
        parts.append(d.group(d.knot(Knot.LOOSE, x, 0, KNOT_R + 1.5), css=kind))
    if data.opening:
        x = scale.x(data.opening)
        parts.append(d.path(f"M{d.num(x)} -21V10", "pole"))
        flag = "q-8 -2 -12 2t-11 1q3 6 11 6t12 -1z" if _is_late(data) else _FLAG
        parts.append(d.path(f"M{d.num(x)} -21{flag}", "solid"))
    x = scale.x(data.today)
    parts.append(d.path(f"M{d.num(x)} -18V12", "pole"))
    parts.append(d.path(f"M{d.num(x - 2.5)} 9h5v3h2v5l-4.5 11l-4.5 -11v-5h2z", "solid"))
    return parts


def _is_late(data: ThreadData) -> bool:
    """A late knot stands behind the flag: the flag then flies the other way."""
    return (data.days_in_hand or 0) < 0


def _fixtures(data: ThreadData, scale: _Scale) -> list[Box]:
    """Room that no word may take: the thread with its knots, the bob, the flag."""
    x = scale.x(data.today)
    boxes: list[Box] = [(x - 6, -20, x + 6, 29)]
    if data.opening:
        x = scale.x(data.opening)
        boxes.append((x - 25, -25, x + 3, 12) if _is_late(data) else (x - 3, -25, x + 25, 12))
    if data.ready:
        boxes.append(d.knot_box(scale.x(data.ready), 0, KNOT_R + 1.5))
    return boxes


def _labels(data: ThreadData, scale: _Scale, width: int) -> list[Label]:
    """What must be read first comes first: it gets the best place."""
    labels = []
    if data.ready:
        days = data.days_in_hand
        phone = width < PHONE
        text = f"{say_day(data.ready, data.today)} · {'ready' if phone else 'all ready to play'}"
        if days is not None:
            text += f", {say_in_hand(days)}"
        css = "late" if (days or 0) < 0 else "kept"
        labels.append(Label(scale.x(data.ready), text, True, css, prefers_above=True))
    today = f"today, {say_day(data.today, data.today)}"
    labels.append(Label(scale.x(data.today), today, bold=True))
    if data.opening:
        labels.append(
            Label(scale.x(data.opening), f"{say_day(data.opening, data.today)} · opening", True)
        )
    if data.first_day:
        text = f"{say_day(data.first_day, data.today)} · first day"
        labels.append(Label(scale.x(data.first_day), text, css="soft", must_show=width >= PHONE))
    if width >= PHONE:
        for milestone in sorted(data.milestones, key=lambda m: m.day):
            text = clip(
                f"{say_day(milestone.day, data.today)} · {milestone.words}", 13, LONGEST_WORDS
            )
            css = "late" if milestone.is_late else "soft"
            labels.append(
                Label(scale.x(milestone.day), text, milestone.is_late, css, must_show=False)
            )
    return labels
