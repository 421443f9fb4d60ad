"""Plan against record: hours of work as they were to be finished, and as they were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.safestring import SafeString

from builds.drawings.axis import Axis, draw_day, draw_days
from company import drawing as d

LEFT, TOP, TALL = 64.0, 26.0, 230.0
Points = Sequence[tuple[date, int]]  # a day and the minutes finished up to its evening


@dataclass(frozen=True, slots=True)
class RecordData:
    """Minutes finished by the evening of each day: planned, really, and booked on them."""

    planned: tuple[tuple[date, int], ...]
    finished: tuple[tuple[date, int], ...]
    booked: tuple[tuple[date, int], ...]
    today: date
    opening: date | None = None


def draw_record(
    data: RecordData, *, ident: str, title: str, desc: str, width: float = 1180,
    printed: bool = False,
) -> SafeString:  # fmt: skip
    """Three lines over the days: dashed as planned, solid as finished, thin as booked."""
    days = [day for line in (data.planned, data.finished, data.booked) for day, _ in line]
    first, last = min([*days, data.today]), max([*days, data.today])
    if data.opening:
        last = max(last, data.opening)
    axis = Axis(first, last, LEFT, width - 12)
    most = max([1, *(m for line in (data.planned, data.finished, data.booked) for _, m in line)])
    most = most * 21 // 20 + 1  # the highest line does not lie on the upper edge
    bottom = TOP + TALL
    parts = draw_days(axis, TOP, bottom)
    for hours in _marks(most):
        y = bottom - TALL * hours * 60 / most
        parts.append(d.line(LEFT, y, width - 12, y, "axis-line"))
        parts.append(d.words(LEFT - 8, y + 4, f"{hours} h", size=12, css="soft", anchor="end"))
    for line, css in (
        (data.planned, "record-planned"),
        (data.booked, "record-booked"),
        (data.finished, "record-finished"),
    ):
        if line:
            parts.append(d.path(_steps(line, axis, bottom, most), css))
    parts += draw_day(axis, data.today, "today", TOP, bottom, "axis-today")
    if data.opening:
        parts += draw_day(axis, data.opening, "opening", TOP, bottom)
    return d.picture(
        width, bottom + 22, *parts, ident=ident, title=title, desc=desc, css="drawing-record",
        printed=printed,
    )  # fmt: skip


def _marks(most_min: int) -> list[int]:
    """About four round numbers of hours up to the most."""
    hours = most_min / 60
    step = next((n for n in (1, 2, 5, 10, 20, 50, 100, 200, 500) if hours / n <= 5), 1000)
    return list(range(0, int(hours) + 1, step))


def _steps(line: Points, axis: Axis, bottom: float, most: int) -> str:
    """The line goes up in the evening of each day."""
    said = []
    y = bottom
    for number, (day, minutes) in enumerate(line):
        x = axis.x(day.toordinal() + 1)
        said.append(f"M{d.num(x)} {d.num(y)}" if number == 0 else f"H{d.num(x)}")
        y = bottom - bottom_share(minutes, most)
        said.append(f"V{d.num(y)}")
    return "".join(said)


def bottom_share(minutes: int, most: int) -> float:
    """How high so many minutes stand.

    >>> bottom_share(30, 60)
    115.0
    """
    return TALL * minutes / most
