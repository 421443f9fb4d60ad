"""Rows to a planning problem and back: the only bridge between the workshop and the planner."""

from builds.loading.instants import end_of_day, instant_of, minute_of
from builds.loading.problem import Loaded, load_problem
from builds.loading.standing import Beside, places_of, read_beside, standing_of
from builds.loading.steps import PartOf, may_do, split_evenly

__all__ = [
    "Beside",
    "Loaded",
    "PartOf",
    "end_of_day",
    "instant_of",
    "load_problem",
    "may_do",
    "minute_of",
    "places_of",
    "read_beside",
    "split_evenly",
    "standing_of",
]
