"""How the hours of a day are written: '10-13, 14-17:30', read whole with every fault named."""

from __future__ import annotations

import itertools
import re

from company.core.units import QUARTER_MIN, format_clock, parse_clock

Span = tuple[int, int]
_BETWEEN = re.compile(r"\s*(?:-|\u2010|\u2011|\u2012|\u2013|\u2014|\u2212|\bto\b|\buntil\b)\s*")
_NOTHING = {"", "-", "\u2013", "no", "none", "off"}
MOST_STRETCHES = 8


class WrongStretches(ValueError):
    """What is wrong with the hours of a day, every fault a sentence of its own in `faults`."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__(" ".join(faults))
        self.faults = faults


def parse_stretches(text: str) -> tuple[Span, ...]:
    """The stretches of one day, in minutes after midnight, sorted; () for a day not worked.

    Stretches are separated by commas or semicolons, their ends by a dash or 'to'; times on the
    quarter hour. Raises WrongStretches with all that is wrong at once.

    >>> parse_stretches("14-17:30, 10-13")
    ((600, 780), (840, 1050))
    >>> parse_stretches("10 to 13:10, 12-25")
    Traceback (most recent call last):
    company.core.stretches.WrongStretches: '13:10' is not on the quarter hour: write 13:00 or \
13:15. '25' is not on the clock: the day ends at 24:00.
    """
    written = text.strip().casefold()
    if written in _NOTHING:
        return ()
    faults: list[str] = []
    spans: list[Span] = []
    pieces = [piece.strip() for piece in re.split(r"[,;\n+&]|\band\b", written) if piece.strip()]
    for piece in pieces:
        span = _parse_span(piece, faults)
        if span is not None:
            spans.append(span)
    if len(pieces) > MOST_STRETCHES:
        faults.append(f"{len(pieces)} stretches are more than a day holds: at most 8.")
    spans.sort()
    for (a, b), (c, d) in itertools.pairwise(spans):
        if (a, b) == (c, d):
            faults.append(f"{_say(a, b)} stands there twice.")
        elif c < b:
            faults.append(f"{_say(a, b)} and {_say(c, d)} overlap.")
    if faults:
        raise WrongStretches(faults)
    return tuple(spans)


def format_stretches(spans: tuple[Span, ...]) -> str:
    """Stretches as they are written, ready to be edited.

    >>> format_stretches(((600, 780), (840, 1050)))
    '10:00-13:00, 14:00-17:30'
    """
    return ", ".join(f"{format_clock(a)}-{format_clock(b)}" for a, b in spans)


def parse_quarter(text: str, *, may_be_midnight_end: bool = False) -> int:
    """A time of day on the quarter hour, as minutes after midnight. ValueError says what is wrong.

    >>> parse_quarter("9:15")
    555
    """
    minute = parse_clock(text, may_be_midnight_end=may_be_midnight_end)
    if minute % QUARTER_MIN:
        low = minute - minute % QUARTER_MIN
        raise ValueError(
            f"'{text.strip()}' is not on the quarter hour: "
            f"write {format_clock(low)} or {format_clock(low + QUARTER_MIN)}"
        )
    return minute


def _parse_span(piece: str, faults: list[str]) -> Span | None:
    ends = _BETWEEN.split(piece)
    if len(ends) != 2 or not all(ends):
        faults.append(f"'{piece[:40]}' is not a stretch: write from and to, as in 10-13.")
        return None
    found: list[int] = []
    for i, end in enumerate(ends):
        try:
            found.append(parse_quarter(end, may_be_midnight_end=i == 1))
        except ValueError as wrong:
            faults.append(f"{wrong}.")
    if len(found) < 2:
        return None
    start, finish = found
    if finish <= start:
        word = "is no time at all" if finish == start else "ends before it starts"
        faults.append(f"{_say(start, finish)} {word}.")
        return None
    return start, finish


def _say(start: int, end: int) -> str:
    return f"{format_clock(start)} to {format_clock(end)}"
