"""A mould's castings as knots on one thread: tied = good, struck = thrown out, loose = to come."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from django.utils.safestring import SafeString

from company import drawing as d
from company.drawing import Knot

PITCH = 19.0
MOST_IN_A_ROW = 16
ROW = 26.0
SAID = {
    Knot.TIED: "good",
    Knot.STRUCK: "thrown out",
    Knot.HALF: "in the mould",
    Knot.LOOSE: "to come",
}


def draw_castings(
    castings: Sequence[tuple[str, Knot]],
    *,
    ident: str,
    printed: bool = False,
    words: Mapping[str, str] | None = None,
) -> SafeString:
    """The castings in order of their numbers, each (number or '', state), in rows of 16.

    `words` say of a number what its knot alone does not: flawed rather than thrown out.
    """
    own = words or {}
    rows = [castings[at : at + MOST_IN_A_ROW] for at in range(0, len(castings), MOST_IN_A_ROW)] or [
        []
    ]
    width = PITCH * min(max(len(castings), 1), MOST_IN_A_ROW) + 10
    parts: list[str] = []
    for number, row in enumerate(rows):
        y = 16 + number * ROW
        parts.append(d.thread_between(2, width - 2, y))
        for place, (name, state) in enumerate(row):
            title = f"{name}: {own.get(name, SAID[state])}" if name else SAID[state]
            parts.append(d.knot(state, 14 + place * PITCH, y, 5.5, title))
    counts = Counter(own.get(name, SAID[state]) for name, state in castings)
    order = dict.fromkeys([*SAID.values(), *own.values()])
    said = ", ".join(f"{counts[word]} {word}" for word in order if counts[word])
    return d.picture(
        width,
        len(rows) * ROW + 2,
        *parts,
        ident=ident,
        title=f"Castings: {said or 'none yet'}",
        css="drawing-castings",
        printed=printed,
    )
