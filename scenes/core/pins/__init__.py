"""The lead's pins on a count: one figure for these two, two figures for these two, one more here.

The minimum stays what it is ('needs 11'); the pins say what is built ('you build 12').
"""

from scenes.core.pins.checking import check_pinned
from scenes.core.pins.solving import count_pinned
from scenes.core.pins.values import Apart, More, Pin, PinnedCount, PinnedGuise, Same, Unkept

__all__ = [
    "Apart",
    "More",
    "Pin",
    "PinnedCount",
    "PinnedGuise",
    "Same",
    "Unkept",
    "check_pinned",
    "count_pinned",
]
