"""The fewest figures that a costume plot needs, which plays what, and why."""

from scenes.core.counting.checking import check_count
from scenes.core.counting.figures import count_figures, count_guise
from scenes.core.counting.reasons import Part, Reason, Tight, say_tight
from scenes.core.counting.relation import Relation, can_follow
from scenes.core.counting.results import Change, Count, GuiseCount, Previous, Stop, Track

__all__ = [
    "Change",
    "Count",
    "GuiseCount",
    "Part",
    "Previous",
    "Reason",
    "Relation",
    "Stop",
    "Tight",
    "Track",
    "can_follow",
    "check_count",
    "count_figures",
    "count_guise",
    "say_tight",
]
