"""How likely it is that all is ready by a day: a rising line, with opening as a flag beside it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from django.utils.safestring import SafeString

from builds.drawings.axis import Axis, draw_day, draw_days
from company import drawing as d

LEFT, TOP, TALL = 64.0, 26.0, 180.0
MARKED = (50, 80, 95)


def draw_odds(
    days: Sequence[tuple[int, float]],
    *,
    ident: str,
    title: str,
    desc: str,
    opening: date | None = None,
    width: float = 560,
    printed: bool = False,
) -> SafeString:
    """`days`: (chance in hundredths, the day by which all is ready with it), rising."""
    first = date.fromordinal(int(days[0][1]))
    last = date.fromordinal(int(days[-1][1]) + 1)
    if opening:
        first, last = min(first, opening), max(last, opening)
    axis = Axis(first - timedelta(days=2), last + timedelta(days=2), LEFT, width - 12)
    bottom = TOP + TALL
    parts = draw_days(axis, TOP, bottom)
    for share in (0, 50, 80, 95):
        y = _y(share)
        parts.append(d.line(LEFT, y, width - 12, y, "axis-line"))
        parts.append(d.words(LEFT - 8, y + 4, f"{share} of 100", size=12, css="soft", anchor="end"))
    points = [(axis.left, _y(0)), (axis.x(days[0][1]), _y(0))]
    points += [(axis.x(day), _y(share)) for share, day in days]
    points.append((axis.right, _y(100)))
    steps = "L".join(f"{d.num(x)} {d.num(y)}" for x, y in points)
    parts.append(d.path(f"M{steps}", "odds-line"))
    for share, day in days:
        if share in MARKED:
            parts.append(d.circle(axis.x(day), _y(share), 4.5, "odds-mark"))
    if opening:
        parts += draw_day(axis, opening, "opening", TOP, bottom)
    return d.picture(
        width, bottom + 22, *parts, ident=ident, title=title, desc=desc, css="drawing-odds",
        printed=printed,
    )  # fmt: skip


def _y(share: float) -> float:
    return TOP + TALL * (1 - share / 100)
