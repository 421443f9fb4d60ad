"""Units people write: stage minutes, workshop hours, clock times; read and written exactly.

Inside the program stage time is whole seconds (`_s`) and workshop time whole minutes (`_min`).
Rounding happens once, here at the edge, and to the safe side.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

DAY_MIN = 24 * 60
QUARTER_MIN = 15
LONGEST_STAGE_MIN = 24 * 60
LONGEST_WORK_H = 2000

_MINUS_SIGNS = "\u2212\u2012\u2013"  # a word processor turns '-' into one of these
_STAGE = re.compile(
    r"(?P<sign>-?)(?:(?P<whole>[0-9]+)|(?P<min>[0-9]+):(?P<sec>[0-9]+)"
    r"|(?P<int>[0-9]*)[.,](?P<frac>[0-9]+))"
)
_FRACTIONS = {"\u00bc": 15, "\u00bd": 30, "\u00be": 45}
_WORK = re.compile(
    r"(?:(?P<h>[0-9]+)(?:[.,](?P<frac>[0-9]+))?)?\s*(?P<part>[\u00bc\u00bd\u00be])?"
    r"\s*(?:h|hours?)?"
)
_WORK_MIXED = re.compile(r"(?P<h>[0-9]+)\s*(?::|h)\s*(?P<m>[0-9]{1,2})(?:\s*min)?")
_WORK_MIN = re.compile(r"(?P<m>[0-9]+)\s*(?:min|minutes?)")
_CLOCK = re.compile(r"(?P<h>[0-9]{1,2})(?:[:.h](?P<m>[0-9]{2}))?")


def parse_minutes(text: str, *, may_be_negative: bool = False) -> int:
    """Stage time written in minutes ('4', '4.5', '4,5', '4:30') as whole seconds.

    Decimal point or comma; parts of a second go to the nearest second, halves up.
    Raises ValueError with a sentence that says what is wrong.

    >>> parse_minutes("4"), parse_minutes("4,5"), parse_minutes("4:05")
    (240, 270, 245)
    >>> parse_minutes("-0:30", may_be_negative=True)
    -30
    """
    written = text.strip()
    if not written:
        raise ValueError("minutes are missing: write 4, 4.5 or 4:30")
    match = _STAGE.fullmatch(written.translate(dict.fromkeys(map(ord, _MINUS_SIGNS), "-")))
    if match is None:
        raise ValueError(f"'{_shorten(written)}' is not a number of minutes: write 4, 4.5 or 4:30")
    if match["sec"] is not None:
        seconds = _minutes_and_seconds(written, match["min"], match["sec"])
    elif match["whole"] is not None:
        seconds = _small(match["whole"]) * 60
    else:
        parts = Fraction(int(match["frac"][:12]), 10 ** len(match["frac"][:12]))
        seconds = _small(match["int"] or "0") * 60 + math.floor(parts * 60 + Fraction(1, 2))
    if seconds > LONGEST_STAGE_MIN * 60:
        raise ValueError(f"'{_shorten(written)}' minutes is more than a day")
    if match["sign"] and seconds:
        if not may_be_negative:
            raise ValueError(f"'{_shorten(written)}' is negative: minutes here start at 0")
        return -seconds
    return seconds


def format_minutes(seconds: int) -> str:
    """Stage time in seconds as a maker writes it: '4' for whole minutes, else '4:30'.

    >>> format_minutes(240), format_minutes(270), format_minutes(-30)
    ('4', '4:30', '-0:30')
    """
    return format_time(seconds) if seconds % 60 else str(seconds // 60)


def format_time(seconds: int) -> str:
    """Stage time in seconds, always minutes and two digits of seconds.

    >>> format_time(270), format_time(0), format_time(-30), format_time(4500)
    ('4:30', '0:00', '-0:30', '75:00')
    """
    minutes, rest = divmod(abs(seconds), 60)
    return f"{'-' if seconds < 0 else ''}{minutes}:{rest:02d}"


def minutes_number(seconds: int) -> int | float:
    """Stage time in seconds as a JSON number of minutes, whole where it is whole.

    >>> minutes_number(240), minutes_number(270)
    (4, 4.5)
    """
    return seconds / 60 if seconds % 60 else seconds // 60


def parse_hours(text: str) -> int:
    """Workshop time written in hours ('16', '1.5', '1,5', '1½ h', '2 h 15', '45 min') as minutes.

    Parts of a minute go up to the next minute. Raises ValueError saying what is wrong.

    >>> parse_hours("16"), parse_hours("1½ h"), parse_hours("2 h 15"), parse_hours("45 min")
    (960, 90, 135, 45)
    """
    written = text.strip()
    if not written:
        raise ValueError("hours are missing: write 2, 1.5, 1½ h, 2 h 15 or 45 min")
    plain = written.casefold()
    if match := _WORK_MIN.fullmatch(plain):
        minutes = _small(match["m"])
    elif match := _WORK_MIXED.fullmatch(plain):
        if int(match["m"]) > 59:
            raise ValueError(f"'{_shorten(written)}' has more than 59 minutes in the hour")
        minutes = _small(match["h"]) * 60 + int(match["m"])
    elif (match := _WORK.fullmatch(plain)) and (match["h"] or match["part"]):
        if match["frac"] and match["part"]:
            raise ValueError(f"'{_shorten(written)}' mixes a decimal and a fraction")
        digits = (match["frac"] or "0")[:12]
        part = Fraction(int(digits), 10 ** len(digits)) * 60
        minutes = _small(match["h"] or "0") * 60 + math.ceil(part)
        minutes += _FRACTIONS[match["part"]] if match["part"] else 0
    else:
        raise ValueError(
            f"'{_shorten(written)}' is not a time in hours: write 2, 1.5, 1½ h, 2 h 15 or 45 min"
        )
    if minutes > LONGEST_WORK_H * 60:
        raise ValueError(f"'{_shorten(written)}' is more than {LONGEST_WORK_H} hours")
    return minutes


def format_hours(minutes: int) -> str:
    """Workshop minutes as hours a maker reads at a glance.

    >>> format_hours(90), format_hours(135), format_hours(960), format_hours(45), format_hours(30)
    ('1½ h', '2 h 15', '16 h', '45 min', '½ h')
    """
    sign = "-" if minutes < 0 else ""
    hours, rest = divmod(abs(minutes), 60)
    if rest == 30:
        return f"{sign}{hours or ''}½ h"
    if not rest:
        return f"{sign}{hours} h"
    return f"{sign}{hours} h {rest:02d}" if hours else f"{sign}{rest} min"


def round_up_to_quarter(minutes: float | Fraction) -> int:
    """Minutes rounded up to the quarter hour; noise below a millionth of a minute is ignored.

    >>> round_up_to_quarter(61), round_up_to_quarter(60), round_up_to_quarter(0.1)
    (75, 60, 15)
    """
    if isinstance(minutes, float) and not math.isfinite(minutes):
        raise ValueError(f"minutes is {minutes}, not a number to round")
    quarters = Fraction(minutes) / QUARTER_MIN
    return math.ceil(quarters - Fraction(1, 1_000_000)) * QUARTER_MIN


def parse_clock(text: str, *, may_be_midnight_end: bool = False) -> int:
    """A time of day ('9', '9:30', '09.30', '17h30') as minutes after midnight, 0 to 1439.

    With `may_be_midnight_end` also '24:00' (1440), the end of the day.

    >>> parse_clock("9"), parse_clock("17.30"), parse_clock("24:00", may_be_midnight_end=True)
    (540, 1050, 1440)
    """
    written = text.strip()
    match = _CLOCK.fullmatch(written.casefold())
    if match is None:
        raise ValueError(f"'{_shorten(written)}' is not a time of day: write 9:30 or 17:00")
    minutes = int(match["h"]) * 60 + int(match["m"] or 0)
    if int(match["m"] or 0) > 59 or minutes > DAY_MIN:
        raise ValueError(f"'{_shorten(written)}' is not on the clock: the day ends at 24:00")
    if minutes == DAY_MIN and not may_be_midnight_end:
        raise ValueError(f"'{_shorten(written)}' is the end of the day: write 0:00 for its start")
    return minutes


def format_clock(minute: int) -> str:
    """Minutes after midnight (0 to 1440) as a time of day.

    >>> format_clock(540), format_clock(1050), format_clock(1440)
    ('9:00', '17:30', '24:00')
    """
    if not 0 <= minute <= DAY_MIN:
        raise ValueError(f"minute is {minute}, outside the day's 0 to {DAY_MIN} minutes")
    return f"{minute // 60}:{minute % 60:02d}"


def _minutes_and_seconds(written: str, minutes: str, seconds: str) -> int:
    """'4:30' in seconds; '4:5' could mean two things and is refused."""
    if len(seconds) != 2:
        raise ValueError(f"'{_shorten(written)}' needs two digits of seconds, as in 4:05")
    if int(seconds) > 59:
        raise ValueError(f"'{_shorten(written)}' has more than 59 seconds in the minute")
    return _small(minutes) * 60 + int(seconds)


def _small(digits: str) -> int:
    """The number in `digits`; absurdly long ones become one that the limits refuse."""
    stripped = digits.lstrip("0") or "0"
    return int(stripped) if len(stripped) <= 9 else 10**9


def _shorten(text: str, most: int = 40) -> str:
    """At most `most` characters of what was typed, for quoting back."""
    return text if len(text) <= most else text[: most - 1] + "\u2026"
